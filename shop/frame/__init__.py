"""The frame is what every room stands in: the facts and the habits that all of them share."""

from __future__ import annotations
