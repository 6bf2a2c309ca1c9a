"""The window: the customer's own page."""
