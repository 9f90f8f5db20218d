"""The rehearsal page: the class played in a browser, from one file."""
