"""The walks of a stranger: every door by every method and role, every form without its token, other people's numbers at the
window, and forms and parameters filled with what nobody means well. Seeded: the same walk each time (`--soak`).

What is held to: no answer of 500, no trace in a page, and a book that is as it was wherever the answer was a refusal.
"""

from __future__ import annotations

import io
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse

from shop.counter.models import JobPaper, JobPicture
from shop.frame.models import JournalHead
from shop.frame.told import NamedCookie
from shop.front_door.security import may_send
from shop.keeping.models import IssuedPaper
from shop.office import actions as office
from shop.premises.signing_in import DEVICE_COOKIE, SLIP_COOKIE
from shop.window import actions as window
from tests.factories.premises import StaffFactory
from tests.house.demo_pages import every_door, some_address
from tests.house.test_bad_forms import House, house, the_whole_book  # noqa: F401  (a fixture)

pytestmark = [pytest.mark.django_db, pytest.mark.soak, pytest.mark.postgres, pytest.mark.timeout(3600)]

SEED = 20261130
INPUTS = 20_000
ITS_WORD = ("records:healthz", 503)
"""What a program that watches the shop is told where the shop is not well, as an empty one without a backup is not."""
DOORS = [name for name, _ in every_door()]
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND")
TRACES = (b"Traceback (most recent call last)", b"django.", b"OperationalError", b"site-packages")


def head() -> tuple[int, str]:
    """Where the journal stands: every act moves it."""
    row = JournalHead.objects.values_list("sequence", "digest").first()
    return row or (0, "")


def addresses(shop: House) -> Iterator[tuple[str, str]]:
    """Each door with an address at which something is: a job, a part, an invoice of the house."""
    told = {"number": shop.bench.number, "secret": shop.secret, "code": shop.bench.number}
    for name in DOORS:
        yield name, some_address(name)
        pattern = some_address(name)
        yield name, re.sub(r"/x/", f"/{told['number']}/", pattern).replace("x" * 32, told["secret"])


def faults_of(answer: Any, name: str = "") -> list[str]:
    """What must never be in an answer of the door of that name."""
    if (name, answer.status_code) == ITS_WORD and answer.content in {b"bad", b""}:
        return []
    body = b"" if answer.streaming else answer.content
    found = [mark.decode() for mark in TRACES if mark in body]
    return [*found, *([str(answer.status_code)] if answer.status_code >= 500 else [])]


def refused(answer: Any) -> bool:
    """Whether an answer says no."""
    location = answer.headers.get("Location", "")
    return answer.status_code in {400, 401, 403, 404, 405, 413, 422} or location.startswith(
        "/premises/sign-in/"
    )


@pytest.mark.parametrize("role", ["stranger", "nothing", "counter", "bench", "owner"])
def test_every_door_by_every_method(house: House, role: str) -> None:  # noqa: F811
    client = Client(raise_request_exception=False)
    if role != "stranger":
        client.force_login(StaffFactory(roles=[] if role == "nothing" else [role]))
    wrong: dict[str, object] = {}
    count = 0
    for name, address in addresses(house):
        for method in METHODS:
            with transaction.atomic():
                before = head()
                answer = client.generic(method, address)
                count += 1
                if found := faults_of(answer, name):
                    wrong[f"{method} {name}"] = found
                if refused(answer) and head() != before:
                    wrong[f"{method} {name} changed"] = answer.status_code
                transaction.set_rollback(True)
            client.cookies.pop("sessionid", None)
            if role != "stranger" and "sign_out" in name:
                client.force_login(StaffFactory(roles=[] if role == "nothing" else [role]))
    assert wrong == {}
    assert count > 4_000


COOKIES = (r'"\000aaaaaaaaaaaa"', r'"\377\300aaaaaaaaaa"', r'"\012\015aaaaaaaaaa"', "a" * 4_000, "é" * 20)
"""As RFC 2109 writes signs that a cookie can't hold otherwise: with a backslash and three octal digits, in quotes."""


def test_a_cookie_that_was_made_up_is_none(house: House) -> None:  # noqa: F811
    own = settings.SESSION_COOKIE_NAME
    names = [own, settings.CSRF_COOKIE_NAME, DEVICE_COOKIE, SLIP_COOKIE, NamedCookie.cookie_name, "theme"]
    pages = ("/", "/premises/sign-in/", "/nothing/", reverse("window:open", args=[house.secret]))
    wrong: dict[str, object] = {}
    for name in names:
        for told in COOKIES:
            client, cookie = Client(raise_request_exception=False), f"{name}={told}"
            for page in pages:
                with transaction.atomic():
                    if found := faults_of(client.get(page, headers={"cookie": cookie})):
                        wrong[f"{page} {cookie[:60]}"] = found
                    transaction.set_rollback(True)
    assert wrong == {}
    for told in COOKIES:
        environ = {"REQUEST_METHOD": "POST", "PATH_INFO": "/", "wsgi.input": io.BytesIO()}
        assert not may_send({**environ, "HTTP_COOKIE": f"{own}={told}"})


def test_no_form_is_taken_without_its_token(house: House) -> None:  # noqa: F811
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.force_login(house.owner)
    before, book, taken = head(), the_whole_book(), {}
    for name, address in addresses(house):
        for method in ("POST", "PUT", "PATCH", "DELETE"):
            answer = client.generic(method, address, b"once=&text=x", "application/x-www-form-urlencoded")
            if answer.status_code not in {403, 404, 405}:
                taken[f"{method} {name}"] = answer.status_code
    assert taken == {}
    assert head() == before
    assert the_whole_book() == book


def test_a_key_to_one_window_opens_no_other(house: House) -> None:  # noqa: F811
    other = window.open_window(job=house.ready, by=house.owner)
    client = Client(raise_request_exception=False)
    mine = set(JobPaper.objects.filter(job=house.asked).values_list("paper_id", flat=True))
    shown = set(
        JobPicture.objects.filter(job=house.asked, for_customer=True).values_list("picture_id", flat=True)
    )
    opened = []
    for pk in [*IssuedPaper.objects.values_list("pk", flat=True), *range(400)]:
        if client.get(reverse("window:paper", args=[house.secret, pk])).status_code == 200 and pk not in mine:
            opened.append(("paper", pk))
        for size in ("full", "medium", "thumbnail"):
            address = reverse("window:picture", args=[house.secret, pk, size])
            if client.get(address).status_code == 200 and pk not in shown:
                opened.append(("picture", pk))
    assert opened == []
    estimate = office.draft_estimate(job=house.ready, by=house.owner)
    before = head()
    for pk in (estimate.pk, estimate.pk + 1, 0, -1):
        typed = {"estimate": pk, "answer": "yes", "given_by": "Odalys", "version": pk, "agree": "on"}
        client.post(reverse("window:answer", args=[other]), typed)
    assert head() == before
    rng = random.Random(SEED)  # noqa: S311
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
    guesses = ["".join(rng.choices(letters, k=len(house.secret))) for _ in range(1000)]
    guesses += [
        house.secret[:at] + rng.choice(letters) + house.secret[at + 1 :] for at in range(len(house.secret))
    ]
    for guess in set(guesses) - {house.secret, other}:
        assert client.get(reverse("window:open", args=[guess])).status_code in {404, 429}


def test_a_null_in_what_a_view_reads_by_itself_breaks_nothing(house: House) -> None:  # noqa: F811
    """Forms refuse a null by themselves; PostgreSQL takes none, so a view that reads what was sent without a form has to."""
    read = re.compile(r"request\.(?:POST|GET)(?:\.get(?:list)?\(|\[)\"([\w-]+)\"")
    views = Path(settings.BASE_DIR, "shop").rglob("views*/**/*.py")
    views_alone = Path(settings.BASE_DIR, "shop").rglob("views*.py")
    names = {name for path in (*views, *views_alone) for name in read.findall(path.read_text("utf-8"))}
    assert len(names) > 20
    house.client.raise_request_exception = False
    told = dict.fromkeys(sorted(names), "a\0b")
    wrong: dict[str, object] = {}
    for name, address in addresses(house):
        if "sign_out" in name or name == ITS_WORD[0]:
            continue
        for ask in (house.client.get, house.client.post):
            with transaction.atomic():
                if found := faults_of(ask(address, told)):
                    wrong[name] = found
                transaction.set_rollback(True)
            if "_auth_user_id" not in house.client.session:
                house.client.force_login(house.owner)
    assert wrong == {}


# --- what nobody means well ------------------------------------------------------------------------------------------

HOSTILE = [
    *(
        "",
        " ",
        "0",
        "-1",
        "1e309",
        "-1e309",
        "NaN",
        "inf",
        "-0",
        "9" * 40,
        "1_000",
        "٣",
        "０",
        "½",
        "1/0",
        "0x10",
        "1e-400",
    ),
    *(
        "'",
        '"',
        "' OR 1=1 --",
        '"; DROP TABLE counter_job; --',
        "%",
        "_",
        "\\",
        "%s",
        "{0}",
        "{{ 7*7 }}",
        "${7*7}",
    ),
    *(
        "<script>alert(1)</script>",
        '"><img src=x onerror=alert(1)>',
        "javascript:alert(1)",
        "&lt;b&gt;",
        "]]>",
        "<!--",
    ),
    *(
        "../../etc/passwd",
        "..\\..\\x",
        "/dev/zero",
        "file:///etc/passwd",
        "http://127.0.0.1:1/",
        "\x00",
        "a\x00b",
        "%00",
    ),
    *(
        "\r\nSet-Cookie: a=b",
        "\n",
        "\x1b[2J",
        "\u202e",
        "\u2028",
        "\ufeff",
        "\U0001f9f0" * 50,
        "e\u0301" * 300,
    ),
    *(
        "2026-02-30",
        "0000-01-01",
        "9999-12-31",
        "10000-01-01",
        "31.12.9999",
        "2026-11-30T25:61",
        "-2026-01-01",
        "0001-01-01",
    ),
    *(
        "=1+1",
        "@SUM(1)",
        "null",
        "None",
        "true",
        "[]",
        "{}",
        "[1,2",
        '{"a":',
        "x@y",
        "AAAA-" * 40,
        "a" * 70_000,
    ),
    *(
        "00000000-0000-0000-0000-000000000000",
        "9223372036854775808",
        "-9223372036854775809",
        "2147483648",
        "1.5.5",
        "1,,5",
    ),
    *("1" * 5_000, "(" * 3_000, "1," * 3_000, "-" * 3_000, "{% debug %}", "12/31/69", "C:\\x"),
]
FILES = [
    *(b"", b"\xff\xd8\xff\xe0" + b"\0" * 50, b"%PDF-1.4\n%%EOF", b"a,b\n1,2\n", b"PK\x03\x04" + b"\0" * 30),
    *(b"\x89PNG\r\n\x1a\n", b"GIF89a"),
]
ASKED = (
    "q",
    "page",
    "from",
    "to",
    "next",
    "back",
    "before",
    "after",
    "sort",
    "kind",
    "mend",
    "job",
    "year",
    "month",
)


@dataclass
class Form:
    """A form as a page shows it: where it is sent, and what it asks for."""

    action: str
    method: str
    fields: dict[str, str]
    files: list[str]


class Forms(HTMLParser):
    """All forms of a page."""

    def __init__(self, here: str) -> None:
        super().__init__()
        self.here, self.found, self.links = here, [], []
        self._form: Form | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        facts = {name: value or "" for name, value in attrs}
        if tag == "form":
            action = facts.get("action") or self.here
            self._form = Form(action.partition("#")[0], facts.get("method", "get").lower(), {}, [])
            self.found.append(self._form)
        elif tag == "a":
            self.links.append(facts.get("href", ""))
        elif self._form is not None and (name := facts.get("name")):
            if facts.get("type") == "file":
                self._form.files.append(name)
            else:
                self._form.fields[name] = facts.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None


def forms_of(shop: House) -> dict[tuple[str, str, frozenset[str]], Form]:
    """Every form of every page of the house, once each."""
    found: dict[tuple[str, str, frozenset[str]], Form] = {}
    seen: set[str] = set()
    ahead = [address for _, address in addresses(shop)]
    while ahead and len(seen) < 1_500:
        address = ahead.pop(0)
        if address in seen or not address.startswith("/") or "sign-out" in address:
            continue
        seen.add(address)
        answer = shop.client.get(address)
        if answer.status_code != 200 or answer.streaming or b"<form" not in answer.content:
            continue
        page = Forms(address)
        page.feed(answer.content.decode())
        ahead += [link.partition("#")[0] for link in page.links if link.startswith(("/", "?"))][:40]
        for form in page.found:
            kind = (re.sub(r"\d{2}-\d{4}-\w|\d+", "#", form.action), form.method, frozenset(form.fields))
            found.setdefault(kind, form)
    return found


def test_forms_and_parameters_filled_with_what_nobody_means_well(house: House) -> None:  # noqa: F811
    rng = random.Random(SEED)  # noqa: S311
    house.client.raise_request_exception = False
    forms = [
        one for one in forms_of(house).values() if "sign-out" not in one.action and one.action.startswith("/")
    ]
    assert len(forms) > 60
    pages = [address for name, address in addresses(house) if name != ITS_WORD[0]]
    wrong: dict[str, str] = {}
    for number in range(INPUTS):
        with transaction.atomic():
            before = head()
            if number % 4 == 0:
                told = {name: rng.choice(HOSTILE) for name in rng.sample(ASKED, 3)}
                address, answer = (page := rng.choice(pages)), house.client.get(page, told)
            else:
                form = rng.choice(forms)
                told = dict(form.fields)
                for name in rng.sample(sorted(told), min(len(told), rng.randint(1, 4))):
                    told[name] = rng.choice(HOSTILE)
                if rng.random() < 0.1 and told:
                    told.pop(rng.choice(sorted(told)))
                sent: dict[str, Any] = {**told}
                for name in form.files:
                    sent[name] = SimpleUploadedFile(
                        rng.choice(["a.png", "../x.csv", "\x01.pdf"]), rng.choice(FILES)
                    )
                ask = house.client.post if form.method == "post" else house.client.get
                address, answer = form.action, ask(form.action, sent)
            if found := faults_of(answer):
                wrong.setdefault(f"{address} {found}", repr(told)[:400])
            if answer.status_code in {403, 404, 405, 422} and head() != before:
                wrong.setdefault(f"{address} changed", repr(told)[:400])
            transaction.set_rollback(True)
        if "_auth_user_id" not in house.client.session:
            house.client.force_login(house.owner)
    assert wrong == {}
