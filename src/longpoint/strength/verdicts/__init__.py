"""Verdicts: one question to a module, each with its limit and where that comes from."""
