"""The premises' pages, by subject."""
