"""https on the shop's own network: an authority that vouches for this machine alone, renewed by itself, trusted once.

Checked by the standard library's TLS (OpenSSL), which had no part in making the certificates.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import signal
import socket
import ssl
import stat
import subprocess
import sys
import time
from pathlib import Path
from urllib.request import urlopen as ask

import pytest
from cryptography import x509
from django.conf import settings

from shop.front_door import serving
from shop.opening import certificates
from shop.opening.certificates import Certificates, ready
from shop.opening.trust import AUTHORITY_PATH, TrustDesk

NAMES = ["shop-pc", "shop-pc.local", "192.168.7.20"]
NOW = dt.datetime.now(dt.UTC)


def certificate(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


@pytest.fixture
def kept(tmp_path: Path) -> Certificates:
    return ready(tmp_path / "https", NAMES)


def test_the_keys_are_the_owners_alone(kept: Certificates) -> None:
    for path in (kept.key, kept.authority_key):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(kept.folder.stat().st_mode) == 0o700


def test_nothing_is_made_anew_while_it_lasts(kept: Certificates) -> None:
    before = {path: path.read_bytes() for path in kept.folder.iterdir()}
    ready(kept.folder, NAMES, now=NOW + dt.timedelta(days=300))
    assert {path: path.read_bytes() for path in kept.folder.iterdir()} == before


@pytest.mark.parametrize(
    "names, later", [(NAMES, dt.timedelta(days=306)), ([*NAMES, "192.168.7.21"], dt.timedelta())]
)
def test_the_certificate_is_renewed_in_time_and_for_a_new_address_under_the_same_authority(
    kept: Certificates, names: list[str], later: dt.timedelta
) -> None:
    authority, old = kept.authority.read_bytes(), kept.certificate.read_bytes()
    ready(kept.folder, names, now=NOW + later)
    assert kept.authority.read_bytes() == authority
    assert kept.certificate.read_bytes() != old
    assert certificate(kept.certificate).not_valid_after_utc > NOW + later + dt.timedelta(days=360)


def test_a_machine_with_another_name_or_a_public_address_gets_an_authority_that_may_vouch_for_it(
    kept: Certificates,
) -> None:
    old = kept.authority.read_bytes()
    ready(kept.folder, ["new-pc", "192.0.2.2"])
    assert kept.authority.read_bytes() != old
    again = kept.authority.read_bytes()
    ready(kept.folder, ["new-pc", "10.3.4.5"])
    assert kept.authority.read_bytes() == again


def test_a_broken_file_is_made_anew(kept: Certificates) -> None:
    kept.certificate.write_text("half a certifi")
    ready(kept.folder, NAMES)
    assert certificate(kept.certificate)


def test_a_tablet_accepts_it_for_no_longer_than_825_days(kept: Certificates) -> None:
    made = certificate(kept.certificate)
    assert made.not_valid_after_utc - made.not_valid_before_utc <= dt.timedelta(days=825)


def test_the_authority_can_vouch_for_no_other_names(kept: Certificates, tmp_path: Path) -> None:
    """The known-bad sample: a certificate for a bank under the same authority is refused by OpenSSL."""
    certificates._make_certificate(kept, ["localhost", "bank.example"], NOW)
    checked = subprocess.run(
        ["openssl", "verify", "-CAfile", kept.authority, kept.certificate],
        capture_output=True,
        text=True,
        check=False,
    )
    assert checked.returncode != 0
    assert "permitted subtree violation" in checked.stderr + checked.stdout
    certificates._make_certificate(kept, [*NAMES, "localhost", "127.0.0.1"], NOW)
    good = subprocess.run(
        ["openssl", "verify", "-CAfile", kept.authority, kept.certificate], capture_output=True, check=False
    )
    assert good.returncode == 0, good.stderr


def test_the_trust_desk_hands_out_the_authority_and_nothing_else(kept: Certificates) -> None:
    server = serving.serve_beside(
        TrustDesk.of(kept, "https://192.168.7.20:8000/"), serving.Stand(port=free_pair())
    )
    port = server.effective_port
    page = ask(f"http://127.0.0.1:{port}/").read().decode()
    for words in ("Android", "iPad", "Windows", kept.fingerprint(), "https://192.168.7.20:8000/"):
        assert words in page
    handed = ask(f"http://127.0.0.1:{port}{AUTHORITY_PATH}")
    assert handed.headers["Content-Type"] == "application/x-x509-ca-cert"
    assert handed.read() == kept.authority.read_bytes()
    for path in ("/authority.key", "/../https/authority.key", "/server.key"):
        with pytest.raises(OSError, match="404"):
            ask(f"http://127.0.0.1:{port}{path}")
    server.stop()


def free_pair() -> int:
    """Two free ports side by side."""
    while True:
        with socket.socket() as probe, socket.socket() as beside:
            probe.bind(("", 0))
            port = int(probe.getsockname()[1])
            with contextlib.suppress(OSError, OverflowError):
                beside.bind(("", port + 1))
                return port


@pytest.mark.skipif(os.name == "nt", reason="the shop's server speaks no https there")
@pytest.mark.xdist_group("served")
def test_the_shop_opens_with_https_and_says_how_a_tablet_comes_to_trust_it(tmp_path: Path) -> None:
    port = free_pair()
    environ = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "SHOP_"))}
    environ |= {"SHOP_DATA": str(tmp_path / "shop"), "PYTHONUNBUFFERED": "1"}
    environ.pop("DATABASE_URL", None)
    command = [sys.executable, "manage.py", "open", "--https", "--port", str(port)]
    opened = subprocess.Popen(
        command,
        cwd=settings.BASE_DIR,
        env=environ,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        authority = tmp_path / "shop" / "https" / "authority.pem"
        context, reply = None, None
        for _ in range(600):
            with contextlib.suppress(OSError):
                context = ssl.create_default_context(cafile=str(authority))
                reply = ask(f"https://localhost:{port}/premises/sign-in/", context=context, timeout=5)
                break
            time.sleep(0.2)
        assert reply is not None, "the shop never answered"
        assert reply.status == 200
        cookie = reply.headers["Set-Cookie"]
        assert "Secure" in cookie
        # a browser that was not told to trust it refuses
        with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
            ask(f"https://localhost:{port}/", context=ssl.create_default_context(), timeout=5)
        assert "Trust" in ask(f"http://127.0.0.1:{port + 1}/").read().decode()
    finally:
        opened.send_signal(signal.SIGINT)
        said = opened.communicate(timeout=30)[0]
    assert "Once on each tablet" in said
    assert "SHA-256" in said
