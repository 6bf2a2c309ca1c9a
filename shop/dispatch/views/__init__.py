"""Dispatch's pages: thin. A form in, an action or a query, a template out."""
