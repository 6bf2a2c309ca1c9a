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
# the queue weighed exactly, case by case: what the forecast's draws are held against
utilisation
_.grows
littles_law
score
_.share_within
# labels and parcel numbers
qr_side
is_qr_alphanumeric
_.country_is_known
is_s10_shaped
_.from_decimal
_.cut_from
# what is said at the bench: the box of the bench and the page of a talked-through repair ask for these
read_webvtt
read_subrip
read_plain
_.sure
_.at
# what is wrong with the backups on the shelf, for the page of the shop's health
unfit
# the shape of a library that may not be installed, for the types alone
_Library
# Django asks a lookup for its SQL
_.as_sql
# logging asks its formatter
_.formatTime
# waitress asks its server and its tasks for these
_.handle_error
_.maintenance
_.cancel
# Django's makemigrations calls it
_.write_migration_files
