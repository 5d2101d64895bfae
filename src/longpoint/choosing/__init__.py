"""Which design: candidates with price and mass, the bench that computes them, remedies; keys and numbers only."""
