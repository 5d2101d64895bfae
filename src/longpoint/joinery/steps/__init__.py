"""The steps of building one frame as values, made from its order: keys and figures, which the sheets put into words."""
