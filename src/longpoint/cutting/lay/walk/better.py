"""A lay of the walk made better from the lengths that were met on the way.

On a plain roll: prices, the dive, then mending. On a roll with flaws two lays are mended for a while, the walk's own,
whose pieces beside flaws are there already, and one that dives into the whole cloth between the flaws and leaves them
bare; the better one is mended on.
"""

from __future__ import annotations

from longpoint.cutting.lay.mix.kept_lengths import KeptLengths
from longpoint.cutting.lay.mix.pool import Pool, copy_of
from longpoint.cutting.lay.mix.zones import layout_of
from longpoint.cutting.lay.walk.dive import dive
from longpoint.cutting.lay.walk.fill import Ints
from longpoint.cutting.lay.walk.ground import Ground, Put
from longpoint.cutting.lay.walk.mend import Mend

DIVE_KINDS = 100  # with more kinds the linear program over all of them takes too long
FEWEST = 8  # a lay of fewer lengths is left to the walk
AT_ONCE = 28  # pieces taken up each time
AT_ONCE_ROUND_FLAWS = 20  # the same where there are flaws
LOOKS = 2000  # lengths looked for each time
MENDS = 120  # times some lengths are mixed anew, with the usual effort
FIRST_MENDS = 40  # the same for each of two lays where there are flaws
MENDS_ROUND_FLAWS = 60  # and then for the better one


def better(
    ground: Ground, pool: Pool, sizes: Ints, stocks: Ints, flaws: Ints, puts: tuple[Put, ...], *, effort: int,
    good_enough: float, seed: int,
) -> tuple[Put, ...]:  # fmt: skip
    """A lay at least as cheap.

    Args:
        ground: Pieces and rolls.
        pool: Lengths met; changed.
        sizes: As in ``from_genes.lay_from_genes``.
        stocks: As in ``from_genes.lay_from_genes``.
        flaws: As in ``from_genes.lay_from_genes``.
        puts: The lay.
        effort: How many lays the whole search may try.
        good_enough: A cost at which to stop.
        seed: Starts the random numbers.

    Returns:
        The lay.
    """
    pieces = sum(want.count for want in ground.wants)
    tries = max(1, effort * 120 // max(20, pieces))
    at_once = min(AT_ONCE_ROUND_FLAWS if len(flaws) else AT_ONCE, max(FEWEST, pieces // 3))
    dives = len(ground.wants) <= DIVE_KINDS

    def steps(often: int) -> int:
        return max(1, effort * often // 20_000)

    def mended(state: Mend, often: int) -> None:
        state.run(steps=steps(often), tries=LOOKS, at_once=at_once, good_enough=good_enough)

    spare = copy_of(pool) if dives and len(flaws) else pool
    mix = KeptLengths(ground, pool, sizes, stocks, layout_of(ground, puts), seed=seed)
    if dives and mix.root(rounds=6, tries=tries) and not len(flaws):
        made = dive(mix, tries=tries // 4, best=ground.cost(puts))
        if made is not None and ground.cost(made) < ground.cost(puts):
            puts = made
    state = Mend(mix, puts, flaws, stocks)
    mended(state, FIRST_MENDS if len(flaws) else MENDS)
    if not len(flaws):
        return state.puts
    if dives and state.cost > good_enough:
        layout = layout_of(ground, puts, bare=True)
        other = KeptLengths(ground, spare, sizes, stocks, layout, seed=seed)
        if other.root(rounds=6, tries=tries):
            made = dive(other, tries=LOOKS // 2, best=float("inf"))
            if made is not None:
                second = Mend(other, made, flaws, stocks)
                mended(second, FIRST_MENDS)
                state = second if second.cost < state.cost else state
    mended(state, MENDS_ROUND_FLAWS)
    return state.puts
