"""The mail server is named and tried on its page, the password lies apart, and letters say what the shop has them say."""

from __future__ import annotations

import socketserver
import stat
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core import serializers
from django.urls import reverse

from shop.keeping import mail
from shop.keeping.letter_texts import all_kinds, filled_in, texts, wrong_fields
from shop.keeping.models import LetterText, MailServer
from shop.office.letters import PAPER
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import once, words_on

SECRET = "horse battery 4417"
NAMED = {"host": "mail.port.example", "security": "starttls", "user": "bench", "sender": ""}


@pytest.fixture
def desk(client: Any, db: None, settings: Any, tmp_path: Path) -> Any:
    settings.SHOP_DATA = tmp_path
    settings.EMAIL_HOST = ""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    ShopProfileFactory()
    client.force_login(StaffFactory(username="ottoline"))
    return client


class Postbox(socketserver.StreamRequestHandler):
    """A mail server that takes everything: the dialog of RFC 5321, section 4.3.2, as far as a letter needs it."""

    def handle(self) -> None:
        self.say("220 postbox.example")
        while line := self.rfile.readline().decode().strip().upper():
            if line == "DATA":
                self.say("354 go on")
                self.taken()
                self.say("250 taken")
            elif line == "QUIT":
                self.say("221 bye")
                return
            elif line.startswith("RCPT TO:<NOBODY@"):
                self.say("550 no such box")
            else:
                self.say("250 postbox.example")

    def say(self, line: str) -> None:
        self.wfile.write(f"{line}\r\n".encode())

    def taken(self) -> None:
        letter = []
        while (line := self.rfile.readline()) != b".\r\n":
            letter.append(line)
        self.server.letters.append(b"".join(letter).decode())  # type: ignore[attr-defined]


@pytest.fixture
def postbox() -> Iterator[Any]:
    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), Postbox) as server:
        server.letters = []  # type: ignore[attr-defined]
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server
        server.shutdown()


def test_the_password_lies_apart_and_is_shown_as_set_or_not(
    desk, tmp_path: Path, django_capture_on_commit_callbacks: Any
) -> None:
    page = reverse("premises:mail")
    assert "Not set" in desk.get(page).content.decode()
    with django_capture_on_commit_callbacks(execute=True):
        answer = desk.post(page, once(**NAMED, password=SECRET))
    assert answer.status_code == 303, answer.content.decode()
    (file,) = tmp_path.iterdir()
    assert (file.read_text(), stat.S_IMODE(file.stat().st_mode)) == (SECRET, 0o600)
    server = mail.the_server()
    assert server is not None
    assert (server.port, server.password) == (587, SECRET)
    said = desk.get(page).content.decode()
    assert SECRET not in said
    assert "Set. Empty" in said
    assert SECRET not in serializers.serialize("json", MailServer.objects.all())
    with django_capture_on_commit_callbacks(execute=True):
        desk.post(page, once(**NAMED))
    assert mail.has_password()
    with django_capture_on_commit_callbacks(execute=True):
        desk.post(page, once(**{**NAMED, "host": "elsewhere.example"}))
    assert not mail.has_password(), "a password was kept for a server that it wasn't typed for"


@pytest.mark.parametrize(
    "wrong, sentence",
    [
        ({"host": "https://mail.port.example/x"}, "Write the server’s name alone"),
        ({"port": "70000"}, "from 1 to 65,535"),
        ({"security": "none"}, "reads the password"),
        ({"user": "", "password": SECRET}, "needs a user name"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(desk, wrong: dict[str, str], sentence: str) -> None:
    answer = desk.post(reverse("premises:mail"), once(**{**NAMED, **wrong}))
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not MailServer.objects.exists()


def test_the_environment_wins(desk, settings: Any) -> None:
    MailServer.objects.create(host="mail.port.example", port=587)
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_HOST_PASSWORD = "env.example", 2525, SECRET
    server = mail.the_server()
    assert server is not None
    assert (server.host, server.port, server.by_environment) == ("env.example", 2525, True)
    said = desk.get(reverse("premises:mail")).content.decode()
    assert "env.example:2525" in said
    assert SECRET not in said
    assert desk.post(reverse("premises:mail"), once(**NAMED)).status_code == 422


def test_a_test_letter_arrives_or_a_sentence_says_why_not(desk, postbox) -> None:
    host, port = postbox.server_address
    desk.post(reverse("premises:mail"), once(host=host, port=str(port), security="none"))
    answer = desk.post(reverse("premises:try_mail"), once(to="ottoline@halftone.example"), follow=True)
    assert "The server took the letter" in answer.content.decode(), words_on(answer)[-3000:]
    (letter,) = postbox.letters
    assert "To: ottoline@halftone.example" in letter
    assert "From: Halftone Bench <bench@halftone.example>" in letter
    refused = desk.post(reverse("premises:try_mail"), once(to="nobody@halftone.example"))
    assert "take letters to this address" in refused.content.decode()
    MailServer.objects.update(security="starttls")
    refused = desk.post(reverse("premises:try_mail"), once(to="ottoline@halftone.example"))
    assert refused.status_code == 422
    assert "kind of encryption" in refused.content.decode()
    MailServer.objects.update(port=1)
    refused = desk.post(reverse("premises:try_mail"), once(to="ottoline@halftone.example"))
    assert "No mail server answers at 127.0.0.1:1" in refused.content.decode()
    desk.post(reverse("premises:forget_mail"), once())
    assert mail.the_server() is None


def test_letters_say_what_the_shop_has_them_say(desk) -> None:
    page = reverse("premises:letter_text", args=["paper"])
    assert "{customer}" in desk.get(page).content.decode()
    wrong = desk.post(page, once(subject="{paper}", body="Dear {name},"))
    assert wrong.status_code == 422
    assert "no field {name}" in wrong.content.decode()
    desk.post(
        page,
        once(subject="{paper} for {numbers}", body="Dear {customer},\r\n{paper} for {numbers}.\r\n{shop}"),
    )
    subject, body = texts().write(
        PAPER, customer="Marguerite Osei", paper="Invoice 26-4", numbers="26-0001-8"
    )
    assert subject == "Invoice 26-4 for 26-0001-8"
    assert body == "Dear Marguerite Osei,\nInvoice 26-4 for 26-0001-8.\nHalftone Bench"
    desk.post(reverse("premises:drop_letter_text", args=["paper"]), once())
    assert not LetterText.objects.exists()
    assert desk.get(reverse("premises:letter_text", args=["none"])).status_code == 404


def test_the_programs_own_words_have_no_field_that_is_not_filled_in(desk) -> None:
    kinds = all_kinds()
    assert len(kinds) >= 8
    for kind in kinds:
        assert not wrong_fields(kind, kind.subject), kind.key
        assert not wrong_fields(kind, kind.body), kind.key
        _, body = texts().write(kind, **dict.fromkeys(kind.fields, "x"))
        assert "{" not in body


def test_a_line_of_empty_fields_is_left_out_and_braces_in_values_stay_as_they_are() -> None:
    text = "Hello {a},\n\nTracking: {b}\nBy {c} {b}\n\nBye"
    assert filled_in(text, {"a": "{b}", "b": "", "c": ""}) == "Hello {b},\n\nBye"
    assert filled_in(text, {"a": "A", "b": "", "c": "post"}) == "Hello A,\n\nBy post\n\nBye"
    assert wrong_fields(PAPER, "one { alone").startswith("A brace")
