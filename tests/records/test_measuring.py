"""The measuring command does what DEVELOPERS.md says of it, on a book small enough for a test."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings


@pytest.mark.soak
def test_measuring_prints_every_shape_beside_its_bare_query(tmp_path: Path) -> None:
    out = tmp_path / "measured.json"
    subprocess.run(
        [sys.executable, "manage.py", "measure", "search", "--jobs", "300", "--others", "--out", str(out)],
        cwd=settings.BASE_DIR,
        env={
            **{
                name: value
                for name, value in os.environ.items()
                if not name.startswith(("PYTEST", "DATABASE"))
            },
            "SHOP_DATA": str(tmp_path / "shop"),
        },
        check=True,
        capture_output=True,
    )
    told = json.loads(out.read_text(encoding="utf-8"))
    assert told["jobs"] == 300
    assert {"index_build_seconds", "upkeep_ms", "machine", "other_ways"} <= set(told)
    beside = {name for name, shape in told["shapes"].items() if "sql_to_bare_p95" in shape}
    assert {"rare word, newest", "two common words, best", "what fixed it last time"} <= beside
    assert all({"median_ms", "p95_ms"} <= set(shape["sql"]) for shape in told["shapes"].values())
