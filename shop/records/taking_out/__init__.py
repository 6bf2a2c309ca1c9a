"""Taking out: everything in open formats with its schema, the Open Repair Data Standard, and lists as CSV."""
