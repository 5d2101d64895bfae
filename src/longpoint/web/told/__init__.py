"""What pages show of a plan, as plain values in one language and one unit: made apart, read by the server."""
