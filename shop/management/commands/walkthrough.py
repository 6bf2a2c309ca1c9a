"""`python3 manage.py walkthrough --into DIR`: one job from the counter to the customer's door, with its papers."""

from __future__ import annotations

import json
from pathlib import Path

from django.core.management import CommandError, CommandParser
from django.core.serializers.json import DjangoJSONEncoder

from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.front_door import serving
from shop.management.command import ShopCommand
from shop.scenes.everything import everything
from shop.scenes.walkthrough import walk_through


class Command(ShopCommand):
    """Play one complete job in an empty shop of its own and leave its papers and `job.json`."""

    help = "Drive one complete job through the shop's actions and leave its papers in a folder."
    needs_book = False
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--into", type=Path, required=True, metavar="DIR", help="folder for the papers")

    def handle(self, *args: object, into: Path, **options: object) -> None:
        serving.migrate()
        if ShopProfile.objects.exists():
            raise CommandError("The walkthrough plays in an empty shop of its own; this one is open already.")
        try:
            walk = walk_through()
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        into.mkdir(parents=True, exist_ok=True)
        for name, pdf in walk.papers.items():
            (into / f"{name}.pdf").write_bytes(pdf)
        record = {
            "number": walk.job.number,
            "stage": walk.job.stage,
            "outcome": walk.job.outcome,
            "book": everything(),
        }
        text = json.dumps(record, cls=DjangoJSONEncoder, ensure_ascii=False, indent=2)
        (into / "job.json").write_text(text + "\n", encoding="utf-8")
        names = ", ".join(f"{name}.pdf" for name in walk.papers)
        self.stdout.write(f"Job {walk.job.number} has gone home. In {into}: {names} and job.json.")
