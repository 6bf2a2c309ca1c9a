"""The second step at sign-in: a code from an app on one's phone (TOTP, RFC 6238), or one of ten spare codes.

Whoever wants it sets it up for themself; the shop may require it of its owners. django-otp keeps the keys and checks the
codes. How often a code may be guessed is counted as at the door (`signing_in.py`): its own throttle doubles without end, and
would keep an owner out for days. Keys stand in the book's file and in backups of it, and nowhere else: not in the journal,
and not in a book that is taken out, so that whoever brings one back sets the second step up anew.
"""

from __future__ import annotations

CODE_DIGITS = 6
SPARE_DIGITS = 10
SPARE_CODES = 10
KEY_BYTES = 20
"""160 bits, as RFC 4226, section 4 (R6) recommends."""
