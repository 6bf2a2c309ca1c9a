"""The verbs and things of keeping as the journal tells them."""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import reverse

from shop.frame.wording import Name
from shop.keeping.models import IssuedPaper
from shop.keeping.tasks.kinds import kind_of

WORDS = {
    "picture.taken_in": "took in a photograph",
    "picture.copied": "made the small copies of a picture again",
    "file.taken_in": "took in a file",
    "paper.deleted": "deleted a paper’s file at the end of its retention; its hash remains",
    "message.written": "put a letter into the outbox",
    "message.sent": "sent a letter",
    "message.set_aside": "marked a letter as not to be sent",
    "message.changed": "changed a letter before it went",
    "letters.wait": "has every letter looked at before it goes",
    "letters.go": "has letters go by themselves",
    "letter_text.written": "wrote the shop’s own words for a letter: {kind}",
    "letter_text.dropped": "went back to the program’s words for a letter: {kind}",
    "mail.server_named": "named the server that letters are sent through",
    "mail.server_forgotten": "named no mail server any more",
    "mail.tried": "sent a letter to try the mail",
    "message.tried_again": "had a letter tried again",
    "task.asked": "asked for a task: “{kind}”",
    "task.stopped": "stopped a task",
    "task.tried_again": "had a task tried again",
}


def paper_names(ids: Iterable[int]) -> dict[int, Name]:
    """Issued papers by id."""
    rows = IssuedPaper.objects.filter(pk__in=list(ids)).values_list("pk", "title")
    return {pk: Name(title, reverse("premises:paper", args=[pk]), is_paper=True) for pk, title in rows}


NAMERS = {"keeping.issuedpaper": paper_names}


def _task(key: str) -> str:
    """How a kind of task is called; in a book of a program that had others, its key in words."""
    kind = kind_of(key)
    return kind.label if kind else key.replace(".", " ").replace("_", " ")


SPEAKERS = {("task.asked", "kind"): _task}
