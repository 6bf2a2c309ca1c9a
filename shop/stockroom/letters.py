"""The letter that goes to a supplier with an order."""

from __future__ import annotations

from shop.keeping.letter_texts import LetterKind

ORDER = LetterKind(
    key="order",
    title="An order to a supplier",
    when="when an order is sent by e-mail, with the order as a PDF",
    subject="Order {number}, {shop}",
    body="""\
Please find our order {number} attached.
Our account with you: {account}

Please confirm it, and tell us what can't be delivered.

{signed}
{shop}
{shop_address}
{shop_phone}""",
    fields={
        "number": "the number of the order",
        "supplier": "the supplier’s name",
        "account": "the shop’s account with the supplier",
        "signed": "who sends it",
    },
)
