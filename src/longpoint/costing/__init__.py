"""What to buy, and what it costs: lines of the buying list, shares of cost, and the price to ask."""
