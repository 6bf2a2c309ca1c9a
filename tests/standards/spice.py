"""ngspice as a second opinion: our own netlists, run as a program of its own.

`manage.py test` and `.ci/run` install it on Debian; elsewhere the tests that need it say that it is missing.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

needs_ngspice = pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice isn't installed")

_SAID = re.compile(r"^(\w+)\s*=\s*([-+.\deE]+)", re.MULTILINE)


def simulated(netlist: str, control: str) -> dict[str, float]:
    """Run a netlist with its control lines in batch mode; what its ``meas`` and ``print`` lines gave, by name."""
    text = f"* own netlist\n{netlist}\n.control\nset numdgt=9\n{control}\nquit\n.endc\n.end\n"
    with TemporaryDirectory() as folder:
        file = Path(folder, "own.cir")
        file.write_text(text, encoding="ascii")
        ran = subprocess.run(
            ["ngspice", "-b", file.name], cwd=folder, capture_output=True, text=True, timeout=120, check=False
        )
    found = {name.lower(): float(value) for name, value in _SAID.findall(ran.stdout)}
    assert found, ran.stdout + ran.stderr
    return found
