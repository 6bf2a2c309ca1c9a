"""The words of the search: what is stored of a text, what is asked of it, and how the two meet.

``stored_form`` goes into the full-text index, ``asked_form`` makes a question of what a person types; ``fold_model``
and ``fold_serial`` make keys of numbers. Near misses (``did you mean``) are measured elsewhere, over these keys.

Sources: each module names its own; what the trade calls things is common practice, no source.
"""

from __future__ import annotations

from shop.handbook.words.asking import (
    UNTOLD,
    Asked,
    AskedWord,
    Way,
    asked_form,
    expand,
    fts5_query,
    marks,
    matches,
    satisfied_by,
    stored_vector,
    tsquery,
)
from shop.handbook.words.folding import (
    ModelSpan,
    fold,
    fold_model,
    fold_serial,
    key_range,
    model_spans,
    model_tokens,
)
from shop.handbook.words.ranking import ranker
from shop.handbook.words.stems import stem
from shop.handbook.words.synonyms import TRADE, TRADE_ROWS, TRADE_WORDS, Synonyms, build_synonyms
from shop.handbook.words.tokens import Piece, pieces, stored_form, stored_tokens, typed_words

__all__ = [
    "TRADE",
    "TRADE_ROWS",
    "TRADE_WORDS",
    "UNTOLD",
    "Asked",
    "AskedWord",
    "ModelSpan",
    "Piece",
    "Synonyms",
    "Way",
    "asked_form",
    "build_synonyms",
    "expand",
    "fold",
    "fold_model",
    "fold_serial",
    "fts5_query",
    "key_range",
    "marks",
    "matches",
    "model_spans",
    "model_tokens",
    "pieces",
    "ranker",
    "satisfied_by",
    "stem",
    "stored_form",
    "stored_tokens",
    "stored_vector",
    "tsquery",
    "typed_words",
]
