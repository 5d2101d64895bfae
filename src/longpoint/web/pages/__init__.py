"""The pages, in the order of the work."""
