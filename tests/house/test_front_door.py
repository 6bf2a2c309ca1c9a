"""The front door: what browsers may do, who may come in, and what is said when it stays shut."""

from __future__ import annotations

import io
import logging
import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.test import Client, RequestFactory

from shop.bootstrap import machine
from shop.frame.models import Staff
from shop.front_door import refusals
from shop.front_door.security import build_policy, without_secrets
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db


def test_every_page_carries_the_policy_without_any_inline_allowance(client: Client) -> None:
    policy = client.get("/no-such-page/").headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "form-action 'self'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_a_directive_without_sources_stands_alone() -> None:
    assert (
        build_policy({"default-src": ["'self'", "data:"], "sandbox": []})
        == "default-src 'self' data:; sandbox"
    )


def test_pages_may_not_be_framed_sniffed_or_tell_where_they_were(client: Client) -> None:
    headers = client.get("/no-such-page/").headers
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert "microphone=()" in headers["Permissions-Policy"]


def test_a_page_that_is_not_there_says_so_in_one_sentence(client: Client) -> None:
    response = client.get("/no-such-page/")
    assert response.status_code == 404
    assert "There is nothing at this address." in response.content.decode()


@pytest.mark.postgres
@pytest.mark.parametrize(
    "address",
    ["/jobs/\0/", "/w/\0/", "/dispatch/jobs/26\0/", "/stockroom/?q=\0", "/search/?q=a%00b", "/t/\0"],
)
def test_nothing_is_at_an_address_with_a_null_character(client: Client, address: str) -> None:
    # PostgreSQL's text takes every character but this one: its documentation, 8.3 and 4.1.2.2
    ShopProfileFactory()
    client.force_login(StaffFactory())
    response = client.get(address.replace("\0", "%00"))
    assert response.status_code == 404
    assert "There is nothing at this address." in response.content.decode()


def test_more_text_than_a_form_takes_is_refused_with_its_own_sentence() -> None:
    """13 MB in one field, over the limit in settings: 413 (RFC 9110, 15.5.14), and nothing is read into a form."""
    client = Client(enforce_csrf_checks=True)
    client.cookies[settings.CSRF_COOKIE_NAME] = "a" * 32
    response = client.post("/premises/theme/", {"theme": "x" * 13 * 1024 * 1024})
    assert response.status_code == 413
    assert "more text than one form takes (12 MB). Nothing was saved" in response.content.decode()


def test_a_form_from_another_visit_is_refused_with_a_sentence_of_ours() -> None:
    response = Client(enforce_csrf_checks=True).post("/premises/theme/", {"theme": "dark"})
    assert response.status_code == 403
    assert "Load the page again" in response.content.decode()


def test_a_refusal_is_still_said_when_its_template_is_broken(rf: RequestFactory, settings: object) -> None:
    request = rf.get("/")
    settings.TEMPLATES = [{"BACKEND": "django.template.backends.django.DjangoTemplates"}]  # type: ignore[attr-defined]
    response = refusals.bad_request(request, RequestDataTooBig())
    assert response.status_code == 413
    assert "<h1>Too much text</h1>" in response.content.decode()


def test_who_may_not_is_told_so_by_the_room_that_refuses(rf: RequestFactory) -> None:
    response = refusals.forbidden(rf.get("/"), PermissionDenied("Only the owner changes the terms."))
    assert response.status_code == 403
    assert "Only the owner changes the terms." in response.content.decode()


def test_an_error_of_ours_shows_no_trace(rf: RequestFactory) -> None:
    response = refusals.server_error(rf.get("/"))
    assert response.status_code == 500
    assert "Something broke on our side" in response.content.decode()


def test_nobody_from_another_host_name_is_answered(client: Client) -> None:
    assert client.get("/", headers={"host": "elsewhere.example"}).status_code == 400


def test_pages_ask_for_a_sign_in_unless_they_say_otherwise() -> None:
    assert "django.contrib.auth.middleware.LoginRequiredMiddleware" in settings.MIDDLEWARE


def test_the_secret_is_made_once_and_readable_by_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "data" / "secret-key"
    first = machine.kept_secret(path)
    assert len(first) > 50
    assert machine.kept_secret(path) == first
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [entry.name for entry in path.parent.iterdir()] == ["secret-key"]


def test_the_machine_knows_its_own_names() -> None:
    names = machine.own_names()
    assert names == sorted(set(names))
    assert any(name.endswith(".local") for name in names)


# --- every answer, errors too ---------------------------------------------------------------------------------


def a_view_that_breaks(*_: Any, **__: Any) -> None:
    raise RuntimeError("as any view may, some day")


@pytest.mark.parametrize(
    "address, more, status",
    [
        ("/premises/sign-in/", {}, 200),
        ("/", {}, 302),
        ("/", {"headers": {"host": "elsewhere.example"}}, 400),
        ("/no-such-page/", {}, 404),
        ("/premises/sign-out/", {}, 405),
        ("/static/css/base.css", {}, 200),
        ("/w/" + "x" * 32 + "/", {}, 404),
        ("/premises/health/", {"break": True}, 500),
    ],
)
def test_every_answer_carries_the_policy_and_is_not_sniffed(
    monkeypatch: pytest.MonkeyPatch, address: str, more: dict[str, Any], status: int
) -> None:
    client = Client(raise_request_exception=False)
    if more.pop("break", False):
        client.force_login(StaffFactory())
        monkeypatch.setattr("shop.premises.views.books.page", a_view_that_breaks)
    answer = client.get(address, **more)
    assert answer.status_code == status
    assert answer.getvalue() or status in {302, 405}
    assert answer.headers["Content-Security-Policy"].startswith("default-src")
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize(
    "address", ["/premises/sign-in/", "/premises/sign-in/code/", "/w/" + "x" * 32 + "/word/"]
)
def test_a_stranger_can_not_fill_the_disk(address: str) -> None:
    """13 MB announced as a photograph, over the 12 MB of a form: refused, and not a byte of it is read."""
    client = Client(enforce_csrf_checks=True)
    client.cookies[settings.CSRF_COOKIE_NAME] = "a" * 32
    sent = Unread()
    answer = client.generic(
        "POST",
        address,
        b"",
        "multipart/form-data; boundary=x",
        CONTENT_LENGTH=str(13 << 20),
        **{"wsgi.input": sent},
    )
    assert answer.status_code == 413
    assert not sent.read_from


class Unread(io.BytesIO):
    """What a visitor sends; it notes whether anybody reads it."""

    read_from = False

    def read(self, *size: Any) -> bytes:
        self.read_from = True
        return super().read(*size)


def test_staff_may_send_photographs_larger_than_a_form(client: Client) -> None:
    ShopProfileFactory()
    client.force_login(StaffFactory())
    photograph = io.BytesIO(b"no picture, but 13 MB of it" + bytes(13 << 20))
    photograph.name = "unit.jpg"
    answer = client.post("/premises/profile/logo/", {"logo": photograph})
    assert answer.status_code == 422
    assert "unit.jpg" in answer.content.decode()


# --- secrets stay out of the log ------------------------------------------------------------------------------

SECRET = "aB3_-" * 6 + "xy"


def test_the_secrets_in_addresses_are_left_out_of_what_is_logged() -> None:
    for room in ("w", "opening"):
        said = without_secrets(f'"GET /{room}/{SECRET}/papers/7/ HTTP/1.1" 200')
        assert said == f'"GET /{room}/…/papers/7/ HTTP/1.1" 200'
    kept = "GET /w/of/26-0417-Z/link/ and /jobs/26-0417-Z/"
    assert without_secrets(kept) == kept


def test_an_error_on_the_customers_page_is_logged_without_the_key_to_it(tmp_path: Path) -> None:
    from logging.config import dictConfig  # noqa: PLC0415

    kept = {
        name: settings.LOGGING[name]
        for name in ("version", "disable_existing_loggers", "formatters", "filters")
    }
    file = {**settings.LOGGING["handlers"]["file"], "filename": tmp_path / "shop.log"}
    dictConfig(
        {
            **kept,
            "handlers": {"file": file},
            "loggers": {"a.room": {"handlers": ["file"], "propagate": False}},
        }
    )
    logging.getLogger("a.room").error("Internal Server Error: %s", f"/w/{SECRET}/")
    for handler in logging.getLogger("a.room").handlers:
        handler.close()
    assert (tmp_path / "shop.log").read_text(encoding="utf-8").endswith("Internal Server Error: /w/…/\n")


def test_every_handler_of_the_log_leaves_secrets_out() -> None:
    assert all("without secrets" in handler["filters"] for handler in settings.LOGGING["handlers"].values())


# what stands in the log of requests is tried in tests/security/test_porch.py


# --- what only a shop in use shows ------------------------------------------------------------------------------


def real_shop(folder: Path, *arguments: str, **environ: str) -> subprocess.CompletedProcess[str]:
    """Run manage.py for a shop in `folder` with the settings it has outside tests."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTEST", "SHOP_", "DATABASE", "DJANGO_"))
    }
    return subprocess.run(
        [sys.executable, str(settings.BASE_DIR / "manage.py"), *arguments],
        env={**kept, "SHOP_DATA": str(folder), **environ},
        capture_output=True,
        text=True,
        check=False,
    )


def test_django_finds_nothing_to_say_against_a_shop_on_https(tmp_path: Path) -> None:
    """`check --deploy`; the three checks that are left out, and why, stand in settings."""
    machine.kept_secret(tmp_path / machine.SECRET)
    done = real_shop(tmp_path, "check", "--deploy", "--fail-level", "WARNING", SHOP_HTTPS="1")
    assert done.returncode == 0, done.stderr


def test_what_is_written_into_an_open_folder_is_for_its_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "open to all"
    folder.mkdir(mode=0o755)
    done = real_shop(
        folder,
        "shell",
        "-v0",
        "-c",
        "from django.conf import settings; (settings.SHOP_DATA / 'book').touch()",
    )
    assert done.returncode == 0, done.stderr
    assert stat.S_IMODE((folder / "book").stat().st_mode) == 0o600


def test_signing_in_begins_another_session(client: Client) -> None:
    """A session that was planted in the browser before is not the one that is signed in (OWASP ASVS 3.2.1, from memory)."""
    staff = StaffFactory(username="ottoline")
    staff.set_password("four words in a row")
    staff.save()
    client.session.save()
    planted = client.session.session_key
    client.cookies[settings.SESSION_COOKIE_NAME] = planted
    client.post("/premises/sign-in/", {"username": "ottoline", "password": "four words in a row"})
    assert client.cookies[settings.SESSION_COOKIE_NAME].value != planted
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert Staff.objects.get().last_login is not None
