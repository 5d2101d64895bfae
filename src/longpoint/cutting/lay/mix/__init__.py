"""Kept lengths mixed: columns, their prices, and programs over them."""
