"""Kept lengths mixed: the linear program, the search for better lengths, the dive, the integer program.

A lay is a choice of lengths that together hold every piece. The linear program over the kept lengths says what a
piece is worth; with that, better lengths are looked for (`price`) until few are found. Then a dive takes the length
that the program likes best, again and again, looking for lengths that suit what is left; last, some lengths of the
lay are taken apart and an integer program mixes their pieces anew, again and again. A piece given once too often is
simply not cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, linprog, milp
from scipy.sparse import csc_array, vstack

from longpoint.cutting.lay.fill import FLAW_FROM, FLAW_TO, LENGTH, WIDTH
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put
from longpoint.cutting.lay.pool import FIRST_PUT, HEIGHT, PUTS, ROLL, Pool, put_in
from longpoint.cutting.lay.price import price
from longpoint.cutting.lay.random import draw_below
from longpoint.cutting.lay.zones import lengths_of, zones_of

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

COLUMNS = 400  # lengths a small integer program may choose from
COLUMNS_ROUND_FLAWS = 250  # the same where flaws part the rolls into zones, which makes the programs harder
USED_ANYWAY = 1e-3  # what a zone before the last counts, as a share of its roll's rate
SLACK_ROUND_FLAWS = 0.03  # share of their cost that lengths round flaws may lack and be kept
CLOSE, CLOSE_ROUND_FLAWS = 1e-6, 3e-3  # how close to the least a small integer program is brought
DUAL_SLACK = 0.003  # lengths worth this share of the whole cost less than they take are kept, too


@dataclass(frozen=True, slots=True)
class Relaxed:
    """Answer of the linear program.

    Attributes:
        cost: Its cost.
        times: How often every length is taken, shape (lengths,).
        prices: What a piece of every kind is worth, shape (kinds,).
        rates: What a tick of every zone costs, scarcity included, shape (zones,).
        reduced: What every length costs more than it is worth, shape (lengths,).
    """

    cost: float
    times: Floats
    prices: Floats
    rates: Floats
    reduced: Floats


class Mix:
    """A pool over a ground, with the arrays of the search.

    Lengths are mixed over the zones of a lay (see ``lay_zones``); on rolls without flaws these are the rolls.
    """

    def __init__(
        self, ground: Ground, pool: Pool, sizes: Ints, stocks: Ints, puts: Sequence[Put], *, seed: int
    ) -> None:
        self.ground, self.pool, self.sizes = ground, pool, sizes
        self.counts = np.array([want.count for want in ground.wants], np.int64)
        self.zones, self.fixed = zones_of(ground, puts)
        rolls = [zone.roll for zone in self.zones]
        self.rooms = np.array([float(zone.end - zone.begin) for zone in self.zones])
        self.limited = np.array([zone.end < UNLIMITED for zone in self.zones])
        self.worths = np.array([max(ground.stocks[r].rate + ground.stocks[r].worth, 1e-15) for r in rolls])
        # What lies before the last zone is taken off the roll anyway.
        self.rates = self.worths * np.where(np.arange(len(rolls)) < len(ground.stocks), 1.0, USED_ANYWAY)
        self.stocks = stocks[rolls].copy()
        self.stocks[:, FLAW_FROM] = self.stocks[:, FLAW_TO] = 0
        self.state = np.array([seed], np.int64)
        self._singles()

    @property
    def is_plain(self) -> bool:
        """Whether every roll is one zone."""
        return len(self.zones) == len(self.ground.stocks)

    def _singles(self) -> None:
        """Every piece alone in every zone, so that the programs can always be met."""
        for kind, want in enumerate(self.ground.wants):
            for at, zone in enumerate(self.zones):
                stock = self.ground.stocks[zone.roll]
                for turned in (False, True):
                    if turned != stock.crossways and not want.may_turn:
                        continue
                    across, along = self.ground.size(Put(zone.roll, kind, 0, 0, turned))
                    if across <= stock.width and along <= min(zone.end - zone.begin, self.ground.longest):
                        put_in(self.pool, at, along, [(kind, 0, 0, int(turned))])
                        break

    def table(self) -> csc_array:
        """How many of every kind every length holds.

        Returns:
            Shape (kinds, lengths).
        """
        n = int(self.pool.used[0])
        owner = np.repeat(np.arange(n), self.pool.lengths[:n, PUTS])
        rows = self.pool.pieces[: int(self.pool.used[1]), 0]
        table = csc_array((np.ones(len(rows)), (rows, owner)), shape=(len(self.counts), n))
        table.sum_duplicates()
        return table

    def relax(self, table: csc_array, left: Ints, rooms: Floats, which: Ints) -> Relaxed | None:
        """The linear program over some of the lengths.

        Args:
            table: As from `table`.
            left: Wanted of every kind.
            rooms: Length left in every zone.
            which: Places of the lengths that may be taken.

        Returns:
            Its answer, ``times`` and ``reduced`` for ``which`` only; None where it cannot be met.
        """
        lengths = self.pool.lengths[which]
        limited = np.flatnonzero(self.limited)
        unit = max(1.0, float(lengths[:, HEIGHT].mean()))
        demand = -table[:, which]
        bound = -left.astype(float)
        if len(limited):
            hold = csc_array(
                np.array([(lengths[:, ROLL] == at) * (lengths[:, HEIGHT] / unit) for at in limited])
            )
            demand = vstack([demand, hold], format="csc")
            bound = np.concatenate([bound, rooms[limited] / unit])
        cost = self.rates[lengths[:, ROLL]] * lengths[:, HEIGHT]
        scale = float(cost.max())
        answer = linprog(cost / scale, A_ub=demand, b_ub=bound, method="highs")
        if answer.status != 0:
            return None
        duals = -answer.ineqlin.marginals * scale
        rates = self.rates.copy()
        rates[limited] += duals[len(left) :] / unit
        return Relaxed(
            float(answer.fun) * scale, answer.x, duals[: len(left)], rates, answer.lower.marginals * scale
        )

    def look(self, relaxed: Relaxed, left: Ints, rooms: Floats, tries: int, slack: float) -> int:
        """Look for better lengths at the prices of a linear program.

        Returns:
            How many were found.
        """
        stocks = self.stocks.copy()
        stocks[:, LENGTH] = np.minimum(stocks[:, LENGTH], rooms.astype(np.int64))
        pool = self.pool
        return price(
            self.sizes, left, stocks, np.zeros((0, 5), np.int64), self.ground.longest, relaxed.prices, relaxed.rates,
            slack, tries, self.state, pool.salt, pool.lengths, pool.pieces, pool.table, pool.used,
        )  # fmt: skip

    def root(self, *, rounds: int, tries: int) -> Relaxed | None:
        """Linear program and search for better lengths, in turns.

        Returns:
            The last answer.
        """
        relaxed = None
        quiet = 0
        for _ in range(rounds):
            table = self.table()
            relaxed = self.relax(table, self.counts, self.rooms, np.arange(table.shape[1]))
            if relaxed is None:
                return None
            found = self.look(relaxed, self.counts, self.rooms, tries, DUAL_SLACK * relaxed.cost)
            quiet = quiet + 1 if found == 0 else 0
            if quiet == 3:
                break
        table = self.table()
        return self.relax(table, self.counts, self.rooms, np.arange(table.shape[1]))

    def dive(self, *, tries: int, best: float) -> tuple[Put, ...] | None:
        """Take the likeliest length again and again.

        Args:
            tries: How many lengths to look for at every step.
            best: Cost of the best lay so far; the dive stops when it cannot get below.

        Returns:
            A lay, or None.
        """
        left, rooms = self.counts.copy(), self.rooms.copy()
        picked: list[int] = []
        spent = 0.0
        while left.any():
            relaxed, table, which = None, self.table(), np.zeros(0, np.int64)
            for turn in range(2):
                which = self._suited(table, left, rooms)
                relaxed = self.relax(table, left, rooms, which)
                if relaxed is None or spent + relaxed.cost >= best * (1 - 1e-9):
                    return None
                if turn == 0:
                    self.look(relaxed, left, rooms, tries, 0.0)
                    table = self.table()
            assert relaxed is not None
            order = np.argsort(-relaxed.times, kind="stable")
            sure = [int(at) for at in order if relaxed.times[at] >= 1 - 1e-6]
            for at in sure or [int(order[0])]:
                length = int(which[at])
                for _ in range(max(1, int(relaxed.times[at] + 1e-6))):
                    held = table[:, [length]].toarray()[:, 0].astype(np.int64)
                    if (held > left).any():
                        break
                    left -= held
                    roll = int(self.pool.lengths[length, ROLL])
                    rooms[roll] -= self.pool.lengths[length, HEIGHT]
                    spent += float(self.rates[roll] * self.pool.lengths[length, HEIGHT])
                    picked.append(length)
        return self.assemble(picked)

    def lengths_of(self, puts: tuple[Put, ...]) -> list[int] | None:
        """The lengths of a lay that may be moved, kept.

        Returns:
            Their places; None where the pool is full.
        """
        picked = []
        for length in lengths_of(self.ground, puts):
            at = next(
                (
                    at
                    for at, zone in enumerate(self.zones)
                    if zone.roll == length.roll and zone.begin <= length.begin and length.end <= zone.end
                ),
                None,
            )
            if at is not None:
                rows = [(p.want, p.x, p.y - length.begin, int(p.turned)) for p in length.puts]
                picked.append(put_in(self.pool, at, length.end - length.begin, rows))
        return None if -1 in picked else picked

    def mend(
        self, puts: tuple[Put, ...], *, steps: int, tries: int, at_once: int, good_enough: float, nodes: int
    ) -> tuple[Put, ...]:
        """Take some lengths of a lay apart and mix their pieces anew, again and again.

        Args:
            puts: The lay.
            steps: How often.
            tries: How many lengths to look for each time.
            at_once: How many pieces to take up each time.
            good_enough: A cost at which to stop.
            nodes: How many nodes each integer program may look at.

        Returns:
            The best lay found.
        """
        best, best_cost = puts, self.ground.cost(puts)
        picked = self.lengths_of(puts)
        widths = self.stocks[:, WIDTH].astype(float)
        areas = np.array([float(want.across * want.along) for want in self.ground.wants])
        for _ in range(steps):
            if picked is None or best_cost <= good_enough or len(picked) < 2:
                break
            table = self.table()
            lengths = self.pool.lengths[picked]
            bare = self.worths[lengths[:, ROLL]] * (
                lengths[:, HEIGHT] - (table[:, picked].T @ areas) / widths[lengths[:, ROLL]]
            )
            bare = np.maximum(bare, 0.0)
            luck = np.array([draw_below(self.state, 1 << 30) + 1 for _ in picked]) / float(1 << 30)
            order = np.argsort(np.log(luck) / (bare / max(float(bare.mean()), 1e-30) + 0.3), kind="stable")[
                ::-1
            ]
            taken: list[int] = []
            pieces = 0
            for at in order.tolist():
                if pieces >= at_once:
                    break
                taken.append(at)
                pieces += int(lengths[at, PUTS])
            kept = [length for at, length in enumerate(picked) if at not in set(taken)]
            left = np.asarray(table[:, [picked[at] for at in taken]].sum(axis=1)).astype(np.int64).ravel()
            rooms = self.rooms.copy()
            for length in kept:
                rooms[int(self.pool.lengths[length, ROLL])] -= self.pool.lengths[length, HEIGHT]
            old = float((self.rates[lengths[taken, ROLL]] * lengths[taken, HEIGHT]).sum())
            anew = self._anew(left, rooms, old=old, tries=tries, nodes=nodes)
            if anew is None:
                continue
            made = self.assemble(kept + anew)
            if made is None:
                continue
            cost = self.ground.cost(made)
            if cost <= best_cost:
                best, best_cost = made, cost
                picked = self.lengths_of(made)
        return best

    def _anew(self, left: Ints, rooms: Floats, *, old: float, tries: int, nodes: int) -> list[int] | None:
        """Lengths for some pieces that cost less than they did."""
        table = self.table()
        which = self._suited(table, left, rooms)
        relaxed = self.relax(table, left, rooms, which)
        if relaxed is None:
            return None
        slack = max(0.0, old - relaxed.cost)
        if not self.is_plain:  # room that costs nothing makes too many lengths worth it
            slack = min(slack, SLACK_ROUND_FLAWS * old)
        self.look(relaxed, left, rooms, tries, slack)
        table = self.table()
        which = self._suited(table, left, rooms)
        relaxed = self.relax(table, left, rooms, which)
        if relaxed is None or relaxed.cost >= old * (1 - 1e-9):
            return None
        return self._integer(table, relaxed, which, left, rooms, best=old, nodes=nodes)

    def _suited(self, table: csc_array, left: Ints, rooms: Floats) -> Ints:
        """Lengths that hold no more than is left to lay and fit into what is left of their zone."""
        over = table.data > left[table.indices]
        owner = np.repeat(np.arange(table.shape[1]), np.diff(table.indptr))
        bad = np.bincount(owner[over], minlength=table.shape[1]) > 0
        lengths = self.pool.lengths[: table.shape[1]]
        bad |= lengths[:, HEIGHT] > rooms[lengths[:, ROLL]]
        return np.flatnonzero(~bad)

    def _integer(
        self,
        table: csc_array,
        relaxed: Relaxed,
        which: Ints,
        left: Ints,
        rooms: Floats,
        *,
        best: float,
        nodes: int,
    ) -> list[int] | None:
        """The integer program over the likeliest of some lengths."""
        most, close = (COLUMNS, CLOSE) if self.is_plain else (COLUMNS_ROUND_FLAWS, CLOSE_ROUND_FLAWS)
        order = np.argsort(relaxed.reduced, kind="stable")[:most]
        order = np.sort(order[relaxed.reduced[order] <= max(best - relaxed.cost, 0.0) + 1e-9 * abs(best)])
        if len(order) == 0 or relaxed.cost >= best * (1 - 1e-9):
            return None
        chosen = which[order]
        lengths = self.pool.lengths[chosen]
        cost = self.rates[lengths[:, ROLL]] * lengths[:, HEIGHT]
        rows = np.flatnonzero(left > 0)
        must = [LinearConstraint(table[:, chosen][rows], left[rows].astype(float), np.inf)]
        for at in np.flatnonzero(self.limited):
            hold = (lengths[:, ROLL] == at) * lengths[:, HEIGHT].astype(float)
            must.append(LinearConstraint(hold[None, :], -np.inf, rooms[at]))
        scale = float(cost.max())
        answer = milp(
            cost / scale,
            integrality=np.ones(len(chosen)),
            bounds=(0, float(left.max())),
            constraints=must,
            options={"node_limit": nodes, "mip_rel_gap": close},
        )
        if answer.x is None:
            return None
        times = np.round(answer.x).astype(int)
        return [int(at) for at, n in zip(chosen, times, strict=True) for _ in range(n)]

    def assemble(self, picked: list[int]) -> tuple[Put, ...] | None:
        """Lay picked lengths one behind the other; leave out what there is too often.

        Returns:
            The lay, or None where it does not fit into the zones.
        """
        left = self.counts.tolist()
        reach = [zone.begin for zone in self.zones]
        puts: list[Put] = list(self.fixed)
        for put in puts:
            left[put.want] -= 1
        for at in picked:
            place, first, count = (int(self.pool.lengths[at, column]) for column in (ROLL, FIRST_PUT, PUTS))
            roll = self.zones[place].roll
            top = 0
            for kind, x, y, turned in self.pool.pieces[first : first + count].tolist():
                if left[kind] > 0:
                    left[kind] -= 1
                    put = Put(roll, kind, x, reach[place] + y, bool(turned))
                    puts.append(put)
                    top = max(top, y + self.ground.size(put)[1])
            reach[place] += top
        fits = all(end <= zone.end for end, zone in zip(reach, self.zones, strict=True))
        return tuple(puts) if fits and not any(left) else None
