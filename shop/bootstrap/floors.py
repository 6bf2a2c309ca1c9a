"""`python3 manage.py draw_floors`: the drawing of the floors in DEVELOPERS.md, made from the imports themselves.

A floor stands above those that it imports: the order is that of the contract in pyproject.toml, the dots come from the code.
"""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

from shop.bootstrap.places import HOME

BEGIN, END = "<!-- drawn by `python3 manage.py draw_floors` -->", "<!-- end of the drawing -->"
ROOMS_FROM = "records | window"
"""Above it stand the front door and the commands, which may import anything below."""


def draw(home: Path = HOME) -> str:
    """The floors as text, the highest first; a dot stands in the column of each room that a floor imports."""
    rooms = [
        room.strip() for layer in _layers(home) for room in layer.split("|") if _files(home, room.strip())
    ]
    columns = rooms[2:]  # nothing may import the two highest
    lines = ["```", f"{'':<11}{' '.join(f'{room[:9]:<9}' for room in columns)}".rstrip()]
    for room in rooms:
        taken = set().union(*map(_imported, _files(home, room)))
        marks = " ".join(f"{'   x' if column in taken and column != room else '':<9}" for column in columns)
        lines.append(f"{room:<11}{marks}".rstrip())
    return "\n".join([*lines, "```"])


def into_the_guide(home: Path = HOME) -> int:
    """Put the drawing into DEVELOPERS.md; 0 when done."""
    guide = home / "DEVELOPERS.md"
    before, _, rest = guide.read_text(encoding="utf-8").partition(BEGIN)
    _, _, after = rest.partition(END)
    guide.write_text(f"{before}{BEGIN}\n{draw(home)}\n{END}{after}", encoding="utf-8")
    return 0


def drawn(home: Path = HOME) -> str:
    """The drawing as it stands in DEVELOPERS.md."""
    text = (home / "DEVELOPERS.md").read_text(encoding="utf-8")
    return text.partition(BEGIN)[2].partition(END)[0].strip()


def _layers(home: Path) -> list[str]:
    settings = tomllib.loads((home / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    layers: list[str] = next(one["layers"] for one in contracts if one["id"] == "floors")
    return [layer for layer in layers[layers.index(ROOMS_FROM) :] if layer != "bootstrap"]


def _files(home: Path, room: str) -> list[Path]:
    found = (home / "shop" / room).rglob("*.py")
    return sorted(path for path in found if "migrations" not in path.parts and path.stat().st_size)


def _imported(path: Path) -> set[str]:
    rooms: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level == 0 and (node.module or "").startswith("shop."):
            rooms.add((node.module or "").split(".")[1])
        elif isinstance(node, ast.ImportFrom) and node.module == "shop":
            rooms.update(alias.name for alias in node.names)
        elif isinstance(node, ast.Import):
            rooms.update(alias.name.split(".")[1] for alias in node.names if alias.name.startswith("shop."))
    return rooms
