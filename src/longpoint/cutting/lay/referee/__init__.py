"""The referee of lays: places, bounds and listings checked from the problem alone."""
