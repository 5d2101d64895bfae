"""Rows of the JSON documents: the plan, its rest, what a check answers."""
