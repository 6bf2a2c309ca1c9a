"""The front door: what browsers may do, who may come in, and what is said when it stays shut."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.test import Client, RequestFactory

from shop import machine, refusals
from shop.security import build_policy

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
