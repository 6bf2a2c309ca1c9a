"""Six whole repairs. Makers, models and people are invented; values and order are those of such a repair (common practice)."""

from __future__ import annotations

from tests.bench.stories.repairs.cassette_deck import CASSETTE_DECK
from tests.bench.stories.repairs.disc_player import DISC_PLAYER
from tests.bench.stories.repairs.receiver import RECEIVER
from tests.bench.stories.repairs.synthesizer import SYNTHESIZER
from tests.bench.stories.repairs.tube_amplifier import TUBE_AMPLIFIER
from tests.bench.stories.repairs.turntable import TURNTABLE

STORIES = (RECEIVER, CASSETTE_DECK, TUBE_AMPLIFIER, SYNTHESIZER, TURNTABLE, DISC_PLAYER)
