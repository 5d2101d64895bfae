"""A lay from the linear program: the length it likes best is taken, again and again, and the rest priced anew."""

from __future__ import annotations

import numpy as np

from longpoint.cutting.lay.mix.columns import holdings
from longpoint.cutting.lay.mix.kept_lengths import KeptLengths
from longpoint.cutting.lay.mix.pool import HEIGHT, ROLL
from longpoint.cutting.lay.walk.ground import Put


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
