"""Mendwright: one person's repair bench, from the counter to the customer's door."""
