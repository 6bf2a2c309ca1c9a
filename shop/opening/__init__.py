"""The first run of the real shop: its profile, its owner, and the numbers it goes on from."""
