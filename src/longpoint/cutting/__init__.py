"""Parts out of boards and pieces of cloth out of rolls, with bounds, and a referee that shares no code with the solver."""
