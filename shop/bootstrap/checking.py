"""`python3 manage.py check_house`: is the house in order? All checks that need no test run, in under a minute.

Each check is named, and says what it found; the exit code is 0 where none found anything. The checks that call a tool run side by
side, as many as the machine has cores.
"""

from __future__ import annotations

import ast
import keyword
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from shop.bootstrap import environment
from shop.bootstrap.places import HOME

LINES_SHOWN = 30
WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
CALLED_BY_NAME = (
    # Django, and what stands under Django, call these by their names
    *(
        "Command",
        "*Config",
        "Meta",
        "Params",
        "handle",
        "add_arguments",
        "ready",
        "check_*",
        "clean",
        "clean_*",
        "prepare_value",
    ),
    *(
        "database_*",
        "state_*",
        "describe",
        "deconstruct",
        "from_db_value",
        "to_python",
        "get_*",
        "db_type",
        "contribute_to_class",
    ),
    *(
        "has_changed",
        "value_from_datadict",
        "bound_data",
        "format_value",
        "emit",
        "format",
        "filter",
        "process_*",
        "visit_*",
    ),
    *("do_GET", "log_message", "load_config", "load", "init_signals", "init", "fetch", "__*__"),
)
"""Names that are never called from our own code; vulture's patterns."""

MUST_NOT_BE_KEPT = re.compile(
    r"(^|/)(secret-key|opening-code|\.DS_Store|uv\.lock|pylock\.toml)$|\.sqlite3(-\w+)?$|\.pem$|\.key$|\.pyc$"
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One check that found something: its name, and what it found, a line each."""

    check: str
    lines: tuple[str, ...]


Check = Callable[[Path, Path], list[str]]


def run(home: Path = HOME) -> int:
    """Check the house in `home` and print what was found; return 0 where all is in order, else 1."""
    findings = list(look(environment.ensure(environment.TEST), home))
    for finding in findings:
        print(f"\n{finding.check}:")
        for line in finding.lines[:LINES_SHOWN]:
            print(f"  {line}")
        if len(finding.lines) > LINES_SHOWN:
            print(f"  ... and {len(finding.lines) - LINES_SHOWN} more lines")
    kept = len(CHECKS) - len(findings)
    print(
        f"\n{kept} of {len(CHECKS)} checks found nothing."
        if findings
        else f"All {kept} checks found nothing."
    )
    return 1 if findings else 0


def look(python: Path, home: Path = HOME, *, only: tuple[str, ...] = ()) -> Iterator[Finding]:
    """Run the checks (those named in `only`, or all) on the house in `home` with the tools of `python`."""
    chosen = {name: check for name, check in CHECKS.items() if not only or name in only}
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 2) as pool:
        found = {name: pool.submit(check, python, home) for name, check in chosen.items()}
        for name, future in found.items():
            if lines := future.result():
                yield Finding(name, tuple(lines))


# --- checks that a tool does --------------------------------------------------------------------------------


def _said_by(python: Path, home: Path, *arguments: str) -> list[str]:
    """What a tool printed where it found something, else nothing; a tool that can't run has found something, too."""
    command = [str(python), *arguments]
    variables = {**os.environ, "NO_COLOR": "1", "PYTHONPATH": str(home)}
    run = subprocess.run(command, cwd=home, env=variables, capture_output=True, text=True, check=False)
    if run.returncode == 0:
        return []
    return [line for line in (run.stdout + run.stderr).splitlines() if line.strip()] or [
        f"{arguments[1]} ended with {run.returncode} and said nothing"
    ]


def careful(python: Path, home: Path) -> list[str]:
    """Ruff's rules, docstrings of public functions among them."""
    return _said_by(python, home, "-m", "ruff", "check", "--output-format", "concise", "--no-cache", ".")


def formatted(python: Path, home: Path) -> list[str]:
    """Whether the formatter would change anything."""
    said = _said_by(
        python, home, "-m", "ruff", "format", "--check", "--no-cache", "--output-format", "concise", "."
    )
    return [line for line in said if not line.startswith("warning")]


def typed(python: Path, home: Path) -> list[str]:
    """The types of the shop and of its tests."""
    return _said_by(python, home, "-m", "mypy", "--no-error-summary", "--hide-error-context", "shop", "tests")


def balanced(python: Path, home: Path) -> list[str]:
    """The templates: tags that open and close, attributes in quotes."""
    said = _said_by(
        python,
        home,
        "-m",
        "djlint",
        "--lint",
        "--quiet",
        "--linter-output-format",
        "{filename}:{line} {code} {message} {match}",
        "templates",
    )
    return [line for line in said if re.match(r"\S+:\d+:\d+ [A-Z]\d+ ", line)] or said


def on_its_floor(python: Path, home: Path) -> list[str]:
    """The contracts of who may import whom."""
    said = _said_by(
        python, home, "-c", "from importlinter.cli import lint_imports_command as go; go()", "--no-cache"
    )
    broken = [line for line in said if line.endswith("BROKEN") or line.lstrip().startswith("-")]
    return broken or said


def alive(python: Path, home: Path) -> list[str]:
    """Functions, methods and classes that nothing calls: no code, no template, no setting, nor the kept list."""
    with tempfile.TemporaryDirectory() as folder:
        words = Path(folder) / "words.py"
        words.write_text(
            "".join(f"_.{word}\n" for word in sorted(_called_from_outside(home))), encoding="utf-8"
        )
        kept = [str(path) for path in (home / "tests" / "house" / "kept_alive.py",) if path.exists()]
        said = _said_by(
            python,
            home,
            *("-m", "vulture", "shop", "manage.py", str(words), *kept),
            *("--min-confidence", "60", "--exclude", "*/migrations/*"),
            *("--ignore-decorators", "@register*,@admin*", "--ignore-names", ",".join(CALLED_BY_NAME)),
        )
    kinds = (
        "unused function",
        "unused method",
        "unused class",
        "unused property",
        "unused import",
        "unreachable",
    )
    return [line for line in said if any(kind in line for kind in kinds)]


def _called_from_outside(home: Path) -> set[str]:
    """Every word of the templates, and every word of the texts in settings, doors and apps, which name code by strings."""
    words: set[str] = set()
    for path in (home / "templates").rglob("*"):
        if path.is_file():
            words.update(WORD.findall(path.read_text(encoding="utf-8")))
    for path in (
        *(home / "shop").rglob("settings.py"),
        *(home / "shop").rglob("urls.py"),
        home / "pyproject.toml",
    ):
        text = path.read_text(encoding="utf-8")
        words.update(word for quoted in re.findall(r"\"([^\"\n]*)\"", text) for word in WORD.findall(quoted))
    return {word for word in words if not keyword.iskeyword(word)}


# --- checks of our own --------------------------------------------------------------------------------------


def _tracked(home: Path, *arguments: str) -> list[str] | None:
    """What git lists, or None where this copy is not kept by git (an unpacked release)."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", *arguments], cwd=home, capture_output=True, text=True, check=False
    )
    return [name for name in listed.stdout.split("\0") if name] if listed.returncode == 0 else None


def top_level(_python: Path, home: Path) -> list[str]:
    """The top level holds what the map in DEVELOPERS.md lists, and nothing else."""
    listed = set(re.findall(r"^    ([\w.]+)/? ", _map_of(home), re.MULTILINE))
    if not listed:
        return ["DEVELOPERS.md has no map of the top level any more."]
    tracked = _tracked(home)
    if tracked is None:
        return []
    standing = {name.split("/")[0] for name in tracked}
    return [
        *(
            f"{name} stands at the top level and not in the map of DEVELOPERS.md"
            for name in sorted(standing - listed)
            if not name.startswith(".")
        ),
        *(f"{name} is in the map of DEVELOPERS.md and not there" for name in sorted(listed - standing)),
    ]


def _map_of(home: Path) -> str:
    told = (home / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"^## The map\n(.*?)^\|", told, re.DOTALL | re.MULTILINE)
    return found[1] if found else ""


def rightly_kept(_python: Path, home: Path) -> list[str]:
    """No file is in git that git should ignore, no secret, no book."""
    tracked = _tracked(home)
    if tracked is None:
        return []
    ignored = _tracked(home, "--cached", "--ignored", "--exclude-standard") or []
    stray = {name for name in tracked if MUST_NOT_BE_KEPT.search(name)} | set(ignored)
    return [f"{name} should not be in git" for name in sorted(stray)]


def explained(_python: Path, home: Path) -> list[str]:
    """Every public function and class of the shop says what it is for."""
    return [
        f"{path.relative_to(home)}:{node.lineno} {node.name} has no docstring"
        for path in sorted((home / "shop").rglob("*.py"))
        if "migrations" not in path.parts
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and not node.name.startswith("_")
        and ast.get_docstring(node) is None
    ]


CHECKS: dict[str, Check] = {
    "Types": typed,
    "Dead code": alive,
    "Floors": on_its_floor,
    "Rules": careful,
    "Layout": formatted,
    "Templates": balanced,
    "Top level": top_level,
    "Kept by git": rightly_kept,
    "Docstrings": explained,
}

if __name__ == "__main__":
    sys.exit(run())
