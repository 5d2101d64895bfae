"""One ground laid as well as the effort allows, with what it must cost at least."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.cutting.lay_bound import least_cost, least_length
from longpoint.cutting.lay_ground import Ground, Put
from longpoint.cutting.lay_search import Search


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came back with.

    Attributes:
        puts: The rectangles laid.
        cost: What they cost.
        at_least: What any lay costs at least.
        complete: All wanted rectangles are laid.
    """

    puts: tuple[Put, ...]
    cost: float
    at_least: float
    complete: bool


def solve_ground(ground: Ground, *, effort: int) -> Found:
    """Lay a ground.

    Args:
        ground: Rectangles and rolls.
        effort: How many lays the search may try.

    Returns:
        The best lay found and the bound.
    """
    bound = least_cost(ground)
    cost, puts, complete = Search(ground).best(effort=effort, good_enough=bound * (1 + 1e-12))
    return Found(puts, cost, bound, complete)


def solve_strip(ground: Ground, *, effort: int, any_cut: bool) -> tuple[tuple[Put, ...], int]:
    """Lay a ground of one endless roll as short as the effort allows.

    Args:
        ground: With one roll without limit, flaw or price.
        effort: How many lays the search may try.
        any_cut: Cuts need not go straight through.

    Returns:
        The rectangles, and the length that any lay takes at least. [ticks]
    """
    bound = least_length(ground)
    _, puts, _ = Search(ground).best(effort=effort, good_enough=float(bound))
    return puts, bound
