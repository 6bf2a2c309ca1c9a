"""Whether this computer can make PDFs: WeasyPrint needs three libraries of the operating system.

Looking for them costs milliseconds and does not import WeasyPrint, so that every command may look.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Iterable

from django.core.checks import CheckMessage, Warning, register  # noqa: A004  Django's own name for it

from shop.keeping.health import BAD, GOOD, Sign

# By Debian package: the names under which the library is loaded on Linux, macOS and Windows.
LIBRARIES = {
    "libpango-1.0-0": ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0-0.dll"),
    "libpangoft2-1.0-0": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "libpangoft2-1.0-0.dll"),
    "libharfbuzz-subset0": (
        "libharfbuzz-subset.so.0",
        "libharfbuzz-subset.0.dylib",
        "libharfbuzz-subset-0.dll",
    ),
}


def missing_libraries() -> list[str]:
    """The Debian packages whose libraries this computer lacks. Looked up only on Linux: elsewhere WeasyPrint knows."""
    if not sys.platform.startswith("linux"):
        return []
    return [package for package, names in LIBRARIES.items() if not any(_loads(name) for name in names[:1])]


def remedy(missing: Iterable[str] = ()) -> str:
    """One sentence: what to install so that papers can be made."""
    packages = " ".join(missing) or " ".join(LIBRARIES)
    if sys.platform == "darwin":
        return "Papers can’t be made as PDF on this computer yet: install Pango with “brew install pango”."
    if sys.platform == "win32":
        return "Papers can’t be made as PDF on this computer yet: install Pango from MSYS2 (mingw-w64-x86_64-pango)."
    return (
        "Papers can’t be made as PDF on this computer yet: install the Debian packages with "
        f"“sudo apt-get install --no-install-recommends {packages}”."
    )


@register("papers")
def check_libraries(app_configs: object, **_options: object) -> list[CheckMessage]:
    """Say at start-up what papers lack; the shop still runs, and shows papers as pages to print."""
    missing = missing_libraries()
    return [Warning(remedy(missing), id="press.W001")] if missing else []


def sign() -> Sign:
    """Whether papers can be made, for the page of the shop's health."""
    if missing := missing_libraries():
        return Sign("Papers", BAD, remedy(missing))
    return Sign("Papers", GOOD, "PDFs can be made.")


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True
