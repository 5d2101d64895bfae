"""Cloth: pieces, rolls, seams and flaws, planned to the least cost, and checked."""
