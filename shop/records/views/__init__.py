"""The records' pages: thin. A query, a template out; a form in, an action."""
