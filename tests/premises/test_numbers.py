"""Numbers without gaps and without repeats, whoever asks at once and whatever is rolled back."""

from __future__ import annotations

import threading

import pytest
from django.db import connection, transaction

from shop.frame import numbers
from shop.frame.models import JournalEntry, NumberSeries
from shop.frame.refusal import Refusal
from shop.premises.actions import set_next_number

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def take(series: str = "invoice", year: int = 2026) -> int:
    with transaction.atomic():
        return numbers.take(series, year)


def test_a_series_counts_from_one_and_each_year_and_series_by_itself() -> None:
    assert [take(), take(), take()] == [1, 2, 3]
    assert take(year=2027) == 1
    assert take("credit_note") == 1
    assert take() == 4


def test_a_number_goes_back_when_its_invoice_is_not_made() -> None:
    def fail() -> None:
        with transaction.atomic():
            numbers.take("invoice", 2026)
            raise RuntimeError("no")

    take()
    with pytest.raises(RuntimeError):
        fail()
    assert take() == 2


@pytest.mark.django_db(transaction=True)
def test_a_number_is_taken_only_inside_the_transaction_that_uses_it() -> None:
    with pytest.raises(transaction.TransactionManagementError):
        numbers.take("invoice", 2026)


@pytest.mark.django_db(transaction=True)
def test_eight_at_once_with_one_in_three_changing_their_mind_leave_no_gap_and_no_repeat() -> None:
    taken: list[int] = []
    failed: list[BaseException] = []
    lock = threading.Lock()

    def give_up() -> None:
        with transaction.atomic():
            numbers.take("invoice", 2026)
            raise RuntimeError("changed my mind")

    def work(who: int) -> None:
        try:
            for step in range(12):
                if (who + step) % 3 == 0:
                    with pytest.raises(RuntimeError):
                        give_up()
                else:
                    number = take()
                    with lock:
                        taken.append(number)
        except BaseException as error:  # noqa: BLE001
            failed.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=work, args=(who,)) for who in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert sorted(taken) == list(range(1, len(taken) + 1))
    assert len(taken) == 64


def test_a_series_can_be_set_ahead_but_never_back() -> None:
    set_next_number(series="invoice", year=2026, value=57, by=None)
    assert take() == 57
    with pytest.raises(Refusal, match="Number 57 is taken already"):
        set_next_number(series="invoice", year=2026, value=57, by=None)
    assert JournalEntry.objects.count() == 1
    assert NumberSeries.objects.get().next_value == 58
    set_next_number(series="invoice", year=2026, value=58, by=None)
