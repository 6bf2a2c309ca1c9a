"""Words that people stumbled over, or that no American bench says: they may not come back on pages, papers and commands.

Each stands with its reason in WORDS.md beside this file. British words belong to shops under British law alone.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

STUMBLED_OVER = r"""
put(ting)? right | put it right | state it | take up | note a look | proving | hands go in | rests on | half within
traces? of earlier (work|repairs?) | what was waited for | as likely as not | lying here | stands until
holds? from | leave unpaid | way home | thr(ow|own|ew) (\w+ ){0,3}away | most expected | in the book twice | keep no more
from memory | reckon\w* | anew | judge and write | call it ready
\d+ of 100 (cases|dates|jobs|times) | untick | ticked | ticks | the clock stands | in one go | set (it|this) aside | not fetched
prove it | let it go | offer it no more | by the hour after all | runs of talk | charge nothing more
keep it so | that is how it was | years? of building | how so | (?<!\?)mend(s|ed|ing)?
"""
"""Whole words as regular expressions, without regard to case."""

NOT_AMERICAN = r"""
labour\w* | licen(ce|ces) | (kilo|centi|milli)?metres? | (un)?earth(ed|ing)? | colour\w* | favour\w* | cheques? | tyres?
cancell(ed|ing) | grey | centres? | litres? | per cent | behaviour | catalogue | programme | neighbour\w* | learnt | burnt
whilst | mains | spanner | aluminium | recorded post | aerial
(author|organ|recogn|oxid|item|neutral|synchron|minim|maxim|summar|initial|real|util|custom)is(e|es|ed|ing|ation)
"""
"""British spellings and terms, the same way."""

_WORDS = re.split(r" \| |\n", (STUMBLED_OVER.strip() + NOT_AMERICAN.rstrip()))
NOT_SAID = re.compile(rf"\b(?:{'|'.join(_WORDS)})\b", re.IGNORECASE)

BRITISH_LAW = re.compile(r"handbook/law/(united_kingdom|unclaimed)")
"""Files that speak to shops under British law."""

READS = re.compile(
    r"handbook/(words|symptoms|isolation/(facts|states|points)|quantities|marks|spoken|openrepair|isolation/__)|records/bringing_in|measuring"
)
"""Files of words that are understood when somebody types them; nobody is shown them."""


NO_WORDS = re.compile(r"SELECT |[{(]%|\\b|\bFROM\b")
"""Strings that are queries or expressions."""


def not_said(text: str) -> list[str]:
    """The words in a text that may not come back."""
    return [match[0].lower() for match in NOT_SAID.finditer(text)]


def shown_by_template(source: str) -> Iterator[tuple[int, str]]:
    """What a template shows, line by line: its text and the words that stand in attributes a person reads or hears."""
    source = re.sub(
        r"{%\s*comment.*?endcomment\s*%}", lambda found: "\n" * found[0].count("\n"), source, flags=re.DOTALL
    )
    for at, line in enumerate(source.splitlines(), 1):
        said = re.findall(r'(?:aria-label|alt|title|data-label|placeholder|words)="([^"]*)"', line)
        plain = re.sub(r"{{.*?}}|{#.*?#}|{%.*?%}|<[^>]*>|^[^<]*=\"[^\"]*\"[^<]*>|<[^>]*$", " ", line)
        yield at, " ¦ ".join([plain, *(re.sub(r"{{.*?}}|{%.*?%}", " ", one) for one in said)])


def shown_by_module(source: str) -> Iterator[tuple[int, str]]:
    """The texts in a module that a person may read: strings with a capital or a space, without docstrings."""
    tree = ast.parse(source)
    silent = {
        id(statement.value)
        for node in ast.walk(tree)
        if hasattr(node, "body") and isinstance(node.body, list)
        for statement in node.body
        if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)
    }
    for node in ast.walk(tree):
        # what a module hands on, and the words under which a calculator is found, are not shown
        if isinstance(node, ast.Assign) and {"__all__", "words"} & {
            getattr(one, "id", "") for one in node.targets
        }:
            silent |= {id(one) for one in ast.walk(node.value)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str) or id(node) in silent:
            continue
        if re.search(r"[A-Z ]", node.value) and not NO_WORDS.search(node.value):
            yield node.lineno, re.sub(r"\{\w*\}", " ", node.value)


def said_by_script(source: str) -> Iterator[tuple[int, str]]:
    """The texts in a script: what stands in quotes and holds a space or begins with a capital."""
    for at, line in enumerate(source.splitlines(), 1):
        if not line.strip().startswith(("//", "*", "/*")):
            for one in re.findall(r"\"([^\"]*)\"|`([^`]*)`", line):
                if re.search(r"^[A-Z]| ", "".join(one)):
                    yield at, re.sub(r"\$\{.*?\}", " ", "".join(one))


def said_in(home: Path) -> Iterator[tuple[str, int, str]]:
    """Every text that the project's templates, modules and scripts show: file, line, text."""
    ways = (
        ("templates/**/*.html", shown_by_template),
        ("shop/**/*.py", shown_by_module),
        ("static/js/**/*.js", said_by_script),
    )
    for pattern, way in ways:
        for path in sorted(home.glob(pattern)):
            name = path.relative_to(home).as_posix()
            if "/migrations/" not in name and not READS.search(name) and not BRITISH_LAW.search(name):
                yield from ((name, at, text) for at, text in way(path.read_text(encoding="utf-8")))
