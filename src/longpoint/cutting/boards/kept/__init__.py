"""Beside the least cost: what is left, and how seldom boards are picked up."""
