"""Tasks that count, hang, break and eat: what each did stands in the book's number series, each number once."""

from __future__ import annotations

import os
import time

from django.apps import AppConfig


class TrialKinds(AppConfig):
    name = "tests.keeping.trial_kinds"
    label = "trial_kinds"

    def ready(self) -> None:
        from django.db import transaction  # noqa: PLC0415

        from shop.frame.models import NumberSeries  # noqa: PLC0415
        from shop.keeping.tasks import Kind, Result, Work, hang_up  # noqa: PLC0415

        def count(work: Work) -> Result:
            """One row for each number; the same number twice would break the table's key."""
            total = int(work.about["to"])
            for number in range(work.place.get("next", 1), total + 1):
                with transaction.atomic():
                    NumberSeries.objects.create(name=f"task {work.task.pk}", year=number)
                    time.sleep(float(work.about.get("each", 0)))
                    work.reached({"next": number + 1}, done=number, total=total)
            return Result(f"Counted to {total}.")

        def hang(work: Work) -> None:
            while True:
                time.sleep(0.05)
                work.say(0, 10, "hanging")

        def deaf(_work: Work) -> None:
            time.sleep(3600)

        def eat(_work: Work) -> None:
            eaten = []
            while True:
                eaten.append(bytearray(16 << 20))

        def die(_work: Work) -> None:
            os._exit(3)

        hang_up(Kind("trial.count", "Count", count, of="numbers", resumes=True))
        hang_up(Kind("trial.hang", "Hang", hang))
        hang_up(Kind("trial.deaf", "Hear nothing", deaf))
        hang_up(Kind("trial.eat", "Eat", eat, memory=512 << 20))
        hang_up(Kind("trial.die", "Die", die, tries=2))
        hang_up(Kind("trial.quick", "Be quick", lambda work: Result("Quick."), quick=True))
