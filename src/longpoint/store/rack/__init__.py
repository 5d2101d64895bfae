"""The rack: what lies there, by a journal of what happened to it."""
