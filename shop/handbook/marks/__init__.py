"""Marks on parts and sets: who made it, what its colors say, which plug and which safety capacitor it is."""
