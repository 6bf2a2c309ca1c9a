"""The letter that goes to a customer with a paper."""

from __future__ import annotations

from shop.keeping.letter_texts import LetterKind

PAPER = LetterKind(
    key="paper",
    title="A paper to a customer",
    when="when an estimate, invoice, statement or reminder is sent by e-mail, with the paper as a PDF",
    subject="{paper}, {shop}",
    body="""\
Hello {customer},

{paper} is attached.

{shop}
{shop_phone}""",
    fields={
        "customer": "the customer’s name",
        "paper": "what the paper is called, with its number",
        "numbers": "the job numbers, one after another",
    },
)
