"""The handbook: the trade's arithmetic and tables in pure Python, without Django, clock, network or files."""
