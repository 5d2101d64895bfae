"""Search for good lays: many lays built from changed genes, kept when they are no worse or a little worse.

The walk is simulated annealing with its own small random numbers, so that a seed and an effort (how many lays
are tried) fix the answer on every machine.
"""

from __future__ import annotations

import numpy as np

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import FIRST, HOME, ORDER, RISE, SPLIT, WAY, WAYS, Floats, Ints
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put
from longpoint.cutting.lay.mix.better import FEWEST, better
from longpoint.cutting.lay.mix.pool import Pool, keep, new_pool
from longpoint.cutting.lay.random import draw_below
from longpoint.cutting.lay.walk.from_genes import lay_from_genes

LEAST_EFFORT = 100  # below it lengths are not mixed
FARTHER = 4  # times the lays of such a walk
NEAR = 0.03  # lengths are kept from lays that cost at most this share more than the best


@compiled
def change(genes: Ints, flaws: Ints, sizes: Ints, rolls: int, state: Ints) -> None:
    """Change the genes a little, in place, or how a flaw is cut off."""
    kinds = genes.shape[1]
    if flaws.shape[0] > 0 and draw_below(state, 100) < 30:
        flaws[draw_below(state, flaws.shape[0]), WAY] = draw_below(state, WAYS)
        return
    what = draw_below(state, 100)
    if kinds > 1 and what < 30:
        i = draw_below(state, kinds)
        j = draw_below(state, kinds)
        kept = genes[ORDER, i]
        genes[ORDER, i] = genes[ORDER, j]
        genes[ORDER, j] = kept
    elif kinds > 1 and what < 60:
        i = draw_below(state, kinds)
        j = draw_below(state, kinds)
        kept = genes[ORDER, i]
        if i < j:
            for k in range(i, j):
                genes[ORDER, k] = genes[ORDER, k + 1]
        else:
            for k in range(i, j, -1):
                genes[ORDER, k] = genes[ORDER, k - 1]
        genes[ORDER, j] = kept
    elif what < 75:
        k = draw_below(state, kinds)
        genes[SPLIT, k] = 1 - genes[SPLIT, k]
    elif what < 85:
        k = draw_below(state, kinds)
        if sizes[k, 2] == 1:
            genes[FIRST, k] = 1 - genes[FIRST, k]
        else:
            genes[SPLIT, k] = 1 - genes[SPLIT, k]
    elif what < 95 or rolls == 1:
        k = draw_below(state, kinds)
        genes[RISE, k] = draw_below(state, kinds) if genes[RISE, k] < 0 else -1
    else:
        k = draw_below(state, kinds)
        genes[HOME, k] = draw_below(state, rolls + 1) - 1


@compiled
def walk(
    sizes: Ints,
    counts: Ints,
    genes: Ints,
    fit: int,
    stocks: Ints,
    money: Floats,
    flaws: Ints,
    longest: int,
    unlimited: int,
    tries: int,
    warm: float,
    weight: float,
    penalty: float,
    good_enough: float,
    state: Ints,
    near: float,
    salt: Ints,
    lengths: Ints,
    pieces: Ints,
    table: Ints,
    used: Ints,
) -> tuple[Ints, Ints, float]:
    """Anneal from given genes.

    Args:
        sizes: As in `lay_from_genes`.
        counts: As in `lay_from_genes`.
        genes: Where to start; not changed.
        fit: As in `lay_from_genes`.
        stocks: As in `lay_from_genes`.
        money: As in `lay_from_genes`.
        flaws: As in `lay_from_genes`.
        longest: As in `lay_from_genes`.
        unlimited: As in `lay_from_genes`.
        tries: How many lays to build.
        warm: First temperature, as a share of the first cost.
        weight: How much the finer measure counts.
        penalty: Cost of a tick² of cloth not laid.
        good_enough: Stop when the cost is not above this.
        state: Random state, shape (1,); changed.
        near: Lengths of lays that cost at most this share more than the best are kept.
        salt: As in ``pool.keep``, and so the rest.
        lengths: Lengths kept.
        pieces: Their pieces.
        table: Where they are found again.
        used: How many are kept.

    Returns:
        The best genes, the flaws with how they are cut off, and the cost, what is not laid included.
    """
    kinds = sizes.shape[0]
    rolls = stocks.shape[0]
    total = 0
    for k in range(kinds):
        total += counts[k]
    left = np.zeros(kinds, np.int64)
    cursor = np.zeros((2, rolls), np.int64)
    sheets = np.zeros((4 * total + 8 * flaws.shape[0] + 64, 4), np.int64)
    puts = np.zeros((total + 1, 5), np.int64)
    marks = np.zeros((total + 1, 3), np.int64)
    here = genes.copy()
    best = genes.copy()
    here_flaws = flaws.copy()
    best_flaws = flaws.copy()
    here_cost = 0.0
    best_cost = 0.0
    best_full = 0.0
    heat = 0.0
    for attempt in range(tries):
        trial = here.copy()
        cut_off = here_flaws.copy()
        if attempt > 0:
            change(trial, cut_off, sizes, rolls, state)
            while draw_below(state, 3) == 0:
                change(trial, cut_off, sizes, rolls, state)
        n_puts, n_marks, cost, finer = lay_from_genes(
            sizes, counts, trial, fit, stocks, money, cut_off, longest, unlimited,
            left, cursor, sheets, puts, marks,
        )  # fmt: skip
        for k in range(kinds):
            if left[k] > 0:
                cost += penalty * float(left[k]) * float(sizes[k, 0]) * float(sizes[k, 1])
        full = cost + weight * finer
        if attempt == 0:
            here_cost = full
            best_cost = cost
            best_full = full
            heat = warm * max(abs(cost), 1e-12)
        else:
            cool = heat * (1.0 - attempt / tries) ** 2
            chance = draw_below(state, 1 << 30) / float(1 << 30)
            if full <= here_cost or (cool > 0.0 and chance < np.exp((here_cost - full) / cool)):
                here = trial
                here_flaws = cut_off
                here_cost = full
                if cost <= best_cost * (1.0 + near):
                    keep(puts, marks, n_marks, n_puts, salt, kinds, lengths, pieces, table, used)
            if cost < best_cost or (cost == best_cost and full < best_full):
                best = trial.copy()
                best_flaws = cut_off.copy()
                best_cost = cost
                best_full = full
        if best_cost <= good_enough:
            break
    return best, best_flaws, best_cost


class Search:
    """A ground turned into arrays, and the search over it."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        wants = ground.wants
        self.sizes = np.array([(w.across, w.along, int(w.turns)) for w in wants], np.int64).reshape(-1, 3)
        self.counts = np.array([w.count for w in wants], np.int64)
        rows: list[tuple[int, ...]] = []
        flaws: list[tuple[int, int, int, int, int]] = []
        for stock in ground.stocks:
            first = len(flaws)
            flaws.extend((*flaw, 0) for flaw in sorted(stock.blocked))
            rows.append((
                stock.width, stock.length, stock.kept, stock.step, stock.start, first, len(flaws), int(stock.crossways),
            ))  # fmt: skip
        self.stocks = np.array(rows, np.int64)
        self.flaws = np.array(flaws, np.int64).reshape(-1, 5)
        self.money = np.array([(s.fixed, s.rate, s.worth) for s in ground.stocks], np.float64)
        self.area = float(sum(w.across * w.along * w.count for w in wants))
        dearest = max(
            (s.rate + s.worth + (s.fixed / s.length if s.length < UNLIMITED else 0.0)) / s.width
            for s in ground.stocks
        )
        self.penalty = 100.0 * max(dearest, 1e-12)
        self.weight = 0.02 * max(dearest, 1e-12) / max(s.width for s in ground.stocks) / self.mean_height()

    def mean_height(self) -> float:
        """Mean size along the roll, to make the finer measure a cost.

        Returns:
            Ticks.
        """
        return max(1.0, float((self.sizes[:, 1] * self.counts).sum()) / float(self.counts.sum()))

    def starts(self) -> list[Ints]:
        """Genes to start from: kinds by size across, along, area, and the longer side, falling.

        Returns:
            Gene arrays.
        """
        kinds = len(self.ground.wants)
        across, along = self.sizes[:, 0], self.sizes[:, 1]
        made = []
        for major, minor in (
            (along, across),
            (across, along),
            (across * along.astype(np.float64), along),
            (np.maximum(across, along), np.minimum(across, along)),
        ):
            order = np.lexsort((np.arange(kinds), -minor, -major))
            for split in (1, 0):
                genes = np.zeros((5, kinds), np.int64)
                genes[ORDER] = order
                genes[SPLIT] = split
                genes[RISE] = -1
                genes[HOME] = -1
                made.append(genes)
        return made

    def lay(self, genes: Ints, flaws: Ints, fit: int) -> tuple[float, tuple[Put, ...], bool]:
        """Build the lay that genes and the ways to cut off flaws stand for.

        Returns:
            Cost, the pieces, and whether all are laid.
        """
        puts, _, cost = self._once(genes, flaws, fit)
        made = tuple(Put(int(r), int(k), int(x), int(y), bool(t)) for r, k, x, y, t in puts)
        return cost, made, len(made) == int(self.counts.sum())

    def lengths(self, genes: Ints, flaws: Ints, fit: int) -> int:
        """How many lengths such a lay has.

        Returns:
            A count.
        """
        return self._once(genes, flaws, fit)[1]

    def _once(self, genes: Ints, flaws: Ints, fit: int) -> tuple[Ints, int, float]:
        total = int(self.counts.sum())
        puts = np.zeros((total + 1, 5), np.int64)
        n_puts, n_marks, cost, _ = lay_from_genes(
            self.sizes, self.counts, genes, fit, self.stocks, self.money, flaws, self.ground.longest, UNLIMITED,
            np.zeros(len(self.counts), np.int64), np.zeros((2, len(self.stocks)), np.int64),
            np.zeros((4 * total + 8 * len(self.flaws) + 64, 4), np.int64), puts, np.zeros((total + 1, 3), np.int64),
        )  # fmt: skip
        return puts[:n_puts], n_marks, float(cost)

    def best(
        self, *, effort: int, good_enough: float, seed: int = 20107
    ) -> tuple[float, tuple[Put, ...], bool]:
        """Search with so many lays.

        Args:
            effort: How many lays of 60 pieces may be built, or as much other work.
            good_enough: A cost at which to stop.
            seed: Starts the random numbers.

        Returns:
            Cost, the pieces, and whether all are laid.
        """
        total = int(self.counts.sum())
        pool = new_pool(self.ground, seed=seed)
        ranked: list[tuple[float, int, Ints, Ints, int]] = []
        for genes in self.starts():
            for fit in (1, 0):
                state = np.array([seed], np.int64)
                _, _, cost = self.walk(genes, self.flaws, fit, 1, good_enough, state, pool)
                ranked.append((cost, len(ranked), genes, self.flaws, fit))
        ranked.sort(key=lambda row: row[:2])
        runs = min(4, len(ranked))
        champion = ranked[0]
        lays = max(1, effort * 24 // max(20, total))
        for run in range(2 * runs):
            if champion[0] <= good_enough:
                break
            if run == runs:  # few long lengths: only the walk can help, so it goes on for longer
                if effort < LEAST_EFFORT or self.lengths(*champion[2:]) >= FEWEST:
                    break
                lays *= FARTHER
            _, _, genes, flaws, fit = ranked[run % runs]
            state = np.array([seed + 7919 * (run + 1)], np.int64)
            changed, ways, cost = self.walk(genes, flaws, fit, max(1, lays // runs), good_enough, state, pool)
            if cost < champion[0]:
                champion = (cost, run, changed, ways, fit)
        cost, puts, complete = self.lay(*champion[2:])
        if (
            effort >= LEAST_EFFORT
            and complete
            and cost > good_enough
            and self.lengths(*champion[2:]) >= FEWEST
        ):
            puts = better(
                self.ground, pool, self.sizes, self.stocks, self.flaws, puts, effort=effort, good_enough=good_enough,
                seed=seed + 1,
            )  # fmt: skip
            return self.ground.cost(puts), puts, True
        return cost, puts, complete

    def walk(
        self, genes: Ints, flaws: Ints, fit: int, tries: int, good_enough: float, state: Ints, pool: Pool
    ) -> tuple[Ints, Ints, float]:
        """One annealing walk.

        Returns:
            Best genes, ways to cut off flaws, and their cost.
        """
        return walk(
            self.sizes, self.counts, genes, fit, self.stocks, self.money, flaws, self.ground.longest,
            UNLIMITED, tries, 0.02, self.weight, self.penalty, good_enough, state,
            NEAR, pool.salt, pool.lengths, pool.pieces, pool.table, pool.used,
        )  # fmt: skip
