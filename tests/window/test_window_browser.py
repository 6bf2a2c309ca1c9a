"""The customer's page in a browser, without script: what a customer sends arrives.

A browser tells with each form where it comes from (the Origin header, WHATWG Fetch 3.2), and the shop takes forms of its own
pages only. A page that forbids referrers altogether sends “null” there, and its forms are refused; Django's test client does
not show that.
"""

from __future__ import annotations

import pytest
from django.urls import reverse

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.office.models import Authorisation
from shop.window.models import Word
from tests.conftest import Browsing

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_customer_leaves_a_word_and_says_yes_without_script(
    browse: Browsing, job: Job, secret: str
) -> None:
    page = browse(None, width=390, height=844, scripts=False)
    page.goto(reverse("window:open", args=[secret]))
    page.get_by_label("Message us").get_by_role("textbox").fill("Is it the belt again?")
    page.get_by_role("button", name="Send", exact=True).click()
    assert page.get_by_text("Is it the belt again?").is_visible()
    page.get_by_label("Yes, go ahead").check()
    page.get_by_label("Your name").fill("M. Osei")
    page.get_by_label("this is my answer").check()
    page.get_by_role("button", name="Send this answer").click()
    assert page.get_by_role("heading", name="On the bench").is_visible()
    assert Word.objects.get().text == "Is it the belt again?"
    assert Authorisation.objects.get().given_by == "M. Osei"
    job.refresh_from_db()
    assert job.stage == Stage.ON_THE_BENCH
