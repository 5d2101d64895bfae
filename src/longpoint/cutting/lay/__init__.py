"""Rectangles on a strip of cloth: search, bounds, flaws, and the check of a lay."""
