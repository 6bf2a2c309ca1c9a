"""Where the bootstrap finds and puts things."""

from __future__ import annotations

import os
import sys
from pathlib import Path

HOME = Path(__file__).resolve().parent.parent.parent
ENVIRONMENT = HOME / ".venv"
LOCKS = Path(__file__).resolve().parent
OWN_SHOPS = (HOME / ".shop", HOME / ".demo")
"""The two folders of the checkout that may be a shop's: git leaves them out."""
ON_WINDOWS = os.name == "nt"
ON_MAC = sys.platform == "darwin"


class CannotGoOn(Exception):
    """Something the person at the keyboard has to mend; the message is the sentence, with the command."""


def shop_folder(named: str | None) -> Path:
    """The folder of the shop that SHOP_DATA names, `.shop` for none. Nothing is made.

    Raises CannotGoOn for one among the program's own files: a shop's book and its secret would go wherever those go.
    """
    folder = Path(named or HOME / ".shop").expanduser().resolve()
    if HOME in (folder, *folder.parents) and folder not in OWN_SHOPS:
        raise CannotGoOn(
            f"{folder} lies among the program’s own files: name a folder elsewhere for the shop’s data (SHOP_DATA), "
            "or none, for .shop."
        )
    return folder


def environment_python(environment: Path = ENVIRONMENT, *, windows: bool = ON_WINDOWS) -> Path:
    """Return the interpreter of a virtual environment, there or not."""
    return environment / "Scripts" / "python.exe" if windows else environment / "bin" / "python"
