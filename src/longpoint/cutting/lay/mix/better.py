"""A lay of the walk made better from the lengths that were met on the way.

On a plain roll: prices, the dive, then mending. On a roll with flaws two lays are mended for a while, the walk's own,
whose pieces beside flaws are there already, and one that dives into the whole cloth between the flaws and leaves them
bare; the better one is mended on.
"""

from __future__ import annotations

import numpy as np

from longpoint.cutting.lay.fill import Ints, LayTask
from longpoint.cutting.lay.ground import Ground, Put
from longpoint.cutting.lay.mix.columns import holdings
from longpoint.cutting.lay.mix.kept_lengths import KeptLengths
from longpoint.cutting.lay.mix.mend import Mend
from longpoint.cutting.lay.mix.pool import HEIGHT, ROLL, Pool, copy_of
from longpoint.cutting.lay.mix.zones import layout_of

DIVE_KINDS = 100  # with more kinds the linear program over all of them takes too long
FEWEST = 8  # a lay of fewer lengths is left to the walk
AT_ONCE = 28  # pieces taken up each time
AT_ONCE_ROUND_FLAWS = 20  # the same where there are flaws
LOOKS = 2000  # lengths looked for each time
MENDS = 120  # times some lengths are mixed anew, with the usual effort
FIRST_MENDS = 40  # the same for each of two lays where there are flaws
MENDS_ROUND_FLAWS = 60  # and then for the better one


def better(
    ground: Ground, pool: Pool, task: LayTask, flaws: Ints, puts: tuple[Put, ...], *, effort: int, good_enough: float,
    seed: int,
) -> tuple[Put, ...]:  # fmt: skip
    """A lay at least as cheap.

    Args:
        ground: Pieces and rolls.
        pool: Lengths met; changed.
        task: The same as arrays.
        flaws: As in `Genes`.
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
    mix = KeptLengths(ground, pool, task, layout_of(ground, puts), seed=seed)
    if dives and mix.root(rounds=6, tries=tries) and not len(flaws):
        made = dive(mix, tries=tries // 4, best=ground.cost(puts))
        if made is not None and ground.cost(made) < ground.cost(puts):
            puts = made
    state = Mend(mix, puts, flaws, task)
    mended(state, FIRST_MENDS if len(flaws) else MENDS)
    if not len(flaws):
        return state.puts
    if dives and state.cost > good_enough:
        layout = layout_of(ground, puts, bare=True)
        other = KeptLengths(ground, spare, task, layout, seed=seed)
        if other.root(rounds=6, tries=tries):
            made = dive(other, tries=LOOKS // 2, best=float("inf"))
            if made is not None:
                second = Mend(other, made, flaws, task)
                mended(second, FIRST_MENDS)
                state = second if second.cost < state.cost else state
    mended(state, MENDS_ROUND_FLAWS)
    return state.puts


def dive(mix: KeptLengths, *, tries: int, best: float) -> tuple[Put, ...] | None:
    """Take the likeliest length again and again.

    Args:
        mix: The kept lengths.
        tries: How many lengths to look for at every step.
        best: Cost of the best lay so far; the dive stops when it cannot get below.

    Returns:
        A lay, or None.
    """
    left, rooms = mix.counts.copy(), mix.layout.rooms()
    picked: list[int] = []
    spent = 0.0
    while left.any():
        relaxed, which = None, np.zeros(0, np.int64)
        for turn in range(2):
            which = mix.suited(left, rooms)
            relaxed = mix.relax(which, left, rooms)
            if relaxed is None or spent + relaxed.cost >= best * (1 - 1e-9):
                return None
            if turn == 0:
                mix.look(relaxed, left, rooms, tries, 0.0)
        assert relaxed is not None
        order = np.argsort(-relaxed.times, kind="stable")
        sure = [int(at) for at in order if relaxed.times[at] >= 1 - 1e-6]
        for at in sure or [int(order[0])]:
            length = int(which[at])
            _, kinds, copies = holdings(mix.pool.lengths, mix.pool.pieces, which[at : at + 1])
            for _ in range(max(1, int(relaxed.times[at] + 1e-6))):
                if (copies > left[kinds]).any():
                    break
                left[kinds] -= copies
                roll, height = int(mix.pool.lengths[length, ROLL]), mix.pool.lengths[length, HEIGHT]
                rooms[roll] -= height
                spent += float(mix.rates[roll] * height)
                picked.append(length)
    return mix.assemble(picked, mix.layout)
