"""What goes out of the shop, and what comes back: cells, backups, cookies, and what stays in a browser."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import sqlite3
import tarfile
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from shop.frame.cells import cell
from shop.frame.refusal import Refusal
from shop.front_door import serving
from shop.keeping.contents import MANIFEST, is_proven, may_hold, proof_of
from shop.keeping.restoring import restore
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.house.test_front_door import real_shop

# OWASP, “CSV Injection”: these at the beginning of a cell; the full-width ones from the same page
SIGNS = "=+-@\t\r\n＝＋－＠"


@pytest.mark.parametrize("sign", SIGNS)
def test_no_cell_begins_with_what_a_spreadsheet_reckons_with(sign: str) -> None:
    assert cell(f"{sign}HYPERLINK(1)") == f"'{sign}HYPERLINK(1)"
    assert cell(f"\n{sign}5").startswith("'")


@given(st.text(alphabet=SIGNS + "0123456789.,eE aN", max_size=12))
def test_only_numbers_are_left_as_they_are(text: str) -> None:
    written = cell(text)
    if written[:1] in set(SIGNS) - {""}:
        float(written.replace(",", "."))


def test_numbers_stay_numbers() -> None:
    assert [cell(one) for one in ("-12.50", "+3", "-1,5", -7)] == ["-12.50", "+3", "-1,5", "-7"]


# --- backups ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        *("opening-code", "https/server.key", "static/js/house.js", "static-as-laid-out", "log/shop.log", "kept", "kept/x"),
        *("kept/../secret-key", "/etc/passwd", "kept\\..\\x", "kept//papers/x", "./shop.sqlite3", "shop.sqlite3-journal", ""),
        *("kept/papers/\0x", "SECRET-KEY", "secret-key/", "kept/papers/../../shop.sqlite3"),
    ],
)  # fmt: skip
def test_a_backup_may_hold_nothing_else(name: str) -> None:
    assert not may_hold(name)


@pytest.mark.parametrize(
    "name",
    [
        "shop.sqlite3",
        "shop.pgdump",
        "secret-key",
        "kept/papers/2026/11/x.pdf",
        "kept/brought-in/2026/11/a.csv",
    ],
)
def test_what_belongs_into_it_is_taken(name: str) -> None:
    assert may_hold(name)


def test_the_list_of_files_is_proven_by_the_key_and_by_no_other() -> None:
    proof = f"{proof_of(b'list', 'age1mine')}\n{proof_of(b'list', 'age1hers')}"
    assert is_proven(b"list", proof, ["age1other", "age1hers"])
    assert not is_proven(b"list.", proof, ["age1hers"])
    assert not is_proven(b"list", proof, ["age1other"])
    assert not is_proven(b"list", "", ["age1hers"])
    assert not is_proven(b"list", proof, [])


def test_an_encrypted_backup_that_somebody_else_made_is_not_brought_back(tmp_path: Path) -> None:
    """Encrypted to the shop's key, as whoever knows it can, by age's library; its list carries another's proof, or none."""
    pyrage = pytest.importorskip("pyrage")

    mine = pyrage.x25519.Identity.generate()
    (tmp_path / "identity").write_text(f"{mine}\n")
    for number, proof in enumerate((None, b"", proof_of(b"{}", "age1other").encode())):
        planted = tmp_path / f"planted{number}.tar"
        with tarfile.open(planted, "w") as tar:
            for name, content in ((MANIFEST, b"{}"), ("manifest.proof", proof)):
                if content is not None:
                    info = tarfile.TarInfo(name)
                    info.size = len(content)
                    tar.addfile(info, io.BytesIO(content))
        sealed = Path(f"{planted}.age")
        pyrage.encrypt_file(str(planted), str(sealed), [mine.to_public()])
        with pytest.raises(Refusal, match="does not prove"):
            restore(sealed, tmp_path / "new", identity=tmp_path / "identity")
        with pytest.raises(Refusal, match="can’t be read"):
            restore(sealed, tmp_path / "new", identity=tmp_path / "identity", unproven=True)


def planted_backup(at: Path, listed: bytes, *members: tuple[str, bytes]) -> Path:
    """A plain backup with this list of files and these members, as a stranger writes it."""
    with tarfile.open(at, "w") as tar:
        for name, content in (("manifest.json", listed), *members):
            info = tarfile.TarInfo(name)
            info.size = len(content)
            tar.addfile(info, io.BytesIO(content))
    return at


def test_a_list_of_files_that_was_made_up_is_refused_in_a_sentence(tmp_path: Path) -> None:
    with contextlib.closing(sqlite3.connect(tmp_path / "elsewhere.sqlite3")) as made:
        made.execute("CREATE TABLE a (b)")
        made.commit()
    book = (tmp_path / "elsewhere.sqlite3").read_bytes()
    files = {"shop.sqlite3": {"sha256": hashlib.sha256(book).hexdigest(), "size": len(book)}}
    journal = {"entries": 0, "digest": ""}
    facts = {"form": 1, "made_at": "2026-11-30T00:00:00+00:00", "version": "1", "book": "shop.sqlite3"}
    sound = {**facts, "journal": journal, "migrations": {}, "files": files}
    brought = planted_backup(tmp_path / "sound.tar", json.dumps(sound).encode(), ("shop.sqlite3", book))
    assert restore(brought, tmp_path / "sound").book == "shop.sqlite3"
    made_up: list[dict[str, object]] = [
        *({"book": one} for one in (str(tmp_path / "elsewhere.sqlite3"), "../elsewhere.sqlite3", "shop.pgdump", [1], None)),
        *({"files": []}, {"migrations": [1]}, {"version": "\x1b[2J"}, {"made_at": "2026-11-30T00:00:00"}),
        *({"journal": {"entries": "many", "digest": ""}}, {"journal": {"entries": 0, "digest": 5}}, {"journal": []}),
    ]  # fmt: skip
    lists = [json.dumps({**sound, **one}).encode() for one in made_up]
    for number, listed in enumerate([*lists, b"[" * 200_000, b"\xff", b"[]", b"7"]):
        planted = planted_backup(tmp_path / f"{number}.tar", listed, ("shop.sqlite3", book))
        with pytest.raises(Refusal, match="list of files can’t be read"):
            restore(planted, tmp_path / "new")
        assert not (tmp_path / "new").exists()
    steering = planted_backup(tmp_path / "steering.tar", json.dumps(sound).encode(), ("kept/\x1b[2J/x", b""))
    with pytest.raises(Refusal) as refused:
        restore(steering, tmp_path / "new")
    assert refused.value.sentence.isprintable()


# --- on the network ------------------------------------------------------------------------------------------------


def test_who_opens_the_shop_to_the_network_without_https_is_told_what_that_means() -> None:
    assert "in the clear" in serving.caution(serving.Stand(port=1, lan=True))
    assert serving.caution(serving.Stand(port=1)) == ""
    assert serving.caution(serving.Stand(port=1, lan=True, https=True)) == ""


def in_a_shop(tmp_path: Path, **environ: str) -> list[str]:
    """Names of cookies and the header of a first answer, with the settings of a shop in use."""
    (tmp_path / "secret-key").write_text("x" * 60)
    asked = (
        "from django.conf import settings as s; from shop.premises import signing_in as i; from shop.frame import told as t;"
        "print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, i.DEVICE_COOKIE, i.SLIP_COOKIE, t.NamedCookie.cookie_name,"
        "s.SECURE_HSTS_SECONDS, s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE)"
    )
    done = real_shop(tmp_path, "shell", "-v0", "-c", asked, **environ)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_over_https_every_cookie_is_the_hosts_own(tmp_path: Path) -> None:
    """The prefix `__Host-`: RFC 6265bis, section 4.1.3.2."""
    *names, hsts, session, token = in_a_shop(tmp_path, SHOP_HTTPS="1")
    assert all(name.startswith("__Host-mendwright") for name in names)
    assert len(set(names)) == len(names)
    assert (hsts, session, token) == (str(7 * 86_400), "True", "True")


def test_over_http_none_is_and_the_way_back_from_hsts_stands(tmp_path: Path) -> None:
    *names, hsts, session, _ = in_a_shop(tmp_path)
    assert not any(name.startswith("__Host-") for name in names)
    assert (hsts, session) == ("0", "False")
    assert in_a_shop(tmp_path, SHOP_HTTPS="1", SHOP_HSTS_DAYS="365")[-3] == str(365 * 86_400)
    assert in_a_shop(tmp_path, SHOP_HTTPS="1", SHOP_HSTS_DAYS="0")[-3] == "0"


@pytest.mark.django_db
def test_with_no_days_browsers_are_told_to_forget(client: Client, settings: object) -> None:
    settings.HTTPS, settings.SECURE_HSTS_SECONDS = True, 0  # type: ignore[attr-defined]
    answer = client.get(reverse("premises:sign_in"), secure=True)
    assert answer.headers["Strict-Transport-Security"] == "max-age=0"


# --- what stays in the browser ---------------------------------------------------------------------------------------


@pytest.mark.django_db
def test_pages_behind_the_sign_in_are_left_in_no_store(client: Client) -> None:
    ShopProfileFactory()
    client.force_login(StaffFactory())
    for name in (
        "premises:profile",
        "premises:password",
        "premises:staff",
        "records:first_screen",
        "counter:customers",
    ):
        assert "no-store" in client.get(reverse(name)).headers["Cache-Control"]
    assert "no-store" in client.get("/no-such-page/").headers.get("Cache-Control", "no-store")


@pytest.mark.django_db
def test_signing_out_has_the_browser_put_away_what_it_stored_but_not_what_is_noted(client: Client) -> None:
    """`Clear-Site-Data` (W3C): “cache” is what was fetched; “storage” would be the notes that wait to be sent."""
    client.force_login(StaffFactory())
    out = client.post(reverse("premises:sign_out"), secure=True)
    assert out.headers["Clear-Site-Data"] == '"cache"'
    client.cookies[settings.SESSION_COOKIE_NAME] = "of a session that ended by itself"
    left = client.get(reverse("premises:sign_in"), secure=True)
    assert left.headers["Clear-Site-Data"] == '"cache"'
    assert "signed-out" in left.content.decode()
    assert "Clear-Site-Data" not in Client().get(reverse("premises:sign_in"), secure=True).headers
