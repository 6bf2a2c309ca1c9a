"""What a user downloads: made by `.ci/release`, opened in a clean folder."""

from __future__ import annotations

import hashlib
import os
import socket
import subprocess
import sys
import tarfile
import time
import tomllib
import urllib.request
from pathlib import Path

import pytest

from shop.bootstrap.places import HOME, ON_WINDOWS
from shop.bootstrap.version import version

pytestmark = pytest.mark.skipif(ON_WINDOWS, reason="releases are made on Debian")


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The archive of the last commit."""
    if subprocess.run(["git", "rev-parse"], cwd=HOME, capture_output=True, check=False).returncode != 0:
        pytest.skip("this copy of the project is not kept by git")
    into = tmp_path_factory.mktemp("dist")
    made = subprocess.run(
        [HOME / ".ci" / "release", into], capture_output=True, text=True, check=False, cwd=HOME
    )
    assert made.returncode == 0, made.stderr
    return Path(made.stdout.strip())


def test_the_archive_is_the_one_that_its_hash_names_and_is_made_alike_again(
    archive: Path, tmp_path: Path
) -> None:
    digest, name = archive.with_name(f"{archive.name}.sha256").read_text(encoding="ascii").split()
    assert name == archive.name
    assert hashlib.sha256(archive.read_bytes()).hexdigest() == digest
    subprocess.run([HOME / ".ci" / "release", tmp_path], capture_output=True, check=True, cwd=HOME)
    assert (tmp_path / archive.name).read_bytes() == archive.read_bytes()


def test_it_holds_licenses_changes_and_the_pinned_packages_and_no_book(archive: Path) -> None:
    with tarfile.open(archive) as tar:
        names = {name.partition("/")[2] for name in tar.getnames()}
    wanted = {
        "LICENSE",
        "CHANGES.md",
        "README.md",
        "manage.py",
        "static/fonts/OFL.txt",
        "static/icons/LICENSE.txt",
    }
    assert wanted <= names
    assert "shop/bootstrap/requirements.lock" in names
    assert not [name for name in names if name.endswith((".sqlite3", "secret-key", ".pyc"))]


def test_unpacked_in_a_clean_folder_it_opens_a_shop(archive: Path, tmp_path: Path) -> None:
    with tarfile.open(archive) as tar:
        tar.extractall(tmp_path, filter="data")
    [home] = tmp_path.iterdir()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    # the packages are at hand already: those of this run
    variables = {
        **os.environ,
        "SHOP_DATA": str(tmp_path / "shop"),
        "PYTHONPATH": str(home),
        "SHOP_NO_INSTALL": "1",
    }
    for name in ("DATABASE_URL", "PYTEST_VERSION", "DJANGO_SETTINGS_MODULE"):
        variables.pop(name, None)
    (home / ".venv").symlink_to(Path(sys.prefix))
    command = [sys.executable, "manage.py", "open", "--port", str(port)]
    with subprocess.Popen(
        command, cwd=home, env=variables, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    ) as shop:
        try:
            assert answer(port, shop) == 200
        finally:
            shop.terminate()
            shop.communicate(timeout=30)


def answer(port: int, shop: subprocess.Popen[bytes]) -> int:
    """What the first page answers, once the server is up."""
    for _ in range(600):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=30) as page:
                return int(page.status)
        except OSError:
            assert shop.poll() is None, shop.stdout.read().decode() if shop.stdout else ""
            time.sleep(0.1)
    return 0


def test_the_version_is_told_by_a_command_and_has_its_changes() -> None:
    told = subprocess.run(
        [sys.executable, "manage.py", "version"], cwd=HOME, capture_output=True, text=True, check=True
    )
    assert told.stdout.startswith(f"Mendwright {version()} (Python 3.")
    assert f"\n## {version()}\n" in (HOME / ".release" / "CHANGES.md").read_text(encoding="utf-8")


def test_the_license_is_named_where_tools_look_for_it_and_every_text_of_it_is_there() -> None:
    project = tomllib.loads((HOME / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["license"] == "MIT"
    assert all((HOME / name).is_file() for name in project["license-files"])
    assert "MIT" in (HOME / "README.md").read_text(encoding="utf-8")
