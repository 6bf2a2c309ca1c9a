"""WeasyPrint costs 0.4 s and 40 MB: a process that makes no paper never loads it (its own time and size, measured once)."""

from __future__ import annotations

import subprocess
import sys

from django.conf import settings

EVERY_MODULE = """
import importlib, pkgutil, sys
import django
django.setup()
from django.urls import get_resolver
import shop
list(get_resolver().reverse_dict)
for module in pkgutil.walk_packages(shop.__path__, "shop."):
    name = module.name
    if "migrations" in name or name.startswith(("shop.bootstrap", "shop.wsgi", "shop.press.fetcher")):
        continue
    importlib.import_module(name)
heavy = [name for name in ("weasyprint", "facturx", "pypdf") if name in sys.modules]
print("loaded:", *heavy)
"""


def test_the_pdf_library_is_loaded_where_a_paper_is_made_and_nowhere_else() -> None:
    said = subprocess.run(
        [sys.executable, "-c", EVERY_MODULE],
        check=True,
        capture_output=True,
        text=True,
        cwd=settings.BASE_DIR,
    )
    assert said.stdout.strip() == "loaded:"
