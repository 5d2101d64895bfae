"""Proofs of cutting plans in whole numbers, and the referees that check them."""
