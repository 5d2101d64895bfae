"""Root of the test tree."""
