"""What nothing in the shop calls yet and is kept all the same, for the check that looks for dead code: each with its reason.

Read by vulture, never imported. A name that is called by now goes from here.
"""

# mypy: ignore-errors
# ruff: noqa: B018, F821
# The handbook's arithmetic is tried against standards before a room asks for it: what the bench and the office will ask.
from __future__ import annotations

peak_of_line  # of a rectified line voltage
largest_bleeder
could_be  # which preferred values a marking could be
# forecasts and promises: the pages of dates ask for these
evening
queue_hours
weeks_for
_.is_noise
widening
widened
_.more_hours
_.jobs_it_bears
load_of
bench_of
object_to_finish
offer_dates
days_off
score
_.share_within
littles_law
# labels and parcel numbers
qr_side
is_qr_alphanumeric
_.country_is_known
is_s10_shaped
_.from_decimal
_.cut_from
