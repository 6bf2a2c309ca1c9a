"""Dates that hold: how long each open job will take, from what earlier ones took and from the hours that are worked."""

from __future__ import annotations
