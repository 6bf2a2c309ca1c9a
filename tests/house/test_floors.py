"""The floors hold: no room imports what lies above it, and nothing in the data points upward either."""

from __future__ import annotations

import graphlib
import subprocess
import sys
from pathlib import Path
from typing import Any

import grimp
import pytest
from django.apps import apps
from django.conf import settings

from shop.bootstrap import floors

FLOORS = [
    "frame",
    "keeping",
    "press",
    "premises",
    "counter",
    "stockroom",
    "bench",
    "office",
    "dispatch",
    "planner",
    "records",
    "window",
]
FLOOR = {room: min(floor, FLOORS.index("records")) for floor, room in enumerate(FLOORS)}

LINT = [sys.executable, "-c", "from importlinter.cli import lint_imports_command as go; go()", "--no-cache"]


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the import contracts on the `shop` package found in `folder`."""
    environ = {"PYTHONPATH": str(folder), "PATH": "", "NO_COLOR": "1"}
    config = ["--config", str(settings.BASE_DIR / "pyproject.toml")]
    return subprocess.run(
        [*LINT, *config], cwd=folder, env=environ, capture_output=True, text=True, check=False
    )


def test_the_import_contracts_hold() -> None:
    linted = lint(settings.BASE_DIR)
    assert linted.returncode == 0, linted.stdout + linted.stderr


def in_order(package: str) -> None:
    """Put a package's modules in an order in which each imports only earlier ones; raises CycleError where there is none.

    Imports inside functions and those for types alone count too: they are how a circle is hidden.
    """
    graph = grimp.build_graph(package, cache_dir=None, exclude_type_checking_imports=False)
    graphlib.TopologicalSorter(
        {module: graph.find_modules_directly_imported_by(module) for module in graph.modules}
    ).prepare()


def test_no_modules_import_each_other_in_a_circle() -> None:
    in_order("shop")


def test_a_circle_hidden_in_a_function_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "a_house_with_a_circle"
    folder.mkdir()
    (folder / "__init__.py").touch()
    (folder / "bench.py").write_text("from a_house_with_a_circle import clock\n", encoding="utf-8")
    (folder / "clock.py").write_text(
        "def day():\n    from a_house_with_a_circle.bench import lamp\n", encoding="utf-8"
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    with pytest.raises(graphlib.CycleError):
        in_order(folder.name)


@pytest.mark.parametrize(
    "room, line, contract",
    [
        ("handbook", "import shop.frame", "A room imports only what lies below it"),
        ("handbook", "import random", "The handbook knows no framework"),
        ("counter", "import shop.bench", "A room imports only what lies below it"),
        ("records", "import shop.window", "A room imports only what lies below it"),
        ("premises", "import shop.settings", "A room imports only what lies below it"),
        ("bootstrap", "import django", "The bootstrap runs before anything is installed"),
    ],
)
def test_a_broken_contract_is_noticed(tmp_path: Path, room: str, line: str, contract: str) -> None:
    """The known-bad samples: a house of empty rooms in which one line reaches too high."""
    for name in [
        *FLOORS,
        "handbook",
        "bootstrap",
        "management",
        "opening",
        "scenes",
        "measuring",
        "front_door",
    ]:
        (tmp_path / "shop" / name).mkdir(parents=True)
        (tmp_path / "shop" / name / "__init__.py").touch()
    for name in ["__init__", "settings", "urls", "wsgi", "apps"]:
        (tmp_path / "shop" / f"{name}.py").touch()
    assert lint(tmp_path).returncode == 0
    (tmp_path / "shop" / room / "__init__.py").write_text(f"{line}\n", encoding="utf-8")
    linted = lint(tmp_path)
    assert linted.returncode == 1
    broken = [row for row in linted.stdout.splitlines() if row.endswith("BROKEN")]
    assert [row for row in broken if row.startswith(contract)] == broken


def relations() -> list[tuple[str, str, Any]]:
    """Every relation between two rooms: the room that holds it, the room it points to, and the field."""
    found = []
    for model in apps.get_models():
        if model._meta.app_label in FLOOR:
            for field in model._meta.get_fields():
                target = field.related_model
                if field.concrete and target is not None and target._meta.app_label in FLOOR:
                    found.append((model._meta.app_label, target._meta.app_label, field))
    return found


def test_no_foreign_key_points_upward() -> None:
    assert [str(field) for room, target, field in relations() if FLOOR[target] > FLOOR[room]] == []


def test_no_row_below_can_ask_for_the_rows_above_it() -> None:
    """A reverse accessor would let a lower room reach up by a name; such relations end in `related_name="+"`."""
    upward = [
        f"{field} lets {target} reach {room}"
        for room, target, field in relations()
        if FLOOR[target] < FLOOR[room] and not field.remote_field.hidden
    ]
    assert upward == []


def test_the_walk_over_the_models_sees_relations_at_all() -> None:
    assert len(relations()) > 20


def test_no_relation_to_everything_is_used() -> None:
    """A generic relation would point anywhere, upward too."""
    source = "".join(path.read_text(encoding="utf-8") for path in settings.BASE_DIR.glob("shop/*/models*.py"))
    assert "GenericForeignKey" not in source


def test_the_drawing_in_the_guide_is_that_of_the_imports() -> None:
    assert floors.drawn() == floors.draw(), "python3 manage.py draw_floors"


def test_the_guide_is_short_enough_for_a_first_day() -> None:
    assert (settings.BASE_DIR / "DEVELOPERS.md").stat().st_size <= 14_000
