"""A lay mended: some lengths taken apart and their pieces mixed anew, again and again.

On rolls with flaws what lies beside a flaw is taken up as well, now and then: another filling of the place round the
flaw is tried, and the rest is mixed into the zones that it leaves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from longpoint.cutting.lay.fill import WIDTH, Floats, Ints, LayTask
from longpoint.cutting.lay.ground import Put
from longpoint.cutting.lay.mix.columns import PricedLengths, holdings
from longpoint.cutting.lay.mix.cover import LengthsOffered, cover
from longpoint.cutting.lay.mix.kept_lengths import KeptLengths
from longpoint.cutting.lay.mix.pool import HEIGHT, PUTS, ROLL
from longpoint.cutting.lay.mix.window import beside
from longpoint.cutting.lay.mix.zones import Layout, Zone
from longpoint.cutting.lay.random import draw_below

COLUMNS = 500  # lengths from which a choice is made
COLUMNS_ROUND_FLAWS = 250  # the same where flaws part the rolls into zones
SLACK_ROUND_FLAWS = 0.03  # share of their cost that lengths round flaws may lack and be kept
SHARES = (0.3, 1.0)  # of what may be saved, asked for in turn
LOOKED_AT = 600_000  # lengths that each such choice may look at
LOOKED_AT_ROUND_FLAWS = 400_000  # the same where there are flaws
WINDOWS = 400  # fillings of the place round a flaw tried each time


@dataclass(frozen=True, slots=True)
class Barrier:
    """The flaws between two zones.

    Attributes:
        before: The zone before.
        behind: The zone behind.
        near: Where the flaws begin. [ticks]
        far: Where they end. [ticks]
    """

    before: int
    behind: int
    near: int
    far: int


class Mend:
    """A lay with the lengths it is made of, while it is mended."""

    def __init__(self, mix: KeptLengths, puts: tuple[Put, ...], flaws: Ints, task: LayTask) -> None:
        self.mix, self.flaws, self.task = mix, flaws, task
        self.puts, self.cost = puts, mix.ground.cost(puts)
        self.layout = mix.layout
        self.picked = mix.lengths_of(puts, self.layout)
        self.areas = np.array([float(want.across * want.along) for want in mix.ground.wants])

    def run(self, *, steps: int, tries: int, at_once: int, good_enough: float) -> None:
        """Take some lengths apart and mix their pieces anew, again and again.

        Args:
            steps: How often.
            tries: How many lengths to look for each time.
            at_once: How many pieces to take up each time.
            good_enough: A cost at which to stop.
        """
        for _ in range(steps):
            if self.picked is None or self.cost <= good_enough or len(self.picked) < 2:
                break
            self._step(tries=tries, at_once=at_once)

    def _step(self, *, tries: int, at_once: int) -> None:
        """Take some lengths apart and mix their pieces anew."""
        assert self.picked is not None
        order = self._wasteful(self.picked)
        barriers = [] if self.mix.is_plain else self._barriers()
        if barriers and draw_below(self.mix.state, 2) == 0:
            barrier = barriers[draw_below(self.mix.state, len(barriers))]
            self._at_flaw(barrier, order, tries=tries, at_once=at_once)
            return
        taken = self._first(order, at_once)
        kept = [length for at, length in enumerate(self.picked) if at not in taken]
        left = self._held([self.picked[at] for at in taken])
        rooms = self.layout.rooms() - self.mix.heights(kept)
        anew = self._anew(left, rooms, old=self._price_of(taken), tries=tries)
        if anew is not None:
            self._keep(self.mix.assemble(kept + anew, self.layout), self.layout)

    def _keep(self, made: tuple[Put, ...] | None, layout: Layout) -> None:
        if made is not None and self.mix.ground.cost(made) <= self.cost:
            self.puts, self.cost, self.layout = made, self.mix.ground.cost(made), layout
            self.picked = self.mix.lengths_of(made, layout)

    def _wasteful(self, picked: Sequence[int]) -> list[int]:
        """Places of the lengths in an order by luck, wasteful ones sooner."""
        pool, mix = self.mix.pool, self.mix
        lengths = pool.lengths[picked]
        heads, kinds, copies = holdings(pool.lengths, pool.pieces, np.asarray(picked, np.int64))
        owner = np.repeat(np.arange(len(picked)), np.diff(heads))
        areas = np.bincount(owner, weights=self.areas[kinds] * copies, minlength=len(picked))
        widths = mix.task.stocks[:, WIDTH].astype(float)[lengths[:, ROLL]]
        bare = np.maximum(mix.worths[lengths[:, ROLL]] * (lengths[:, HEIGHT] - areas / widths), 0.0)
        luck = np.array([draw_below(mix.state, 1 << 30) + 1 for _ in picked]) / float(1 << 30)
        keys = np.log(luck) / (bare / max(float(bare.mean()), 1e-30) + 0.3)
        order: list[int] = np.argsort(keys, kind="stable")[::-1].tolist()
        return order

    def _first(self, order: Sequence[int], at_once: int) -> list[int]:
        assert self.picked is not None
        taken: list[int] = []
        pieces = 0
        for at in order:
            if pieces >= at_once:
                break
            taken.append(at)
            pieces += int(self.mix.pool.lengths[self.picked[at], PUTS])
        return taken

    def _held(self, picked: Sequence[int]) -> Ints:
        pool = self.mix.pool
        left = np.zeros(len(self.mix.counts), np.int64)
        _, kinds, copies = holdings(pool.lengths, pool.pieces, np.asarray(picked, np.int64))
        np.add.at(left, kinds, copies)
        return left

    def _price_of(self, taken: Sequence[int]) -> float:
        assert self.picked is not None
        lengths = self.mix.pool.lengths[[self.picked[at] for at in taken]]
        return float((self.mix.rates[lengths[:, ROLL]] * lengths[:, HEIGHT]).sum())

    def _barriers(self) -> list[Barrier]:
        """Where flaws lie between two zones."""
        found = []
        for roll, stock in enumerate(self.mix.ground.stocks):
            order = sorted(
                (at for at, zone in enumerate(self.layout.zones) if zone.roll == roll),
                key=lambda at: (self.layout.zones[at].begin, self.layout.zones[at].end),
            )
            for one, two in pairwise(order):
                begin, end = self.layout.zones[one].end, self.layout.zones[two].begin
                inside = [flaw for flaw in stock.blocked if begin <= flaw[1] and flaw[3] <= end]
                if inside and any(flaw[2] - flaw[0] < stock.width for flaw in inside):
                    found.append(
                        Barrier(one, two, min(flaw[1] for flaw in inside), max(flaw[3] for flaw in inside))
                    )
        return found

    def _at_flaw(self, barrier: Barrier, order: Sequence[int], *, tries: int, at_once: int) -> None:
        """Another filling round a flaw, the zones beside it mixed anew with it."""
        assert self.picked is not None
        mix, zones = self.mix, self.layout.zones
        before, behind = zones[barrier.before], zones[barrier.behind]
        old = [put for put in self.layout.fixed if _inside(put, before.roll, before.end, behind.begin)]
        near_it = [
            at
            for at in order
            if int(mix.pool.lengths[self.picked[at], ROLL]) in (barrier.before, barrier.behind)
        ]
        rest = [at for at in order if at not in set(near_it)]
        half = self._first(near_it, at_once // 2)
        pieces = len(old) + sum(int(mix.pool.lengths[self.picked[at], PUTS]) for at in half)
        taken = half + self._first(rest, max(0, at_once - pieces))
        kept = [length for at, length in enumerate(self.picked) if at not in taken]
        left = self._held([self.picked[at] for at in taken])
        for put in old:
            left[put.want] += 1
        bare = self._with(barrier, before.roll, (), old)
        rooms = bare.rooms() - mix.heights(kept)
        relaxed = mix.relax(mix.suited(left, rooms), left, rooms)
        if relaxed is None:
            return
        low = barrier.near - int(max(0.0, rooms[barrier.before]))
        high = barrier.far + int(max(0.0, min(rooms[barrier.behind], float(1 << 50))))
        row = self.task.stocks[before.roll : before.roll + 1]
        place = np.array((low, barrier.near, barrier.far, high))
        rates = relaxed.rates[[barrier.before, barrier.behind]]
        task = self.task._replace(counts=left, stocks=row)
        made = beside(task, self.flaws, relaxed.prices, rates, place, WINDOWS, mix.state)
        puts = tuple(Put(before.roll, int(k), int(x), int(y), bool(t)) for k, x, y, t in made)
        layout = self._with(barrier, before.roll, puts, old)
        for put in puts:
            left[put.want] -= 1
        rooms = layout.rooms() - mix.heights(kept)
        # Where the lay ends in the zone behind, the length before that zone is paid for as well.
        spared = 0.0
        if barrier.behind < len(mix.ground.stocks):
            spared = mix.rates[barrier.behind] * (behind.begin - layout.zones[barrier.behind].begin)
        anew = self._anew(left, rooms, old=self._price_of(taken) + float(spared), tries=tries, known=relaxed)
        if anew is not None:
            self._keep(mix.assemble(kept + anew, layout), layout)

    def _with(self, barrier: Barrier, roll: int, puts: Sequence[Put], old: Sequence[Put]) -> Layout:
        """The layout with other pieces beside a flaw."""
        zones: list[Zone] = list(self.layout.zones)
        end = min([barrier.near, *(put.y for put in puts)])
        begin = max([barrier.far, *(put.y + self.mix.ground.size(put)[1] for put in puts)])
        zones[barrier.before] = replace(zones[barrier.before], end=end)
        zones[barrier.behind] = replace(zones[barrier.behind], begin=begin)
        gone = set(old)
        return Layout(tuple(zones), (*(put for put in self.layout.fixed if put not in gone), *puts))

    def _anew(
        self, left: Ints, rooms: Floats, *, old: float, tries: int, known: PricedLengths | None = None
    ) -> list[int] | None:
        """Lengths for some pieces that cost less than they did; prices may be known already."""
        mix = self.mix
        if not left.any():
            return [] if old > 0 else None
        relaxed = known or mix.relax(mix.suited(left, rooms), left, rooms)
        if relaxed is None:
            return None
        slack = max(0.0, old - relaxed.cost)
        if not mix.is_plain:  # room that costs nothing makes too many lengths worth it
            slack = min(slack, SLACK_ROUND_FLAWS * old)
        mix.look(relaxed, left, rooms, tries, slack)
        which = mix.suited(left, rooms)
        relaxed = mix.relax(which, left, rooms)
        if relaxed is None or relaxed.cost >= old * (1 - 1e-9):
            return None
        return self._chosen(relaxed, which, left, rooms, best=old)

    def _chosen(
        self, relaxed: PricedLengths, which: Ints, left: Ints, rooms: Floats, *, best: float
    ) -> list[int] | None:
        """The best choice among the likeliest of some lengths."""
        mix = self.mix
        order = np.argsort(relaxed.reduced, kind="stable")[: COLUMNS if mix.is_plain else COLUMNS_ROUND_FLAWS]
        order = np.sort(order[relaxed.reduced[order] <= max(best - relaxed.cost, 0.0) + 1e-9 * abs(best)])
        chosen = which[order]
        lengths = mix.pool.lengths[chosen]
        costs: Floats = mix.rates[lengths[:, ROLL]] * lengths[:, HEIGHT]
        heads, kinds, copies = holdings(mix.pool.lengths, mix.pool.pieces, chosen)
        offered = LengthsOffered(
            heads, kinds, copies, lengths[:, ROLL].copy(), lengths[:, HEIGHT].copy(), costs
        )
        rents = np.maximum(relaxed.rates - mix.rates, 0.0)
        for share in SHARES:
            target = relaxed.cost + share * (best - relaxed.cost)
            work = LOOKED_AT if mix.is_plain else LOOKED_AT_ROUND_FLAWS
            places = cover(offered, left, rooms, (relaxed.prices, rents), target, work)
            if len(places):
                return [int(chosen[at]) for at in places]
        return None


def _inside(put: Put, roll: int, begin: int, end: int) -> bool:
    return put.stock == roll and begin <= put.y < end
