"""Lays built length by length and changed, again and again."""
