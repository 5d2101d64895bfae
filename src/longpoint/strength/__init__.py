"""Does it hold and stay flat: beams, canvas, the coupled solve, winding, verdicts, the choice of a design."""
