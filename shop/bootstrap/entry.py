"""The first step of every command: which shop it is about, and an environment in which it can run."""

from __future__ import annotations

import importlib.util
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from shop.bootstrap import checking, environment, floors, lock, system, testing, version
from shop.bootstrap.places import ENVIRONMENT, HOME, ON_WINDOWS, CannotGoOn, shop_folder

# Commands that a person types on a fresh machine: they bring the environment up to the lock and see to paper.
FIRST_COMMANDS = {"demo", "open", "walkthrough"}


def _test(argv: list[str]) -> int:
    # told to end, it still stops its server and takes its folders away
    signal.signal(signal.SIGTERM, lambda number, _: sys.exit(128 + number))
    return testing.run(argv[2:])


def _version(_argv: list[str]) -> int:
    print(version.in_full())
    return 0


def prepare(argv: list[str]) -> int | None:
    """Do what must come before Django; return the exit code of a command that is done, or None to go on in Django.

    One sentence, and 1, when something on the machine must be mended first.
    """
    if "--no-install" in argv:
        argv.remove("--no-install")
        system.forbid_installing()
    command = argv[1] if len(argv) > 1 else "help"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    try:
        if command == "test":
            # told to end, it still stops its server and takes its folders away
            signal.signal(signal.SIGTERM, lambda number, _: sys.exit(128 + number))
            return testing.run(argv[2:])
        if command in OWN_COMMANDS:
            return OWN_COMMANDS[command](argv)
        _choose_shop(command, argv)
        if command in FIRST_COMMANDS or not _is_equipped():
            return _enter(_equip(command), argv)
    except CannotGoOn as sentence:
        print(sentence, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    return None


def _choose_shop(command: str, argv: list[str]) -> None:
    """Say what settings must know before they are read: which shop, and whether other devices may call.

    The demo is kept away from the real shop: a folder and a database of its own, whatever the environment says.
    """
    if "--lan" in argv or "--https" in argv:
        os.environ["SHOP_LAN"] = "1"
    if "--https" in argv:
        os.environ["SHOP_HTTPS"] = "1"
    if command == "demo":
        os.environ["SHOP_DATA"] = os.environ.get("SHOP_DEMO_DATA") or str(HOME / ".demo")
        os.environ["SHOP_DEMO"] = "1"
        os.environ.pop("DATABASE_URL", None)
    shop_folder(os.environ.get("SHOP_DATA"))


def _in_a_shop_of_its_own(argv: list[str]) -> int:
    """Run the command in a new, empty shop that is gone afterwards."""
    python = _equip(argv[1])
    with tempfile.TemporaryDirectory(prefix="mendwright-walk-") as folder:
        variables = {**os.environ, "SHOP_DATA": folder, "PYTHONPATH": str(HOME)}
        variables.pop("DATABASE_URL", None)
        return subprocess.run([str(python), "-m", "django", *argv[1:]], check=False, env=variables).returncode


def _equip(command: str) -> Path:
    """Return an interpreter in which `command` can run."""
    python = environment.ensure(environment.RUNTIME)
    os.environ.update(system.paper_variables(os.environ))
    if command in FIRST_COMMANDS and (complaint := system.ensure_paper()):
        print(complaint, file=sys.stderr)
    return python


def _is_equipped() -> bool:
    """True when this interpreter has what the shop needs: our environment, or one that somebody made by hand."""
    return all(
        importlib.util.find_spec(name)
        for name in ("django", "django_htmx", "django_otp", "dj_database_url", "whitenoise")
    )


def _enter(python: Path, argv: list[str]) -> int | None:
    """Go on in the environment's interpreter; None when this is it."""
    if Path(sys.prefix).resolve() == ENVIRONMENT.resolve():
        return None
    command = [str(python), str(HOME / "manage.py"), *argv[1:]]
    if ON_WINDOWS:
        # there, exec would return to the prompt while the command still runs
        return subprocess.run(command, check=False).returncode
    sys.stdout.flush()
    return os.execv(python, command)  # noqa: S606  never comes back


# What is done before Django is there, or without it.
OWN_COMMANDS: dict[str, Callable[[list[str]], int]] = {
    "test": _test,
    "check_house": lambda _argv: checking.run(),
    "draw_floors": lambda _argv: floors.into_the_guide(),
    "lock": lambda _argv: lock.make(),
    "version": _version,
    "walkthrough": _in_a_shop_of_its_own,
}
