"""Day, night or as the device wishes: kept in a cookie, so that the server draws the page right at once."""

from __future__ import annotations

THEME_COOKIE = "theme"
THEMES = ("light", "dark", "auto")
THEME_AGE = 400 * 24 * 60 * 60
"""Seconds a choice is kept: the longest that browsers allow a cookie to live."""
