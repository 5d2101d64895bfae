"""The canvas as a membrane: grid, taut and slack answers, edges, large pushes."""
