"""Published values as data files, a source beside every row."""
