"""Records: the first screen, the job card, the search of the history, model files, figures."""
