"""The order of building: found by taking the frame apart, with what a driver reaches on the way."""
