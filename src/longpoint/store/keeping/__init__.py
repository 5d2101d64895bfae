"""Keeping a store: backup, restore, check; everything out and everything in."""
