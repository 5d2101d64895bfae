"""Packs: which sheets a plan gives, in which order, and some of them alone."""
