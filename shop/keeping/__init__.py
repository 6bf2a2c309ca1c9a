"""The keeping room holds what must not get lost: pictures, files, issued papers, letters, backups."""

from __future__ import annotations
