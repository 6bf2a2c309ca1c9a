"""The one family of errors a room raises when it will not do what was asked.

A `Refusal` carries one clear sentence for the person who asked. Views catch it in one place and show it beside the form
(HTTP 422) with everything that was typed still there; the walkthrough prints it and ends with 1.
"""

from __future__ import annotations


class Refusal(Exception):
    """What was asked is not done, and nothing was written. `field` names the form field it belongs to, if any."""

    def __init__(self, sentence: str, *, field: str | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
