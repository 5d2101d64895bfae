"""The cheapest choice of lengths that holds some pieces: every choice that the prices leave open, in compiled code.

The linear program gives every kind a price and every scarce zone a rent. Whatever is chosen, it costs at least what
the pieces still to lay are worth, less the rent of the room still left; a length *loses* what it costs, rent
included, beyond the worth of those of its pieces that are still wanted. So a choice whose lengths together lose more
than lies between that worth and the best known cost need not be looked at. The kind that the fewest lengths can still
give is asked for first. Work counts lengths looked at.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

HAIR = 1e-9  # share of the best cost that a better one must be below it


class LengthsOffered(NamedTuple):
    """The lengths to choose from.

    Attributes:
        heads: Where the pieces of every length begin, shape (lengths + 1,).
        kinds: Kind of every entry; a length names a kind once.
        copies: How many of it.
        zones: Zone of every length.
        heights: Its height. [ticks]
        costs: Its cost.
    """

    heads: Ints
    kinds: Ints
    copies: Ints
    zones: Ints
    heights: Ints
    costs: Floats


@compiled
def list_choices(
    offered: LengthsOffered, left: Ints, room: Floats, worth: tuple[Floats, Floats], banned: Ints, most: float,
    choices: Ints, losses: Floats,
) -> int:  # fmt: skip
    """Lengths that give the kind which the fewest can give, those that lose least first.

    Args:
        offered: The lengths.
        left: Still wanted of every kind.
        room: Length left in every zone.
        worth: See `cover`.
        banned: Lengths not to be chosen where above 0.
        most: What a length may lose.
        choices: The lengths, shape (lengths,); changed.
        losses: What they lose, shape (lengths,); changed.

    Returns:
        How many there are.
    """
    heads, kinds, copies, zones, heights, costs = offered
    prices, rents = worth
    many = heads.shape[0] - 1
    givers = np.zeros(left.shape[0], np.int64)
    loss = np.full(many, np.inf)
    for c in range(many):
        if banned[c] > 0 or float(heights[c]) > room[zones[c]]:
            continue
        short = costs[c] + rents[zones[c]] * float(heights[c])
        useful = 0
        for e in range(heads[c], heads[c + 1]):
            gives = min(copies[e], left[kinds[e]])
            useful += gives
            short -= prices[kinds[e]] * float(gives)
        if useful == 0 or short >= most:
            continue
        loss[c] = short
        for e in range(heads[c], heads[c + 1]):
            givers[kinds[e]] += 1
    rarest = -1
    for k in range(left.shape[0]):
        if left[k] > 0 and (rarest < 0 or givers[k] < givers[rarest]):
            rarest = k
    n = 0
    for c in range(many):
        if loss[c] == np.inf:
            continue
        for e in range(heads[c], heads[c + 1]):
            if kinds[e] == rarest:
                at = n
                while at > 0 and losses[at - 1] > loss[c]:
                    losses[at] = losses[at - 1]
                    choices[at] = choices[at - 1]
                    at -= 1
                losses[at] = loss[c]
                choices[at] = c
                n += 1
    return n


@compiled
def cover(
    offered: LengthsOffered, wanted: Ints, rooms: Floats, worth: tuple[Floats, Floats], best: float, work: int
) -> Ints:
    """Lengths that hold all wanted pieces and cost less than is known.

    Args:
        offered: The lengths.
        wanted: How many of every kind, shape (kinds,).
        rooms: Length left in every zone, shape (zones,). [ticks]
        worth: What a piece of every kind is worth, not negative, shape (kinds,); and what a tick of every zone is
            worth for being scarce, 0 where it is not, shape (zones,).
        best: Cost that must be beaten.
        work: How many lengths may be looked at.

    Returns:
        The lengths chosen, some perhaps more than once; none where nothing cheaper was found.
    """
    heads, kinds, copies, zones, heights, costs = offered
    prices, rents = worth
    many = heads.shape[0] - 1
    left = wanted.copy()
    room = rooms.copy()
    deepest = left.sum() + 1
    choices = np.zeros((deepest, many), np.int64)
    losses = np.zeros((deepest, many))
    counts = np.zeros(deepest, np.int64)
    places = np.zeros(deepest, np.int64)
    bounds = np.zeros(deepest)
    spent = np.zeros(deepest)
    given = np.zeros((deepest, left.shape[0]), np.int64)  # what the length chosen at a depth gave
    banned = np.zeros(many, np.int64)  # every choice with these is known already
    chosen = np.zeros(deepest, np.int64)
    n_chosen = 0
    hair = HAIR * abs(best)
    for k in range(left.shape[0]):
        bounds[0] += prices[k] * float(left[k])
    for z in range(room.shape[0]):
        if rents[z] > 0.0:
            bounds[0] -= rents[z] * room[z]
    depth = 0
    is_new = True
    while work >= 0:
        if is_new:
            is_new = False
            places[depth] = 0
            if left.sum() > 0:
                work -= many
                counts[depth] = list_choices(
                    offered,
                    left,
                    room,
                    worth,
                    banned,
                    best - hair - bounds[depth],
                    choices[depth],
                    losses[depth],
                )
            else:
                counts[depth] = 0
                if spent[depth] < best - hair:
                    best = spent[depth]
                    n_chosen = depth
                    for d in range(depth):
                        chosen[d] = choices[d, places[d] - 1]
        at = places[depth]
        if at < counts[depth] and bounds[depth] + losses[depth, at] < best - hair:
            c = choices[depth, at]
            places[depth] += 1
            bounds[depth + 1] = bounds[depth] + losses[depth, at]
            spent[depth + 1] = spent[depth] + costs[c]
            room[zones[c]] -= float(heights[c])
            for e in range(heads[c], heads[c + 1]):
                gives = min(copies[e], left[kinds[e]])
                given[depth, kinds[e]] = gives
                left[kinds[e]] -= gives
            depth += 1
            is_new = True
            continue
        for before in range(at):
            banned[choices[depth, before]] -= 1
        if depth == 0:
            break
        depth -= 1
        c = choices[depth, places[depth] - 1]
        room[zones[c]] += float(heights[c])
        for k in range(left.shape[0]):
            left[k] += given[depth, k]
            given[depth, k] = 0
        banned[c] += 1
    return chosen[:n_chosen].copy()
