"""What is certain: bounds on length and cost, and searches that end with a proof."""
