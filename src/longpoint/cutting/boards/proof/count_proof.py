"""The proof by numbers of boards, in whole numbers: rows as they are needed, and a tree over them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.proof.certificate import most_worth
from longpoint.cutting.boards.proof.count_cuts import CountCut
from longpoint.cutting.boards.proof.exact import Program
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.values import Tree

Integers = npt.NDArray[np.int64]

VALUES = (
    20_000,
    100_000,
    500_000,
)  # that a row's dearest pattern may be worth: coarse prices are checked faster
MOST_CELLS = 30_000_000  # values × items of a row's table
MOST_ROWS = 40
NODES = 3_000
MOST_WORK = 400_000  # nodes × rows × boards over all turns


@dataclass(frozen=True, slots=True)
class CountRows:
    """Rows with the tree over them.

    Attributes:
        prices: Whole price of each item, for each row.
        over: Every plan costs more, cost units.
        tree: The tree.
    """

    prices: tuple[tuple[int, ...], ...]
    over: int
    tree: Tree


def prove_counts(core: Core, cuts: Sequence[CountCut], over: int, *, floor: int) -> CountRows | None:
    """Show that no numbers of boards cost an amount or less and can hold what is wanted.

    Where numbers are met that every row allows, as much is shown as they cost.

    Args:
        core: The problem.
        cuts: Rows in floating numbers, from the relaxation: where to look for rows.
        over: The amount, cost units.
        floor: So much is known already, cost units: to show no more than that is of no use.

    Returns:
        Whole rows and the tree; None where the work limit does not show it.
    """
    count = sum(item.demand for item in core.items)
    demand = [item.demand for item in core.items]
    costs = np.array([bin_.cost for bin_ in core.bins], dtype=np.int64)
    prices: list[list[int]] = []
    worths: list[list[int]] = []
    earned: list[int] = []
    work = MOST_WORK
    while len(prices) < MOST_ROWS and work > 0:
        high = np.array(
            [
                min(
                    count,
                    over // bin_.cost if bin_.cost else count,
                    count if bin_.limit is None else bin_.limit,
                )
                for bin_ in core.bins
            ],
            dtype=np.int64,
        )
        rows = np.array(worths, dtype=np.int64).reshape(len(worths), len(core.bins))
        program = Program(costs, rows, np.array(earned, dtype=np.int64), high)
        nodes = min(NODES, 1 + work // (len(core.bins) * (1 + len(worths))))
        tree, met = program.refute(over, nodes=nodes)
        if tree is not None:
            return CountRows(tuple(tuple(row) for row in prices), over, tree)
        if met is None:
            return None
        work -= 2_000
        row = _row_against(core, cuts, met, demand)
        if row is None:
            over = int(met @ costs) - 1
            if over < floor:
                return None
            continue
        prices.append(row[0])
        worths.append(row[1])
        earned.append(sum(price * wanted for price, wanted in zip(row[0], demand, strict=True)))
    return None


def _row_against(
    core: Core, cuts: Sequence[CountCut], counts: Integers, demand: list[int]
) -> tuple[list[int], list[int]] | None:
    """A whole row that some numbers of boards do not keep: prices and worths; None where there is none."""
    kept = [(float(cut.worths @ counts) / cut.earned, k) for k, cut in enumerate(cuts) if cut.earned > 0.0]
    for values in VALUES:
        if values * len(core.items) > MOST_CELLS:
            break
        for share, k in sorted(kept)[:2]:
            if share >= 1.0:
                continue
            cut = cuts[k]
            top = float(cut.worths[counts > 0].max(initial=0.0)) or float(cut.worths.max(initial=0.0))
            if top <= 0.0:
                continue
            scale = values / max(top, float(cut.prices.max()))
            whole = [max(0, math.floor(price * scale + 1e-9)) for price in cut.prices.tolist()]
            most = math.ceil(scale * float(cut.worths.max())) + max(whole) + 2
            worths = most_worth(core, whole, most)
            if max(worths) > most - max(whole):
                continue
            if sum(w * n for w, n in zip(worths, counts.tolist(), strict=True)) < sum(
                p * d for p, d in zip(whole, demand, strict=True)
            ):
                return whole, worths
    return None
