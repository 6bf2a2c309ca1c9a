"""Bringing in: a spreadsheet of old jobs, row by row accounted for, and the Open Repair Data Standard."""
