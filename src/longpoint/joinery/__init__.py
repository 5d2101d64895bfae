"""How it goes together: screws, holes, glue, what a driver can reach, the order of building."""
