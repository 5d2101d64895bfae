"""Marks or a plan in, bytes out."""
