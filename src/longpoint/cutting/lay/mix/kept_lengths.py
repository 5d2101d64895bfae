"""Kept lengths over the zones of a lay: prices for them, better ones looked for, and lays put together from them.

A lay is a choice of lengths that together hold every piece. The linear program over the kept lengths says what a
piece is worth; with that, better lengths are looked for (`price`) until few are found. A piece given once too often
is simply not cut.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from longpoint.cutting.lay.fill import FLAW_FROM, FLAW_TO, LENGTH, LayTask
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put
from longpoint.cutting.lay.mix.columns import PricedLengths, holdings, relax, suited
from longpoint.cutting.lay.mix.pool import FIRST_PUT, HEIGHT, PUTS, ROLL, Pool, put_in
from longpoint.cutting.lay.mix.price import price
from longpoint.cutting.lay.mix.zones import Layout, lengths_of

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

USED_ANYWAY = 1e-3  # what a zone before the last counts, as a share of its roll's rate
DUAL_SLACK = 0.003  # lengths worth this share of the whole cost less than they take are kept, too
AT_MOST = 500  # lengths in the program over some of the pieces
NEARLY = (
    0.02  # lengths worth this share of the whole cost less than they take are left out of the next program
)


class KeptLengths:
    """A pool over a ground, with the arrays of the search.

    Lengths are mixed over the zones of a lay (see ``zones``); on rolls without flaws these are the rolls.
    """

    def __init__(self, ground: Ground, pool: Pool, task: LayTask, layout: Layout, *, seed: int) -> None:
        self.ground, self.pool = ground, pool
        self.counts = task.counts
        self.layout = layout
        rolls = [zone.roll for zone in layout.zones]
        self.limited = np.flatnonzero([zone.end < UNLIMITED for zone in layout.zones])
        self.worths = np.array([max(ground.stocks[r].rate + ground.stocks[r].worth, 1e-15) for r in rolls])
        # What lies before the last zone is taken off the roll anyway.
        self.rates = self.worths * np.where(np.arange(len(rolls)) < len(ground.stocks), 1.0, USED_ANYWAY)
        stocks = task.stocks[rolls].copy()
        stocks[:, FLAW_FROM] = stocks[:, FLAW_TO] = 0
        self.task = task._replace(stocks=stocks, money=task.money[rolls])
        self.state = np.array([seed], np.int64)
        self.prices = np.zeros(len(self.counts))
        self.singles = self._singles()

    @property
    def is_plain(self) -> bool:
        """Whether every roll is one zone."""
        return len(self.layout.zones) == len(self.ground.stocks)

    def _singles(self) -> Ints:
        """Every piece alone in every zone, so that the programs can always be met."""
        places = []
        for kind, want in enumerate(self.ground.wants):
            for at, zone in enumerate(self.layout.zones):
                stock = self.ground.stocks[zone.roll]
                for turned in (False, True):
                    if turned != stock.crossways and not want.may_turn:
                        continue
                    across, along = self.ground.size(Put(zone.roll, kind, 0, 0, turned))
                    if across <= stock.width and along <= min(zone.end - zone.begin, self.ground.longest):
                        places.append(put_in(self.pool, at, along, [(kind, 0, 0, int(turned))]))
                        break
        return np.unique(np.array(places, np.int64))

    def suited(self, left: Ints, rooms: Floats) -> Ints:
        """Lengths that may still be taken; of very many those that looked cheapest at the first prices.

        Returns:
            Their places in the pool.
        """
        which = suited(self.pool.lengths, self.pool.pieces, self.pool.used, left, rooms)
        if len(which) <= AT_MOST:
            return which
        lengths = self.pool.lengths[which]
        heads, kinds, copies = holdings(self.pool.lengths, self.pool.pieces, which)
        worth = np.add.reduceat(self.prices[kinds] * copies, heads[:-1])
        bare = self.rates[lengths[:, ROLL]] * lengths[:, HEIGHT] - worth
        near = which[np.argsort(bare, kind="stable")[:AT_MOST]]
        return np.union1d(near, np.intersect1d(self.singles, which))

    def relax(self, which: Ints, left: Ints, rooms: Floats) -> PricedLengths | None:
        """The linear program over some of the lengths.

        Returns:
            Its answer, ``times`` and ``reduced`` for ``which`` only; None where it cannot be met.
        """
        return relax(self.pool, which, left, rates=self.rates, rooms=rooms, limited=self.limited)

    def look(self, relaxed: PricedLengths, left: Ints, rooms: Floats, tries: int, slack: float) -> int:
        """Look for better lengths at the prices of a linear program.

        Returns:
            How many were found.
        """
        stocks = self.task.stocks.copy()
        stocks[:, LENGTH] = np.minimum(UNLIMITED, rooms).astype(np.int64)
        task = self.task._replace(counts=left, stocks=stocks)
        none = np.zeros((0, 5), np.int64)
        return price(task, none, relaxed.prices, relaxed.rates, slack, tries, self.state, self.pool)

    def root(self, *, rounds: int, tries: int) -> bool:
        """Linear program over all pieces and search for better lengths, in turns.

        Returns:
            Whether the program could be met.
        """
        rooms = self.layout.rooms()
        which = np.arange(int(self.pool.used[0]))
        quiet = 0
        for _ in range(rounds):
            relaxed = self.relax(which, self.counts, rooms)
            if relaxed is None:
                return False
            self.prices = relaxed.prices
            known = int(self.pool.used[0])
            found = self.look(relaxed, self.counts, rooms, tries, DUAL_SLACK * relaxed.cost)
            quiet = quiet + 1 if found == 0 else 0
            if quiet == 3:
                break
            near = which[relaxed.reduced <= NEARLY * relaxed.cost]
            which = np.concatenate([near, np.arange(known, int(self.pool.used[0]))])
        return True

    def lengths_of(self, puts: Sequence[Put], layout: Layout) -> list[int] | None:
        """The lengths of a lay that may be moved, kept.

        Returns:
            Their places; None where the pool is full.
        """
        picked = []
        for length in lengths_of(self.ground, puts):
            at = next(
                (
                    at
                    for at, zone in enumerate(layout.zones)
                    if zone.roll == length.roll and zone.begin <= length.begin and length.end <= zone.end
                ),
                None,
            )
            if at is not None:
                rows = [(p.want, p.x, p.y - length.begin, int(p.turned)) for p in length.puts]
                picked.append(put_in(self.pool, at, length.end - length.begin, rows))
        return None if -1 in picked else picked

    def assemble(self, picked: Sequence[int], layout: Layout) -> tuple[Put, ...] | None:
        """Lay picked lengths one behind the other; leave out what there is too often.

        Returns:
            The lay, or None where it does not fit into the zones.
        """
        left = self.counts.tolist()
        reach = [zone.begin for zone in layout.zones]
        puts: list[Put] = list(layout.fixed)
        for put in puts:
            left[put.want] -= 1
        for at in picked:
            place, first, count = (int(self.pool.lengths[at, column]) for column in (ROLL, FIRST_PUT, PUTS))
            roll = layout.zones[place].roll
            top = 0
            for kind, x, y, turned in self.pool.pieces[first : first + count].tolist():
                if left[kind] > 0:
                    left[kind] -= 1
                    put = Put(roll, kind, x, reach[place] + y, bool(turned))
                    puts.append(put)
                    top = max(top, y + self.ground.size(put)[1])
            reach[place] += top
        fits = all(end <= zone.end for end, zone in zip(reach, layout.zones, strict=True))
        return tuple(puts) if fits and not any(left) else None

    def heights(self, picked: Sequence[int]) -> Floats:
        """Length taken in every zone by some lengths.

        Returns:
            Shape (zones,). [ticks]
        """
        lengths = self.pool.lengths[np.asarray(picked, np.int64)]
        taken = np.zeros(len(self.rates))
        np.add.at(taken, lengths[:, ROLL], lengths[:, HEIGHT].astype(float))
        return taken
