"""What is left to cut after something went wrong: facts, events, and the plan of the rest."""
