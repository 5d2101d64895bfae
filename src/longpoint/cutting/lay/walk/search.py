"""Search for good lays: many lays built from changed genes, kept when they are no worse or a little worse.

The walk is simulated annealing with its own small random numbers, so that a seed and an effort (how many lays
are tried) fix the answer on every machine.
"""

from __future__ import annotations

import numpy as np

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import (
    FIRST,
    HOME,
    ORDER,
    RISE,
    SPLIT,
    WAY,
    WAYS,
    Genes,
    Ints,
    LayTask,
    space_for,
)
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put
from longpoint.cutting.lay.mix.better import FEWEST, better
from longpoint.cutting.lay.mix.pool import Pool, keep, new_pool
from longpoint.cutting.lay.random import draw_below
from longpoint.cutting.lay.walk.from_genes import lay_from_genes

LEAST_EFFORT = 100  # below it lengths are not mixed
FARTHER = 4  # times the lays of such a walk
WARM = 0.02  # first temperature, as a share of the first cost
NEAR = 0.03  # lengths are kept from lays that cost at most this share more than the best


@compiled
def change(steered: Genes, sizes: Ints, rolls: int, state: Ints) -> None:
    """Change the genes a little, in place, or how a flaw is cut off."""
    genes, flaws = steered.kinds, steered.flaws
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
    task: LayTask,
    start: Genes,
    tries: int,
    weights: tuple[float, float],
    good_enough: float,
    state: Ints,
    pool: Pool,
) -> tuple[Genes, float]:
    """Anneal from given genes.

    Args:
        task: What is laid on what.
        start: Where to start; not changed.
        tries: How many lays to build.
        weights: How much the finer measure counts, and the cost of a tick² of cloth not laid.
        good_enough: Stop when the cost is not above this.
        state: Random state, shape (1,); changed.
        pool: Where lengths are kept of lays that cost at most `NEAR` more than the best; changed.

    Returns:
        The best genes and the cost, what is not laid included.
    """
    weight, penalty = weights
    sizes = task.sizes
    kinds = sizes.shape[0]
    space = space_for(task, start.flaws.shape[0])
    here = copied(start)
    best = copied(start)
    here_cost = 0.0
    best_cost = 0.0
    best_full = 0.0
    heat = 0.0
    for attempt in range(tries):
        trial = copied(here)
        if attempt > 0:
            change(trial, sizes, task.stocks.shape[0], state)
            while draw_below(state, 3) == 0:
                change(trial, sizes, task.stocks.shape[0], state)
        n_puts, n_marks, cost, finer = lay_from_genes(task, trial, space)
        for k in range(kinds):
            if space.left[k] > 0:
                cost += penalty * float(space.left[k]) * float(sizes[k, 0]) * float(sizes[k, 1])
        full = cost + weight * finer
        if attempt == 0:
            here_cost = full
            best_cost = cost
            best_full = full
            heat = WARM * max(abs(cost), 1e-12)
        else:
            cool = heat * (1.0 - attempt / tries) ** 2
            chance = draw_below(state, 1 << 30) / float(1 << 30)
            if full <= here_cost or (cool > 0.0 and chance < np.exp((here_cost - full) / cool)):
                here = trial
                here_cost = full
                if cost <= best_cost * (1.0 + NEAR):
                    keep(space.puts, space.marks, n_marks, n_puts, pool)
            if cost < best_cost or (cost == best_cost and full < best_full):
                best = copied(trial)
                best_cost = cost
                best_full = full
        if best_cost <= good_enough:
            break
    return best, best_cost


@compiled
def copied(genes: Genes) -> Genes:
    """Genes that may be changed."""
    return Genes(genes.kinds.copy(), genes.flaws.copy(), genes.fit)


class Search:
    """A ground turned into arrays, and the search over it."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        wants = ground.wants
        sizes = np.array([(w.across, w.along, int(w.turns)) for w in wants], np.int64).reshape(-1, 3)
        counts = np.array([w.count for w in wants], np.int64)
        rows: list[tuple[int, ...]] = []
        flaws: list[tuple[int, int, int, int, int]] = []
        for stock in ground.stocks:
            first = len(flaws)
            flaws.extend((*flaw, 0) for flaw in sorted(stock.blocked))
            rows.append((
                stock.width, stock.length, stock.kept, stock.step, stock.start, first, len(flaws), int(stock.crossways),
            ))  # fmt: skip
        self.flaws = np.array(flaws, np.int64).reshape(-1, 5)
        money = np.array([(s.fixed, s.rate, s.worth) for s in ground.stocks], np.float64)
        self.task = LayTask(sizes, counts, np.array(rows, np.int64), money, ground.longest)
        dearest = max(
            (s.rate + s.worth + (s.fixed / s.length if s.length < UNLIMITED else 0.0)) / s.width
            for s in ground.stocks
        )
        penalty = 100.0 * max(dearest, 1e-12)
        height = max(
            1.0, float((sizes[:, 1] * counts).sum()) / float(counts.sum())
        )  # the mean size along the roll
        weight = 0.02 * max(dearest, 1e-12) / max(s.width for s in ground.stocks) / height
        self.weights = (weight, penalty)

    def starts(self) -> list[Ints]:
        """Genes to start from: kinds by size across, along, area, and the longer side, falling.

        Returns:
            Gene arrays.
        """
        kinds = len(self.ground.wants)
        across, along = self.task.sizes[:, 0], self.task.sizes[:, 1]
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

    def lay(self, genes: Genes) -> tuple[float, tuple[Put, ...], int]:
        """Build the lay that genes stand for.

        Returns:
            Cost, the pieces, and how many lengths it has.
        """
        space = space_for(self.task, len(self.flaws))
        n_puts, n_marks, cost, _ = lay_from_genes(self.task, genes, space)
        puts = space.puts[:n_puts].tolist()
        return float(cost), tuple(Put(r, k, x, y, bool(t)) for r, k, x, y, t in puts), n_marks

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
        total = int(self.task.counts.sum())
        pool = new_pool(self.ground, seed=seed)
        ranked: list[tuple[float, int, Genes]] = []
        for start in self.starts():
            for fit in (1, 0):
                state = np.array([seed], np.int64)
                genes = Genes(start, self.flaws, fit)
                _, cost = self.walk(genes, 1, good_enough, state, pool)
                ranked.append((cost, len(ranked), genes))
        ranked.sort(key=lambda row: row[:2])
        runs = min(4, len(ranked))
        lowest, _, champion = ranked[0]
        lays = max(1, effort * 24 // max(20, total))
        for run in range(2 * runs):
            if lowest <= good_enough:
                break
            if run == runs:  # few long lengths: only the walk can help, so it goes on for longer
                if effort < LEAST_EFFORT or self.lay(champion)[2] >= FEWEST:
                    break
                lays *= FARTHER
            state = np.array([seed + 7919 * (run + 1)], np.int64)
            changed, cost = self.walk(ranked[run % runs][2], max(1, lays // runs), good_enough, state, pool)
            if cost < lowest:
                lowest, champion = cost, changed
        cost, puts, lengths = self.lay(champion)
        complete = len(puts) == total
        if effort >= LEAST_EFFORT and complete and cost > good_enough and lengths >= FEWEST:
            puts = better(
                self.ground,
                pool,
                self.task,
                self.flaws,
                puts,
                effort=effort,
                good_enough=good_enough,
                seed=seed + 1,
            )
            return self.ground.cost(puts), puts, True
        return cost, puts, complete

    def walk(
        self, genes: Genes, tries: int, good_enough: float, state: Ints, pool: Pool
    ) -> tuple[Genes, float]:
        """One annealing walk.

        Returns:
            Best genes and their cost.
        """
        return walk(self.task, genes, tries, self.weights, good_enough, state, pool)
