"""How a store of an older release becomes one of today: one chain, for both databases."""
