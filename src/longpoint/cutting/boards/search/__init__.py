"""The search for cutting plans: patterns, prices, dives, the masters."""
