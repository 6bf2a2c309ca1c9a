"""The verbs of the records as the journal tells them."""

from __future__ import annotations

from shop.frame.wording import counted

WORDS = {
    "customer.merged": "merged two customers that are one",
    "customer.merge_undone": "took a merging of customers back",
    "customer.forgotten": "forgot a customer; books and technical history stay",
    "texts.name_taken_out": "took the name of somebody who was forgotten out of a text",
    "model.merged": "merged two models that are one",
    "model.merge_undone": "took a merging of models back",
    "unit.merged": "merged two units that are one",
    "unit.merge_undone": "took a merging of units back",
    "job.comeback_noted": "noted it as a comeback",
    "job.comeback_withdrawn": "noted that it is no comeback",
    "search.saved": "kept a search",
    "search.forgotten": "let a kept search go",
    "synonym.added": "taught the search words that mean the same",
    "synonym.changed": "corrected a row of synonyms",
    "synonym.dropped": "withdrew a row of synonyms",
    "batch.started": "took in a list of {rows}",
    "batch.matched": "said which column of a list holds what",
    "batch.thrown_away": "discarded a list of {rows} before any was imported",
    "jobs.brought_in": "imported {rows} of an older book",
    "jobs.taken_back_out": "undid the import of {rows}",
    "library.started": "read {rows} of others",
    "library.chosen": "said which categories of others’ records are kept",
    "library.thrown_away": "discarded a library of {rows}",
    "book.taken_out": "took everything out into a file",
    "book.sealed": "sealed {rows} of {table} as they came with a book of an earlier program",
    "customer.data_handed_out": "handed out everything held on a customer",
}

SPEAKERS = {
    ("batch.started", "rows"): counted("old job", "old jobs"),
    ("batch.thrown_away", "rows"): counted("old job", "old jobs"),
    ("jobs.brought_in", "rows"): counted("job", "jobs"),
    ("jobs.taken_back_out", "rows"): counted("job", "jobs"),
    ("library.started", "rows"): counted("record", "records"),
    ("library.thrown_away", "rows"): counted("record", "records"),
    ("book.sealed", "rows"): counted("row", "rows"),
}
