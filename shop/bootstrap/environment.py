"""The virtual environment: made once, brought up to the lock when the lock changes, entered quickly otherwise."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from shop.bootstrap import system
from shop.bootstrap.places import ENVIRONMENT, LOCKS, CannotGoOn, environment_python

STAMP = "mendwright-stamp.json"
WHY_VENV = "to make the environment that the shop runs in"


@dataclass(frozen=True, slots=True)
class Lock:
    """One hash-pinned list of packages; `covers` names the smaller lists that it contains."""

    name: str
    file: Path
    covers: tuple[str, ...] = ()

    @property
    def digest(self) -> str:
        """SHA-256 of the list."""
        return hashlib.sha256(self.file.read_bytes()).hexdigest()


RUNTIME = Lock("runtime", LOCKS / "requirements.lock")
TEST = Lock("test", LOCKS / "requirements-test.lock", covers=("runtime",))
ALL_LOCKS = {lock.name: lock for lock in (RUNTIME, TEST)}


def is_current(lock: Lock, environment: Path = ENVIRONMENT) -> bool:
    """True when the environment exists and was last brought up to exactly this list."""
    return environment_python(environment).exists() and _stamps(environment).get(lock.name) == lock.digest


def ensure(lock: Lock, environment: Path = ENVIRONMENT) -> Path:
    """Bring the environment up to `lock` and return its interpreter; quick when there is nothing to do.

    Raises CannotGoOn with one sentence when the machine lacks what is needed.
    """
    python = environment_python(environment)
    if is_current(lock, environment):
        return python
    if not python.exists():
        _make(environment)
    _install(lock, python)
    _stamp(lock, environment)
    return python


def _make(environment: Path) -> None:
    _say(f"Making the environment in {environment.name} ...")
    output = _try_to_make(environment)
    if output is not None and "ensurepip" in output and system.may_install([_venv_package()], WHY_VENV):
        system.install([_venv_package()])
        output = _try_to_make(environment)
    if output is not None:
        raise CannotGoOn(explain_failed_environment(output))


def _try_to_make(environment: Path) -> str | None:
    """Return None when it worked, else what was said."""
    command = [sys.executable, "-m", "venv", "--clear", str(environment)]
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    return None if made.returncode == 0 else made.stdout + made.stderr


def _venv_package() -> str:
    return f"python{sys.version_info.major}.{sys.version_info.minor}-venv"


def explain_failed_environment(output: str) -> str:
    """Return the one sentence for what `python -m venv` printed before it failed."""
    if "ensurepip" in output:
        command = system.install_command([_venv_package()])
        return f"This Python cannot make virtual environments yet; type this, then start again: {command}"
    last = output.strip().splitlines()[-1:] or ["it gave no reason"]
    return f"The virtual environment could not be made: {last[0]}"


def _install(lock: Lock, python: Path) -> None:
    _say(
        f"Installing the pinned packages ({lock.file.name}); this happens once and takes a minute or two ..."
    )
    command = [str(python), "-m", "pip", "install", "-qq", "--disable-pip-version-check", "--no-input"]
    command += ["--require-hashes", "-r", str(lock.file)]
    if subprocess.run(command, check=False).returncode != 0:
        raise CannotGoOn(
            "The packages could not be installed (pip says why above); check the network connection, then start again."
        )


def _stamps(environment: Path) -> dict[str, str]:
    try:
        stamps = json.loads((environment / STAMP).read_text(encoding="utf-8"))
    except (FileNotFoundError, json.JSONDecodeError):
        return {}
    return stamps if isinstance(stamps, dict) else {}


def _stamp(lock: Lock, environment: Path) -> None:
    stamps = {name: ALL_LOCKS[name].digest for name in lock.covers if name in ALL_LOCKS}
    stamps[lock.name] = lock.digest
    (environment / STAMP).write_text(json.dumps(stamps, indent=1), encoding="utf-8")


def _say(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)
