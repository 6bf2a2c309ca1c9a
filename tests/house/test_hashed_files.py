"""What a browser keeps for good is asked for by a name that changes with it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from django.conf import settings

from shop.front_door.hashed_files import HashedFiles

SCRIPTS = Path(settings.BASE_DIR) / "static" / "js" / "bench"


def laid_out(folder: Path, scripts: Path) -> dict[str, str]:
    """The scripts of the bench as a shop serves them: plain name and hashed name."""
    home = folder / "js" / "bench"
    shutil.copytree(scripts, home)
    storage = HashedFiles(location=folder, base_url="/static/")
    names = {f"js/bench/{one.name}": (storage, f"js/bench/{one.name}") for one in scripts.glob("*.js")}
    # beside each it lays a compressed copy, which is told under a name that ends otherwise
    made = [(plain, hashed) for plain, hashed, _ in storage.post_process(names)]
    return {plain: hashed for plain, hashed in made if hashed.endswith(".js")}


def test_scripts_import_each_other_by_names_that_change_with_them(tmp_path: Path) -> None:
    names = laid_out(tmp_path / "first", SCRIPTS)
    imported = set()
    for hashed in names.values():
        text = (tmp_path / "first" / hashed).read_text(encoding="utf-8")
        found = re.findall(r"""from ["'](.+?)["'];""", text)
        assert all(re.fullmatch(r"\./[a-z]+\.[0-9a-f]{12}\.js", one) for one in found), hashed
        assert all((tmp_path / "first" / "js" / "bench" / one).exists() for one in found), hashed
        imported |= set(found)
    assert len(imported) > 8

    changed = tmp_path / "changed"
    shutil.copytree(SCRIPTS, changed)
    (changed / "store.js").write_text("export const changed = true;\n", encoding="utf-8")
    after = laid_out(tmp_path / "second", changed)
    # what imports it is another file, too, and so is what imports that
    assert {name for name in names if names[name] != after[name]} >= {
        f"js/bench/{one}.js" for one in ("store", "outbox", "bench")
    }
    assert names["js/bench/bell.js"] == after["js/bench/bell.js"]
