"""What stands on paper: marks, letters, dimensions, views to scale, pages; in millimetres, without a printer."""
