"""Measuring: seeded books of any size, the bare queries they are held against, and honest clocks."""
