"""The search of the history: what is stored of a job, what is asked, and how the two databases answer alike."""
