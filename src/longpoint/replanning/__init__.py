"""A plan read back and what happened since, so that the rest can be planned again."""
