"""Others' records, read beside the shop's own history and never mixed into it."""
