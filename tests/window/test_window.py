"""The window: whoever has the link sees that one job, answers the estimate, leaves a word, and sees nobody else."""

from __future__ import annotations

import datetime as dt
import io
import re
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from PIL import Image

from shop.counter.models import Customer, Job, JobPicture
from shop.counter.stages import Stage
from shop.frame.guards import lifted
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, Role, ShopProfile
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper, Picture
from shop.keeping.pictures import take_picture
from shop.office import actions as office
from shop.office.models import Authorisation, Estimate
from shop.window import actions
from shop.window.keys import OPEN_AFTER_THE_END, digest_of, is_open
from shop.window.models import WindowKey, Word
from tests.factories.counter import CustomerFactory, UnitFactory, booked_in
from tests.factories.premises import StaffFactory
from tests.factories.records import send_home
from tests.pages import words_on

pytestmark = pytest.mark.django_db


def page_of(client: Client, secret: str) -> str:
    answer = client.get(reverse("window:open", args=[secret]))
    assert answer.status_code == 200
    return answer.content.decode()


def answer_with(client: Client, secret: str, **typed: object) -> Any:
    shown = Estimate.objects.order_by("-version").values_list("pk", flat=True)[0]
    return client.post(reverse("window:answer", args=[secret]), {"estimate": shown, **typed})


def test_the_link_shows_the_unit_in_plain_words_and_the_estimate(
    client: Client, job: Job, secret: str
) -> None:
    page = page_of(client, secret)
    for words in ("Waiting for your answer", job.number, "SN-4711", "Relay", "$18.50", "$103.50"):
        assert words in page


def test_the_page_needs_no_script_and_is_kept_nowhere(client: Client, job: Job, secret: str) -> None:
    answer = client.get(reverse("window:open", args=[secret]))
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Referrer-Policy"] == "same-origin"
    assert "noindex" in answer["X-Robots-Tag"]
    assert "<script" not in answer.content.decode()
    assert "hx-" not in answer.content.decode()


def test_nobody_elses_name_address_or_job_is_on_it(client: Client, job: Job, secret: str) -> None:
    other = booked_in(
        complaint="Secret hum",
        unit=UnitFactory(
            owner=CustomerFactory(stranger=True, address="9 Elsewhere Road"), model=job.unit.model
        ),
    )
    Word.objects.create(job=other, text="nobody's business")
    page = page_of(client, secret)
    for private in (other.number, "Secret hum", "Dashiell", "Elsewhere", "nobody's business"):
        assert private not in page
    # not even the owner's own address and phone: whoever found the link would read them
    assert job.customer.phone not in page
    assert job.customer.address.splitlines()[0] not in page


def photograph(job: Job) -> Picture:
    """A photograph of the unit, as the bench takes one; the counter has not chosen to show it."""
    kept = io.BytesIO()
    Image.new("RGB", (64, 48), "grey").save(kept, "JPEG")
    picture = take_picture(SimpleUploadedFile("unit.jpg", kept.getvalue()), by=job.accepted_by)
    JobPicture.objects.create(job=job, picture=picture)
    return picture


@pytest.mark.parametrize(
    "change, status",
    [
        ({"for_customer": True}, 200),
        ({}, 404),
        ({"for_customer": True, "struck_at": dt.datetime(2026, 11, 25, tzinfo=dt.UTC)}, 404),
    ],
)
def test_a_photograph_is_shown_once_the_shop_has_chosen_it(
    client: Client, job: Job, secret: str, change: dict[str, object], status: int
) -> None:
    picture = photograph(job)
    JobPicture.objects.filter(job=job).update(**change)
    address = reverse("window:picture", args=[secret, picture.pk, "thumbnail"])
    answer = client.get(address)
    assert answer.status_code == status
    assert answer.getvalue().startswith(b"\xff\xd8") is (status == 200)  # a JPEG
    assert (address in page_of(client, secret)) is (status == 200)


def test_a_photograph_of_another_job_stays_shut(client: Client, job: Job, secret: str) -> None:
    other = booked_in()
    picture = photograph(other)
    JobPicture.objects.filter(job=other).update(for_customer=True)
    assert client.get(reverse("window:picture", args=[secret, picture.pk, "medium"])).status_code == 404


def test_the_papers_that_the_customer_was_given_open_and_no_others(
    client: Client, job: Job, secret: str
) -> None:
    mine = Estimate.objects.get(job=job).paper
    assert mine is not None
    address = reverse("window:paper", args=[secret, mine.pk])
    assert client.get(address)["Content-Type"] == "application/pdf"
    other = actions.open_window(job=booked_in(), by=job.accepted_by)
    assert client.get(reverse("window:paper", args=[other, mine.pk])).status_code == 404
    with lifted(connection):
        IssuedPaper.objects.filter(pk=mine.pk).update(kind="sale_notice")
    assert client.get(address).status_code == 404
    assert address not in page_of(client, secret)


def test_yes_with_name_and_tick_puts_the_job_back_on_the_bench(client: Client, job: Job, secret: str) -> None:
    answer_with(client, secret, answer="yes", given_by="Marguerite Osei", meant="on")
    job.refresh_from_db()
    given = Authorisation.objects.get()
    assert (given.how, given.given_by, given.authorised_minor) == ("window", "Marguerite Osei", 10_350)
    assert given.address_seen == "127.0.0.1"
    assert given.received_by is None
    assert job.stage == Stage.ON_THE_BENCH
    assert "May we go ahead?" not in page_of(client, secret)


def test_part_of_it_is_charged_as_ticked(client: Client, job: Job, secret: str) -> None:
    relay = Estimate.objects.get().lines.get(description="Relay")
    answer_with(client, secret, answer="partly", accepted=[relay.pk], given_by="Marguerite Osei", meant="on")
    assert Authorisation.objects.get().authorised_minor == 1850
    relay.refresh_from_db()
    assert relay.accepted is True


def test_no_makes_it_ready_to_go_back(client: Client, job: Job, secret: str) -> None:
    answer_with(client, secret, answer="no", given_by="Marguerite Osei", meant="on")
    job.refresh_from_db()
    assert (job.stage, job.outcome) == (Stage.READY, "declined")


@pytest.mark.parametrize(
    "typed, sentence",
    [
        ({"given_by": "M", "meant": "on"}, "Choose yes, part of it, or no."),
        ({"answer": "yes", "meant": "on"}, "Your name is missing."),
        ({"answer": "yes", "given_by": "M"}, "Check this box, so that we know that you mean it."),
        ({"answer": "partly", "given_by": "M", "meant": "on"}, "Check what we should do."),
        ({"answer": "perhaps", "given_by": "M", "meant": "on"}, "one of those that are offered"),
        (
            {"answer": "partly", "accepted": ["999999"], "given_by": "M", "meant": "on"},
            "one of those that are offered",
        ),
    ],
)
def test_an_answer_that_is_not_whole_gets_one_sentence_and_changes_nothing(
    client: Client, job: Job, secret: str, typed: dict[str, object], sentence: str
) -> None:
    answer = answer_with(client, secret, **typed)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Authorisation.objects.exists()
    job.refresh_from_db()
    assert job.stage == Stage.AWAITING_WORD


def test_a_second_answer_and_a_double_click_change_nothing(client: Client, job: Job, secret: str) -> None:
    page = page_of(client, secret)
    once = re.findall(r'name="once" value="([0-9a-f-]+)"', page)[0]
    for _ in range(2):
        answer = answer_with(client, secret, answer="yes", given_by="M. Osei", meant="on", once=once)
        assert answer.status_code == 303
    second = answer_with(client, secret, answer="no", given_by="M. Osei", meant="on")
    assert second.status_code == 422
    assert "answered or replaced already" in second.content.decode()
    assert Authorisation.objects.count() == 1


@pytest.mark.parametrize("how", ["another version since", "no estimate named"])
def test_a_yes_to_an_estimate_that_the_customer_has_not_seen_is_no_yes(
    client: Client, job: Job, secret: str, how: str
) -> None:
    """The page stood open while the shop put a dearer version: the yes was to the first (16 CCR 2722: to the estimate given)."""
    seen = re.findall(r'name="estimate" value="(\d+)"', page_of(client, secret))[0]
    if how == "another version since":
        dearer = office.next_version(job=job, by=job.accepted_by)
        office.put_estimate(estimate=dearer, by=job.accepted_by)
    typed = {"answer": "yes", "given_by": "M. Osei", "meant": "on"}
    if how == "another version since":
        typed["estimate"] = seen
    answer = client.post(reverse("window:answer", args=[secret]), typed)
    assert answer.status_code == 422
    assert "another estimate since you opened this page" in answer.content.decode()
    assert not Authorisation.objects.exists()
    now_shown = re.findall(r'name="estimate" value="(\d+)"', answer.content.decode())
    assert now_shown == [str(Estimate.objects.order_by("-version")[0].pk)]
    assert (
        client.post(reverse("window:answer", args=[secret]), {**typed, "estimate": now_shown[0]}).status_code
        == 303
    )


def test_an_estimate_that_ran_out_can_not_be_answered(client: Client, job: Job, secret: str) -> None:
    until = Estimate.objects.get().valid_until
    assert until is not None
    with time_machine.travel(dt.datetime.combine(until, dt.time(12), dt.UTC) + dt.timedelta(days=3)):
        page = page_of(client, secret)
        assert "was not answered" in page
        answer = answer_with(client, secret, answer="yes", given_by="M", meant="on")
    assert answer.status_code == 422
    assert not Authorisation.objects.exists()


def test_a_word_reaches_the_first_screen_until_somebody_has_read_it(
    client: Client, job: Job, secret: str
) -> None:
    client.post(reverse("window:say_word", args=[secret]), {"text": "Ring the second number, please"})
    shop = Client()
    shop.force_login(StaffFactory(roles=[Role.BENCH]))
    first = reverse("records:first_screen")
    assert "Ring the second number" in shop.get(first).content.decode()
    shop.post(reverse("window:seen", args=[job.number]), {"next": "first"})
    assert "Ring the second number" not in shop.get(first).content.decode()
    shop.post(reverse("window:reply", args=[job.number]), {"text": "We will"})
    page = page_of(client, secret)
    assert "We will" in page
    assert "read" in page
    card = shop.get(reverse("records:job_card", args=[job.number])).content.decode()
    assert "Ring the second number" in card


def test_an_empty_word_and_too_many_words_are_refused(client: Client, job: Job, secret: str) -> None:
    assert client.post(reverse("window:say_word", args=[secret]), {"text": " "}).status_code == 422
    assert client.post(reverse("window:say_word", args=[secret]), {"text": "x" * 3000}).status_code == 422
    for at in range(actions.MOST_WORDS_A_DAY):
        actions.say_word(job=job, text=f"word {at}")
    answer = client.post(reverse("window:say_word", args=[secret]), {"text": "one more"})
    assert answer.status_code == 422
    assert "a lot for one day" in answer.content.decode()
    assert Word.objects.count() == actions.MOST_WORDS_A_DAY


def test_the_journal_holds_no_word_and_no_secret(client: Client, job: Job, secret: str) -> None:
    client.post(reverse("window:say_word", args=[secret]), {"text": "Lives at 3 Tallow Street"})
    answer_with(client, secret, answer="yes", given_by="Marguerite Osei", meant="on")
    told = " ".join(str(entry.data) for entry in JournalEntry.objects.all())
    assert "Tallow" not in told
    assert "Osei" not in told
    assert secret not in told
    assert verify() == []


def test_only_the_digest_of_a_key_is_kept(job: Job, secret: str) -> None:
    key = WindowKey.objects.get()
    assert key.digest == digest_of(secret)
    assert secret not in str(key.__dict__)
    assert len(secret) >= 32


def test_a_withdrawn_key_a_wrong_key_and_one_of_a_job_long_gone_open_nothing(
    client: Client, job: Job, secret: str
) -> None:
    assert client.get(reverse("window:open", args=["a" * 32])).status_code == 404
    send_home(job, at=dt.datetime.now(dt.UTC) - OPEN_AFTER_THE_END + dt.timedelta(days=1))
    page_of(client, secret)
    send_home(job, at=dt.datetime.now(dt.UTC) - OPEN_AFTER_THE_END - dt.timedelta(days=1))
    assert client.get(reverse("window:open", args=[secret])).status_code == 404
    with pytest.raises(Refusal):
        actions.open_window(job=job, by=job.accepted_by)
    Job.objects.filter(pk=job.pk).update(stage=Stage.ON_THE_BENCH, ended_at=None)
    page_of(client, secret)
    actions.withdraw_keys(job=job, by=job.accepted_by)
    assert client.get(reverse("window:open", args=[secret])).status_code == 404


def test_the_page_of_a_forgotten_customer_is_shut(job: Job) -> None:
    Customer.objects.filter(pk=job.customer_id).update(forgotten_at=dt.datetime.now(dt.UTC))
    job.customer.refresh_from_db()
    assert not is_open(job)


def test_whoever_tries_many_keys_is_made_to_wait_and_the_right_key_opens_all_the_same(
    client: Client, job: Job, secret: str
) -> None:
    codes = [client.get(reverse("window:open", args=[f"{at:032d}"])).status_code for at in range(13)]
    assert codes[:10] == [404] * 10
    assert codes[-1] == 429
    page_of(client, secret)


def test_the_shop_makes_a_link_with_a_code_that_a_camera_reads(client: Client, job: Job) -> None:
    client.force_login(job.accepted_by)
    page = client.post(reverse("window:give_key", args=[job.number]))
    assert page.status_code == 200
    link = re.findall(r"https://halftone\.example/w/[A-Za-z0-9_-]+/", page.content.decode())[0]
    secret = link.rstrip("/").rpartition("/")[2]
    assert "<svg" in page.content.decode()
    page_of(Client(), secret)
    stranger = Client()
    assert stranger.post(reverse("window:give_key", args=[job.number])).status_code == 302
    assert WindowKey.objects.filter(job=job).count() == 1


def test_a_link_that_may_open_on_this_machine_alone_says_so(client: Client, job: Job) -> None:
    client.force_login(job.accepted_by)
    address = reverse("window:give_key", args=[job.number])
    assert "names no web address" not in words_on(client.post(address))
    ShopProfile.objects.update(web_address="")
    assert "names no web address" in words_on(client.post(address))


def test_the_link_is_offered_where_a_job_was_just_booked_in(client: Client, job: Job) -> None:
    client.force_login(job.accepted_by)
    booked = client.get(reverse("counter:booked"), {"job": job.number}).content.decode()
    assert reverse("window:give_key", args=[job.number]) in booked
