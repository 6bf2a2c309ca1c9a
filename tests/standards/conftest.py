"""How the property tests of the handbook run."""

from __future__ import annotations

from hypothesis import settings

# A busy machine would fail an example for its time alone; what these tests hold is what comes out, not how fast.
settings.register_profile("handbook", deadline=None)
settings.load_profile("handbook")
