"""The letters of the planner's reminders, as they begin."""

from __future__ import annotations

from shop.keeping.letter_texts import LetterKind

THE_JOB = {
    "customer": "the customer’s name",
    "unit": "maker and model",
    "number": "the job number",
}
NEW_DATE = LetterKind(
    key="new_date",
    title="A promised date has moved",
    when="as a reminder, when a promised date can’t be kept",
    subject="{unit}: a new date",
    body="""\
Hello,

Your {unit} (job {number}) takes longer than we said. We had hoped {hoped} by {day}. {then} We are sorry.
The reason: {why}.

{shop}""",
    fields={
        **THE_JOB,
        "why": "what it waits for",
        "hoped": "“to have it ready”, or “to tell you what is wrong with it”",
        "day": "the day that was promised",
        "then": "a sentence on the new date",
    },
)
NO_ANSWER = LetterKind(
    key="no_answer",
    title="An estimate is not answered",
    when="as a reminder, a week after an estimate",
    subject="{unit}: our estimate",
    body="""\
Hello,

We sent you an estimate for your {unit} (job {number}) and have no answer yet. May we go on? A yes or a no is enough.

{shop}""",
    fields=THE_JOB,
)
NOT_PICKED_UP = LetterKind(
    key="not_picked_up",
    title="Ready and not picked up",
    when="as a reminder, two weeks after a unit was ready",
    subject="{unit} is ready",
    body="""\
Hello,

Your {unit} (job {number}) has been ready since {day}. Tell us when you would like to pick it up.

{shop}""",
    fields={**THE_JOB, "day": "the day since when it is ready"},
)
PART_OVERDUE = LetterKind(
    key="part_overdue",
    title="A part is overdue",
    when="as a reminder, when an order is later than its supplier usually is",
    subject="Order {number}",
    body="""\
Hello,

Our order {number} of {day} has not come yet: {part}. When may we expect it?

{shop}""",
    fields={
        "number": "the number of the order",
        "supplier": "the supplier’s name",
        "day": "the day of the order",
        "part": "what is waited for",
    },
)
