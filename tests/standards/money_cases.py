"""Any amount of any currency."""

from __future__ import annotations

from hypothesis import strategies as st

from shop.handbook.money import (
    CURRENCIES,
    Money,
)

codes = st.sampled_from(sorted(CURRENCIES))
minors = st.integers(-(10**14), 10**14)
moneys = st.builds(Money, minors, codes)
