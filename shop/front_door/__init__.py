"""The front door: what serves the shop, keeps strangers out, and answers when something can't be done."""

from __future__ import annotations
