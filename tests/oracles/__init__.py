"""Slower or plainer ways to the same numbers, which only tests ask: whole solves, plain frames, hand formulas."""
