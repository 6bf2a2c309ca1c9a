"""Scenes: an invented shop's days, played through the same actions as the screens."""
