"""What a lay needs at least: bounds that hold for every way of laying, each by a short argument.

Area: rectangles do not overlap, so what they cover is covered of the roll.
"""

from __future__ import annotations

from longpoint.cutting.lay_ground import UNLIMITED, Ground


def area_of(ground: Ground) -> int:
    """Area of everything wanted.

    Returns:
        Ticks².
    """
    return sum(want.across * want.along * want.count for want in ground.wants)


def least_length(ground: Ground) -> int:
    """Length that a lay on the single roll of a ground needs at least.

    Args:
        ground: With one roll.

    Returns:
        Ticks.
    """
    (stock,) = ground.stocks
    return -(-area_of(ground) // stock.width)


def least_cost(ground: Ground) -> float:
    """Cost that a lay needs at least.

    Returns:
        Cost.
    """
    if len(ground.stocks) == 1:
        return ground.stocks[0].cost(least_length(ground))
    # A tick of a roll costs at least its rate (a touched roll: at least its share of the whole) and lays its width.
    cheapest = min(_least_rate(at, ground) / stock.width for at, stock in enumerate(ground.stocks))
    return cheapest * area_of(ground)


def _least_rate(at: int, ground: Ground) -> float:
    stock = ground.stocks[at]
    if stock.length >= UNLIMITED or stock.fixed == 0.0:
        return stock.rate
    return stock.rate + min(stock.worth, stock.fixed / (stock.length + stock.start))
