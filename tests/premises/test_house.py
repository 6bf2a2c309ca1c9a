"""The frame of every page: icons, faces, fields, room tabs, the choice of day or night, the pattern page."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from django import forms
from django.conf import settings
from django.template import Context, Template
from django.test import Client, RequestFactory
from django.urls import reverse

from shop.frame.models import Role, Staff
from shop.frame.rooms import ROOMS, rooms_for
from shop.frame.templatetags.house import VERDICTS
from shop.frame.whose_move import WhoseMove
from shop.premises.patterns import icon_names
from tests.factories.premises import StaffFactory

ROOT = Path(settings.BASE_DIR)


def someone(*roles: str) -> Staff:
    return StaffFactory(roles=list(roles))


# --- pictures and letters -----------------------------------------------------------------------------------


def test_every_icon_that_a_template_asks_for_is_in_the_sprite() -> None:
    known = set(icon_names())
    asked = {
        f"{page.relative_to(ROOT)}: {name}"
        for page in (ROOT / "templates").rglob("*.html")
        for name in re.findall(r'{% icon "([^"]+)"', page.read_text(encoding="utf-8"))
        if name not in known
    }
    assert asked == set()


def test_every_move_and_verdict_has_its_icon() -> None:
    assert {*(one.icon for one in WhoseMove), *(picture for picture, _ in VERDICTS.values())} <= set(
        icon_names()
    )


def test_no_two_faces_of_the_type_family_share_name_style_and_weight() -> None:
    # WeasyPrint draws letters of one face with the shapes of another when two share a name (seen with version 70).
    css = (ROOT / "static" / "css" / "fonts.css").read_text(encoding="utf-8")
    faces = re.findall(r'font-family: "(.+)";\n  font-style: (.+);\n  font-weight: (.+);', css)
    assert len(faces) == css.count("@font-face {")
    assert len(set(faces)) == len(faces)


def test_pages_carry_no_inline_style_and_no_inline_script() -> None:
    inline = re.compile(r"<style|\sstyle=|\son\w+=|hx-on|<script(?![^>]*\ssrc=)|javascript:")
    looked_at = [*(ROOT / "templates" / "parts").rglob("*.html"), *(ROOT / "templates").glob("*.html")]
    assert [page.name for page in looked_at if inline.search(page.read_text(encoding="utf-8"))] == []


# --- fields -------------------------------------------------------------------------------------------------


class Plate(forms.Form):
    volts = forms.IntegerField(help_text="What the plate says.", error_messages={"invalid": "Write digits."})
    kind = forms.ChoiceField(choices=[("I", "Class I"), ("II", "Class II")], widget=forms.RadioSelect)
    note = forms.CharField(required=False)


def test_a_field_tells_readers_its_hint_and_its_mistake() -> None:
    html = Plate({"volts": "<b>", "kind": "I"})["volts"].as_field_group()
    assert '<label for="id_volts">Volts</label>' in html
    assert 'aria-describedby="id_volts_helptext id_volts_error"' in html
    assert 'aria-invalid="true"' in html
    assert 'id="id_volts_error"' in html
    assert "Write digits." in html
    assert "<b>" not in html


def test_a_field_in_order_speaks_of_no_mistake() -> None:
    html = Plate({"volts": "120", "kind": "I"})["volts"].as_field_group()
    assert "field-error" not in html
    assert "aria-invalid" not in html


def test_choices_are_tiles_in_a_fieldset_with_its_legend() -> None:
    html = Plate()["kind"].as_field_group()
    assert html.count('<label class="tile">') == 2
    assert re.search(r"<fieldset[^>]*>\s*<legend>Kind</legend>", html)


def test_a_field_may_be_left_out_only_where_it_says_so() -> None:
    assert "optional" not in Plate()["volts"].as_field_group()
    assert "optional" in Plate()["note"].as_field_group()


# --- rooms --------------------------------------------------------------------------------------------------


@pytest.mark.django_db
def test_room_tabs_follow_the_roles_of_whoever_is_signed_in(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shop.frame.rooms.open_door", lambda name: f"/{name}")
    bench, owner = someone(Role.BENCH), someone(Role.OWNER)
    assert [room.label for room, _ in rooms_for(bench)] == ["Bench", "Stockroom", "Planner", "Records"]
    assert [room for room, _ in rooms_for(owner)] == list(ROOMS)


@pytest.mark.django_db
def test_a_room_without_a_door_has_no_tab(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shop.frame.rooms.open_door", lambda name: "")
    assert rooms_for(someone(Role.OWNER)) == []


# --- day and night ------------------------------------------------------------------------------------------


@pytest.mark.django_db
def test_a_chosen_theme_is_worn_by_the_next_page(client: Client) -> None:
    client.force_login(someone(Role.OWNER))
    answer = client.post(reverse("premises:theme"), {"theme": "dark", "back": reverse("premises:house")})
    assert answer.status_code == 302
    assert answer["Location"] == reverse("premises:house")
    assert b'data-theme="dark"' in client.get(reverse("premises:house")).content


@pytest.mark.django_db
@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", ""]
)
def test_the_theme_switch_leads_to_no_other_house(client: Client, back: str) -> None:
    client.force_login(someone(Role.OWNER))
    assert client.post(reverse("premises:theme"), {"theme": "dark", "back": back})["Location"] == "/"


@pytest.mark.django_db
def test_a_theme_nobody_knows_is_not_kept(client: Client) -> None:
    client.force_login(someone(Role.OWNER))
    answer = client.post(reverse("premises:theme"), {"theme": '"><script>', "back": "/"})
    assert "theme" not in answer.cookies


# --- the pattern page ---------------------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.parametrize("role, status", [(Role.OWNER, 200), (Role.COUNTER, 403), (Role.BENCH, 403)])
def test_only_the_owner_sees_the_pattern_page(client: Client, role: str, status: int) -> None:
    client.force_login(someone(role))
    assert client.get(reverse("premises:house")).status_code == status


@pytest.mark.django_db
def test_the_page_frame_asks_the_book_little(client: Client, django_assert_max_num_queries: Any) -> None:
    client.force_login(someone(Role.OWNER))
    with django_assert_max_num_queries(5):
        client.get(reverse("premises:house"))


def test_a_stamp_says_its_stage_and_whose_move_in_words() -> None:
    page = Template('{% load house %}{% stage_stamp "Awaiting word" "customer" %}').render(Context())
    assert "Awaiting word" in page
    assert "the customer’s move" in page


def test_a_refusal_page_stands_without_the_book(rf: RequestFactory) -> None:
    # no django_db mark: a query would fail this test
    from shop.front_door.refusals import server_error  # noqa: PLC0415

    answer = server_error(rf.get("/"))
    assert answer.status_code == 500
    assert b"Something broke" in answer.content
