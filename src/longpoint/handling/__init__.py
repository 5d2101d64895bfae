"""Afterwards: getting a finished work out. Knows boxes and points; no frame, no joints, nothing that is stated."""
