"""What may be typed on the premises' own pages, and the sentence that says what is wrong with it."""
