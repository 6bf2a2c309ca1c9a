"""What the operating system must bring: libraries for paper, a browser, a simulator and a database server for the tests.

Nothing is installed in silence. As root a missing piece is named with its reason and installed; by sudo, at a terminal, the
person is asked first; without rights, without a terminal or with `--no-install` there is one sentence with the command to type.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from shop.bootstrap.places import ON_MAC, ON_WINDOWS

# What WeasyPrint loads at run time, by the Debian package that brings it.
PAPER_LIBRARIES = {
    "libpango-1.0-0": "libpango-1.0.so.0",
    "libpangoft2-1.0-0": "libpangoft2-1.0.so.0",
    "libharfbuzz-subset0": "libharfbuzz-subset.so.0",
}
NO_INSTALL = "SHOP_NO_INSTALL"
MAC_LIBRARIES = [Path("/opt/homebrew/lib"), Path("/usr/local/lib")]
WINDOWS_LIBRARIES = [Path("C:/msys64/mingw64/bin"), Path("C:/msys64/ucrt64/bin")]


# --- installing ---------------------------------------------------------------------------------------------


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def forbid_installing() -> None:
    """Install nothing from now on (`--no-install`), in this process and in those that it starts."""
    os.environ[NO_INSTALL] = "1"


def _at_a_terminal() -> bool:
    return sys.stdin is not None and sys.stdin.isatty() and sys.stderr.isatty()


def may_install(packages: list[str], why: str) -> bool:
    """True where these Debian packages may be installed; at a terminal with sudo the person is asked.

    `why` completes “is needed”: “to make PDFs”. As root one line says what is about to be installed, and why.
    """
    if os.environ.get(NO_INSTALL) or shutil.which("apt-get") is None:
        return False
    named = ", ".join(packages)
    if _is_root():
        print(f"Installing {named} with Debian’s apt, {why} ...", file=sys.stderr, flush=True)
        return True
    if shutil.which("sudo") is None or not _at_a_terminal():
        return False
    print(f"{named}: needed {why}. Install with sudo now? [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in {"y", "yes"}


def install_command(packages: list[str]) -> str:
    """Return the command that installs Debian packages, as a person types it."""
    sudo = "" if _is_root() else "sudo "
    return f"{sudo}apt-get install --no-install-recommends {' '.join(packages)}"


def install(packages: list[str]) -> bool:
    """Install Debian packages; True when that worked. Lists are refreshed when the first try fails."""
    prefix = [] if _is_root() else ["sudo"]
    apt = [*prefix, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]
    order = [*apt, "install", "--yes", "--no-install-recommends", *packages]
    if _quietly(order):
        return True
    return _quietly([*apt, "update"]) and _quietly(order)


def _quietly(command: list[str]) -> bool:
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


# --- paper --------------------------------------------------------------------------------------------------


def missing_for_paper() -> list[str]:
    """Return the Debian packages (on other systems: the one package) without which no PDF can be made."""
    if ON_WINDOWS:
        found = any((folder / "libpango-1.0-0.dll").exists() for folder in _windows_folders())
        return [] if found else ["pango"]
    if ON_MAC:
        found = any((folder / "libpango-1.0.dylib").exists() for folder in MAC_LIBRARIES)
        return [] if found else ["pango"]
    return [package for package, library in PAPER_LIBRARIES.items() if not _loads(library)]


def _windows_folders() -> list[Path]:
    named = os.environ.get("WEASYPRINT_DLL_DIRECTORIES")
    return [Path(name) for name in named.split(";")] if named else WINDOWS_LIBRARIES


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def ensure_paper() -> str | None:
    """Install what PDFs need where we may; return None, or the sentence to show when something is still missing."""
    missing = missing_for_paper()
    if missing and may_install(missing, "to make PDFs"):
        install(missing)
        missing = missing_for_paper()
    if not missing:
        return None
    return f"No PDF can be made on this machine yet; type this: {paper_command(missing)}"


def paper_command(missing: list[str]) -> str:
    """Return the command that brings the libraries for PDFs on this system."""
    if ON_WINDOWS:
        return "pacman -S mingw-w64-x86_64-pango   (in the MSYS2 shell; MSYS2 has to be installed first)"
    if ON_MAC:
        return "brew install pango"
    if shutil.which("apt-get"):
        return install_command(missing)
    return f"your system's installer for Pango and HarfBuzz (Debian calls them {' '.join(missing)})"


def paper_variables(environ: Mapping[str, str]) -> dict[str, str]:
    """Return what must stand in the environment for WeasyPrint to find its libraries outside the usual folders."""
    if ON_MAC and "DYLD_FALLBACK_LIBRARY_PATH" not in environ:
        folders = [str(folder) for folder in MAC_LIBRARIES if folder.exists()]
        return {"DYLD_FALLBACK_LIBRARY_PATH": ":".join(folders)} if folders else {}
    if ON_WINDOWS and "WEASYPRINT_DLL_DIRECTORIES" not in environ:
        folders = [str(folder) for folder in WINDOWS_LIBRARIES if folder.exists()]
        return {"WEASYPRINT_DLL_DIRECTORIES": ";".join(folders)} if folders else {}
    return {}


# --- a browser for the tests --------------------------------------------------------------------------------

BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def find_browser() -> str | None:
    """Return the path of a Chromium that the system brings, or None. SHOP_CHROMIUM names another."""
    return os.environ.get("SHOP_CHROMIUM") or next(filter(None, map(shutil.which, BROWSERS)), None)


def ensure_browser(python: Path) -> str | None:
    """See to a Chromium; return None, or the sentence when there is none and we may not install it.

    Where apt is not at hand, Playwright (in the environment of `python`) brings a browser of its own.
    """
    if find_browser():
        return None
    if may_install(["chromium"], "for the tests in a browser"):
        install(["chromium"])
        if find_browser():
            return None
    if shutil.which("apt-get"):
        return f"The tests in a browser need Chromium; type this: {install_command(['chromium'])}"
    if _quietly([str(python), "-m", "playwright", "install", "chromium"]):
        return None
    return f"The tests in a browser need Chromium; type this: {python} -m playwright install chromium"


# --- a circuit simulator for the tests ----------------------------------------------------------------------


def ensure_simulator() -> str | None:
    """See to ngspice, the handbook's second opinion; None, or the sentence when there is none and we may not install it."""
    if shutil.which("ngspice"):
        return None
    if may_install(["ngspice"], "for the tests of the handbook"):
        install(["ngspice"])
        if shutil.which("ngspice"):
            return None
    if shutil.which("apt-get"):
        return f"Tests that simulate circuits are skipped without ngspice; type this: {install_command(['ngspice'])}"
    return "Tests that simulate circuits are skipped without ngspice."
