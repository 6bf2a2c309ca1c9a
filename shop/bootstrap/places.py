"""Where the bootstrap finds and puts things."""

from __future__ import annotations

import os
import sys
from pathlib import Path

HOME = Path(__file__).resolve().parent.parent.parent
ENVIRONMENT = HOME / ".venv"
LOCKS = Path(__file__).resolve().parent
ON_WINDOWS = os.name == "nt"
ON_MAC = sys.platform == "darwin"


class CannotGoOn(Exception):
    """Something the person at the keyboard has to mend; the message is the sentence, with the command."""


def environment_python(environment: Path = ENVIRONMENT, *, windows: bool = ON_WINDOWS) -> Path:
    """Return the interpreter of a virtual environment, there or not."""
    return environment / "Scripts" / "python.exe" if windows else environment / "bin" / "python"
