"""What every test may ask for: a shop in a throw-away folder, a book that forgets, a browser that complains.

How the two databases take turns: `manage.py test` runs the suite on SQLite, then the tests marked `postgres` once
more with DATABASE_URL naming a PostgreSQL server. A test does not choose; `connection.vendor` tells it where it is.
"""

from __future__ import annotations

import os
import shutil
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from _pytest.nodeid import NodeId
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.core.management import call_command
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.test import TransactionTestCase
from hypothesis import settings as trials

from shop.bootstrap.system import find_browser
from shop.frame.guards import lifted
from shop.opening.folder import make_shop
from tests.first_book import FirstBook

# Playwright keeps an event loop in the test's own thread, where Django would refuse to touch the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# A slow example on a busy machine is not a wrong one.
trials.register_profile("shop", deadline=None, max_examples=40)
trials.register_profile("soak", deadline=None, max_examples=400)


def pytest_configure(config: pytest.Config) -> None:
    """Open the throw-away shop; settings only name its folder."""
    trials.load_profile("soak" if config.getoption("--soak") else "shop")
    make_shop()


# --- which tests run ----------------------------------------------------------------------------------------


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--soak", action="store_true", help="run the long tests as well")
    parser.addoption("--new-pictures", action="store_true", help="make the kept pictures of pages anew")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave files unread that have no test for PostgreSQL, when those alone are asked for: reading all takes a minute."""
    asked = config.option.markexpr
    if collection_path.suffix != ".py" or not (asked == "postgres" or asked.endswith(") and postgres")):
        return None
    return None if "mark.postgres" in collection_path.read_text(encoding="utf-8") else True


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    on_sqlite = settings.DATABASES["default"]["ENGINE"].endswith("sqlite3")
    soak = config.getoption("--soak")

    def left_out(item: pytest.Item) -> bool:
        postgres = item.get_closest_marker("postgres")
        only_elsewhere = on_sqlite and postgres is not None and postgres.kwargs.get("only", False)
        return only_elsewhere or (not soak and item.get_closest_marker("soak") is not None)

    config.hook.pytest_deselected(items=[item for item in items if left_out(item)])
    items[:] = [item for item in items if not left_out(item)]
    if getattr(config.option, "loadgroup", False):
        for item in items:
            _join_its_group(item)


def _join_its_group(item: pytest.Item) -> None:
    """Let xdist see the group of a test, by which one worker does all of them.

    xdist 3.8 writes it behind `_nodeid`, which pytest 9.2 no longer reads: every group fell apart without a word.
    """
    group = item.get_closest_marker("xdist_group")
    if group is not None and "@" not in item.nodeid.rpartition("]")[2]:
        item._id = NodeId.parse(f"{item.nodeid}@{group.args[0]}")


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take the throw-away shop down."""
    shutil.rmtree(settings.SHOP_DATA, ignore_errors=True)


# --- a book that forgets ------------------------------------------------------------------------------------

Rows = list[tuple[Any, ...]]


@dataclass
class FirstPages:
    """The rows that migrations put into an empty book (roles, the journal's head), kept to be put back."""

    connection: BaseDatabaseWrapper
    rows: dict[str, tuple[list[str], Rows]] = field(default_factory=dict)

    def read(self) -> None:
        """Remember what a freshly migrated book holds."""
        with self.connection.cursor() as cursor:
            for table in self.connection.introspection.django_table_names(only_existing=True):
                cursor.execute(f"SELECT * FROM {self.connection.ops.quote_name(table)}")  # noqa: S608
                if rows := cursor.fetchall():
                    self.rows[table] = ([column[0] for column in cursor.description], rows)

    def restore(self) -> None:
        """Empty every table, append-only ones too, and put the first rows back."""
        # asked for anew: Playwright's event loop may have given this thread another connection since
        connection = connections[self.connection.alias]
        quote = connection.ops.quote_name
        with lifted(connection):
            call_command(
                "flush",
                verbosity=0,
                interactive=False,
                database=connection.alias,
                reset_sequences=False,
                inhibit_post_migrate=True,
            )
            # in one transaction, so that PostgreSQL looks at foreign keys when all rows are there
            with (
                connection.constraint_checks_disabled(),
                transaction.atomic(using=connection.alias),
                connection.cursor() as cursor,
            ):
                for table, (columns, rows) in self.rows.items():
                    names = ", ".join(map(quote, columns))
                    marks = ", ".join(["%s"] * len(columns))
                    cursor.executemany(f"INSERT INTO {quote(table)} ({names}) VALUES ({marks})", rows)  # noqa: S608


@pytest.fixture(scope="session")
def first_book(django_db_modify_db_settings: None, django_db_blocker: Any) -> FirstBook:
    """Begin with a copy of the empty book; who finds none makes it, and the others wait."""
    with django_db_blocker.unblock():
        book = FirstBook(connections["default"])
        book.begin()
    return book


@pytest.fixture(scope="session")
def django_db_keepdb(django_db_keepdb: bool, first_book: FirstBook) -> bool:
    """A copied book is not made anew."""
    return django_db_keepdb or first_book.copied


@pytest.fixture(scope="session")
def django_db_setup(
    first_book: FirstBook, django_db_setup: None, django_db_blocker: Any
) -> Iterator[FirstPages]:
    """Let tests that commit (live server, threads) leave the book as they found it; give what puts it back.

    Django empties every table after such a test. That alone fails on append-only tables, and it would also take
    away what migrations wrote for the tests that follow.
    """
    with django_db_blocker.unblock():
        pages = FirstPages(connections["default"])
        pages.read()
        first_book.end()

    def forget(self: TransactionTestCase) -> None:
        pages.restore()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", forget)
        yield pages


# --- nobody calls out ---------------------------------------------------------------------------------------


@pytest.fixture(scope="session", autouse=True)
def _stay_at_home() -> Iterator[None]:
    """Refuse connections to other machines; a test that needs one is wrong."""
    connect = socket.socket.connect

    def at_home(self: socket.socket, address: Any) -> None:
        inet = self.family in {socket.AF_INET, socket.AF_INET6} and self.type & socket.SOCK_STREAM
        if inet and address[0] not in {"127.0.0.1", "::1", "localhost"}:
            raise RuntimeError(f"A test called out to {address[0]}.")
        connect(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", at_home)
        yield


# --- a browser that complains -------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Drive the system's Chromium; without one, Playwright looks for a browser of its own."""
    arguments = {**browser_type_launch_args, "args": ["--no-sandbox", "--disable-background-networking"]}
    if chromium := find_browser():
        arguments["executable_path"] = chromium
    return arguments


# What the browser prints for any answer that is not 2xx; the tests look at the answers themselves.
ANSWERED = "Failed to load resource: the server responded with a status of"


@dataclass
class Browsing:
    """Opens pages of the live shop, signed in or not, and keeps every complaint of the browser."""

    new_context: Callable[..., Any]
    address: str
    complaints: list[str] = field(default_factory=list)

    def __call__(
        self,
        staff: Any = None,
        *,
        width: int = 1280,
        height: int = 800,
        touch: bool = False,
        scripts: bool = True,
        **more: Any,
    ) -> Any:
        """Return a Playwright page with the shop's address as its base, signed in as `staff`."""
        context = self.new_context(
            base_url=self.address,
            viewport={"width": width, "height": height},
            has_touch=touch,
            java_script_enabled=scripts,
            **more,
        )
        if staff is not None:
            context.add_cookies([session_cookie(staff, self.address)])
        page = context.new_page()
        page.on("pageerror", lambda error: self.complaints.append(f"{page.url}: {error}"))
        page.on("console", lambda message: self.hear(page, message))
        return page

    def hear(self, page: Any, message: Any) -> None:
        """Keep an error on the console, such as a violation of the content security policy."""
        if message.type == "error" and not message.text.startswith(ANSWERED):
            self.complaints.append(f"{page.url}: {message.text}")


def session_cookie(staff: Any, address: str) -> dict[str, Any]:
    """Return the cookie of a new session in which `staff` is signed in."""
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[SESSION_KEY] = str(staff.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = staff.get_session_auth_hash()
    session.save()
    return {
        "name": settings.SESSION_COOKIE_NAME,
        "value": session.session_key,
        "url": address,
        "httpOnly": True,
    }


@pytest.fixture
def browse(new_context: Callable[..., Any], live_server: Any) -> Iterator[Browsing]:
    """Return the opener of pages; the test fails when the browser complained about any of them."""
    browsing = Browsing(new_context, live_server.url)
    yield browsing
    assert browsing.complaints == []
