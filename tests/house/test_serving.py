"""A shop that starts: the demo from an empty folder to an answer, quickly the second time, and to itself alone."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.request import urlopen

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from shop.front_door import serving
from shop.management.commands.demo import new_password

# one worker starts the demo for all of these
pytestmark = pytest.mark.xdist_group("served")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class Started:
    """A serving command in a process of its own."""

    process: subprocess.Popen[str]
    port: int
    seconds: float = 0.0

    def answer(self, path: str = "") -> tuple[int, str]:
        """Status and text of one page."""
        try:
            with urlopen(f"http://127.0.0.1:{self.port}/{path}", timeout=20) as reply:
                return reply.status, reply.read().decode()
        except HTTPError as error:
            return error.code, error.read().decode()

    def stop(self) -> str:
        """Stop it as Ctrl-C does, and return what it printed."""
        self.process.send_signal(signal.SIGINT)
        return self.process.communicate(timeout=30)[0]


def start(command: str, folder: Path, *options: str, patience: float = 400) -> Started:
    """Start `manage.py command` on a free port with its data in `folder`, and wait for its first answer."""
    environ = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("SHOP_", "DATABASE_", "PYTEST"))
    }
    environ |= {"SHOP_DATA": str(folder), "SHOP_DEMO_DATA": str(folder), "PYTHONUNBUFFERED": "1"}
    port, since = free_port(), time.monotonic()
    words = [sys.executable, "manage.py", command, "--port", str(port), *options]
    process = subprocess.Popen(
        words, cwd=settings.BASE_DIR, env=environ, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    started = Started(process, port)
    while time.monotonic() - since < patience:
        if process.poll() is not None:
            raise AssertionError(process.communicate()[0])
        with contextlib.suppress(URLError, ConnectionError):
            started.answer("no-such-page/")
            started.seconds = time.monotonic() - since
            return started
        time.sleep(0.1)
    process.kill()
    raise AssertionError(f"no answer within {patience} s: {process.communicate()[0]}")


@pytest.fixture(scope="module")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo")


@pytest.fixture(scope="module")
def first(demo_folder: Path) -> str:
    """What the first start of the demo printed, after it answered."""
    started = start("demo", demo_folder)
    status, page = started.answer("no-such-page/")
    assert status == 404
    sheet = re.search(r'href="/(static/css/[\w.-]+\.css)"', page)
    assert sheet is not None
    status, css = started.answer(sheet[1])
    assert (status, "{" in css) == (200, True)
    return started.stop()


def test_the_demo_prints_where_it_is_and_how_to_sign_in(first: str) -> None:
    assert "On this machine:  http://127.0.0.1:" in first
    assert "Sign in as:" in first
    assert re.search(r"Password: +[a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4}\n", first)


def test_the_demo_starts_a_second_time_in_five_seconds_with_another_password(
    first: str, demo_folder: Path
) -> None:
    again = start("demo", demo_folder)
    printed = again.stop()
    passwords = [re.search(r"Password: +(\S+)", words)[1] for words in (first, printed)]  # type: ignore[index]
    assert passwords[0] != passwords[1]
    assert again.seconds < 5 * slowness()


def slowness() -> float:
    """How much longer than alone a process takes now: the tests share two cores with others."""
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else 4.0
    return min(3.0, max(1.0, load / (os.cpu_count() or 1)))


@pytest.mark.usefixtures("first")
def test_the_demos_folder_is_nobody_elses_to_read(demo_folder: Path) -> None:
    assert (demo_folder / "secret-key").stat().st_mode & 0o077 == 0
    assert (demo_folder / "shop.sqlite3").exists()


def test_the_real_shop_prints_the_page_that_opens_it(tmp_path: Path) -> None:
    started = start("open", tmp_path)
    kept = (tmp_path / "opening-code").read_text(encoding="ascii")
    status, page = started.answer(f"opening/{kept}/")
    printed = started.stop()
    assert (status, "Open the shop" in page) == (200, True)
    assert f"/opening/{kept}/" in printed


def test_a_port_that_is_taken_gets_one_sentence() -> None:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        port = holder.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is taken or not allowed; choose another"):
            serving.require_free(serving.Stand(port=port))


def test_the_shop_listens_to_itself_alone_unless_asked() -> None:
    assert serving.Stand(port=1).bind == "127.0.0.1"
    assert serving.Stand(port=1, lan=True).bind == serving.EVERYWHERE
    assert serving.Stand(port=1).nearby is None


def test_the_tablet_gets_an_address_and_a_code_to_scan(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "lan_address", lambda: "192.0.2.7")
    told = serving.directions(serving.Stand(port=8010, lan=True), "opening/x/")
    assert "http://192.0.2.7:8010/opening/x/" in told
    assert "█" in told


def test_without_a_network_the_tablet_is_told_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "lan_address", lambda: None)
    assert "no tablet can reach it" in serving.directions(serving.Stand(port=8010, lan=True))


def test_passwords_are_typed_without_guessing_at_letters() -> None:
    passwords = {new_password() for _ in range(50)}
    assert len(passwords) == 50
    assert not set("".join(passwords)) & set("0Oo1lIi")


def test_the_demo_refuses_to_run_in_the_real_shops_folder() -> None:
    with pytest.raises(CommandError, match="a folder of its own"):
        call_command("demo")
