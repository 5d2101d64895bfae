"""Screws: those on sale, where they go, the holes they take, what they bear, and that none meet."""
