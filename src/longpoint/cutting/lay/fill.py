"""Lays built length by length, compiled: the kernel of the search.

A *length* is what one cut right across takes off the roll. The first kind of piece in the order that still wants
laying opens a length as long as itself (or longer by its ``rise``) at the left edge; the rest of that length is
filled by cutting straight through again and again: a piece goes into the corner of a sheet, and what is left of
the sheet becomes two sheets, by a cut across first or by a cut along first. So every lay this makes can be cut
straight through.

What steers it (its *genes*, one entry per kind): ``order``, the openers in turn and the pieces tried first in a
sheet; ``first``, whether the opener lies turned; ``split``, which cut comes first beside a laid piece; ``rise``,
the kind whose size along is added to the length opened (−1 none); ``home``, the roll tried first (−1 none).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

WIDTH, LENGTH, KEPT, STEP, START, FLAW_FROM, FLAW_TO, CROSS = range(8)
FIXED, RATE, WORTH = range(3)
ORDER, FIRST, SPLIT, RISE, HOME = range(5)
WAY = 4
"""Column of a flaw that says how it is cut off: 0 on the side that leaves the most whole cloth, else on its left,
right, near or far side (`LEFT_OF` to `BEYOND`), and from `BEFORE_PIECES` on the same before any piece is tried."""
LEFT_OF, RIGHT_OF, BELOW, BEYOND = range(1, 5)
BEFORE_PIECES = 4
WAYS = 9


class LayTask(NamedTuple):
    """What is laid on what, as arrays for compiled code.

    Attributes:
        sizes: Across, along, may turn; shape (kinds, 3). [ticks]
        counts: Wanted of every kind, shape (kinds,).
        stocks: One row per roll, see the column names at the top; shape (rolls, 8).
        money: Fixed, rate, worth; shape (rolls, 3).
        longest: Longest length taken off in one go. [ticks]
    """

    sizes: Ints
    counts: Ints
    stocks: Ints
    money: Floats
    longest: int


class Genes(NamedTuple):
    """What steers a lay.

    Attributes:
        kinds: One entry per kind, see the top; shape (5, kinds).
        flaws: All flaws and how each is cut off, sorted by roll; see `WAY`; shape (flaws, 5).
        fit: 1 to prefer pieces that fill a sheet exactly one way, 0 to go by order only.
    """

    kinds: Ints
    flaws: Ints
    fit: int


class LaySpace(NamedTuple):
    """Work space for one lay after the other.

    Attributes:
        left: Still wanted of every kind, shape (kinds,).
        cursor: Where the next length of every roll begins, and how far pieces reach; shape (2, rolls).
        sheets: The stack of sheets, shape (many, 4).
        puts: The lay: roll, kind, x, y, turned; shape (pieces + 1, 5).
        marks: First put, roll and height of every length opened, shape (pieces + 1, 3).
    """

    left: Ints
    cursor: Ints
    sheets: Ints
    puts: Ints
    marks: Ints


@compiled
def space_for(task: LayTask, flaws: int) -> LaySpace:
    """Work space for the lays of a task round so many flaws."""
    total = task.counts.sum()
    return LaySpace(
        np.zeros(task.counts.shape[0], np.int64),
        np.zeros((2, task.stocks.shape[0]), np.int64),
        np.zeros((4 * total + 8 * flaws + 64, 4), np.int64),
        np.zeros((total + 1, 5), np.int64),
        np.zeros((total + 1, 3), np.int64),
    )


@compiled
def cut_off(flaws: Ints, flaw: int, x: int, y: int, w: int, h: int, way: int) -> tuple[int, int]:
    """Where a flaw is cut off a sheet.

    Args:
        flaws: All flaws, shape (flaws, 5).
        flaw: Which one.
        x: The sheet's left edge, and so the rest.
        y: Near edge.
        w: Width.
        h: Length.
        way: Which side, `LEFT_OF` to `BEYOND`; 0 for the one that leaves the most whole cloth.

    Returns:
        A place across and a place along, from the sheet's own edges; −1 where it is not cut that way.
    """
    left = max(flaws[flaw, 0], x) - x
    near = max(flaws[flaw, 1], y) - y
    right = min(flaws[flaw, 2], x + w) - x
    far = min(flaws[flaw, 3], y + h) - y
    if way == LEFT_OF and left > 0:
        return left, -1
    if way == RIGHT_OF and right < w:
        return right, -1
    if way == BELOW and near > 0:
        return -1, near
    if way == BEYOND and far < h:
        return -1, far
    if way != 0:
        return -1, -1
    west = float(left) * float(h)
    east = float(w - right) * float(h)
    south = float(w) * float(near)
    north = float(w) * float(h - far)
    most = max(max(west, east), max(south, north))
    if most <= 0:
        return -1, -1
    if most == west:
        return left, -1
    if most == east:
        return right, -1
    if most == south:
        return -1, near
    return -1, far


@compiled
def touches(flaws: Ints, start: int, stop: int, x: int, y: int, w: int, h: int) -> int:
    """First flaw of a roll that a rectangle touches.

    Returns:
        Its row, or −1.
    """
    for f in range(start, stop):
        if flaws[f, 0] < x + w and x < flaws[f, 2] and flaws[f, 1] < y + h and y < flaws[f, 3]:
            return f
    return -1


@compiled
def part_sheet(sheets: Ints, n_sheets: int, x: int, y: int, w: int, h: int, cut_x: int, cut_y: int) -> int:
    """Part a sheet in two on the stack of sheets.

    Args:
        sheets: The stack, shape (many, 4); changed.
        n_sheets: How many lie on it.
        x: The sheet's left edge, and so the rest.
        y: Near edge.
        w: Width.
        h: Length.
        cut_x: Where it is cut along the roll; −1 where it is not.
        cut_y: Where it is cut across; −1 where it is not.

    Returns:
        How many lie on it afterwards.
    """
    if cut_x >= 0:
        put_sheet(sheets, n_sheets, x, y, cut_x, h)
        put_sheet(sheets, n_sheets + 1, x + cut_x, y, w - cut_x, h)
        return n_sheets + 2
    if cut_y >= 0:
        put_sheet(sheets, n_sheets, x, y, w, cut_y)
        put_sheet(sheets, n_sheets + 1, x, y + cut_y, w, h - cut_y)
        return n_sheets + 2
    return n_sheets


@compiled
def put_sheet(sheets: Ints, at: int, x: int, y: int, w: int, h: int) -> None:
    """Write one sheet."""
    sheets[at, 0] = x
    sheets[at, 1] = y
    sheets[at, 2] = w
    sheets[at, 3] = h


@compiled
def fill_length(
    sizes: Ints,
    stock: Ints,
    genes: Genes,
    opener: int,
    opener_turned: int,
    y_from: int,
    height: int,
    stock_at: int,
    space: LaySpace,
    n_puts: int,
) -> int:
    """Fill one length of a roll; takes from what is left in the work space and appends to its puts.

    Args:
        sizes: As in `LayTask`.
        stock: The roll's row.
        genes: What steers it.
        opener: Kind that opens the length.
        opener_turned: 1 where it lies turned.
        y_from: Where the length begins.
        height: How long it is.
        stock_at: The roll's number, written into the puts.
        space: Work space; changed.
        n_puts: How many of its puts are used.

    Returns:
        How many are used afterwards.
    """
    left, sheets, puts = space.left, space.sheets, space.puts
    order, split, flaws, fit = genes.kinds[ORDER], genes.kinds[SPLIT], genes.flaws, genes.fit
    kinds = sizes.shape[0]
    flaw_from = stock[FLAW_FROM]
    flaw_to = stock[FLAW_TO]
    cross = stock[CROSS]
    n_sheets = 1
    sheets[0, 0] = 0
    sheets[0, 1] = y_from
    sheets[0, 2] = stock[WIDTH]
    sheets[0, 3] = height
    opened = 0
    while n_sheets > 0:
        n_sheets -= 1
        x = sheets[n_sheets, 0]
        y = sheets[n_sheets, 1]
        w = sheets[n_sheets, 2]
        h = sheets[n_sheets, 3]
        if w <= 0 or h <= 0:
            continue
        flaw = touches(flaws, flaw_from, flaw_to, x, y, w, h)
        if flaw >= 0 and flaws[flaw, WAY] > BEFORE_PIECES:
            cut_x, cut_y = cut_off(flaws, flaw, x, y, w, h, flaws[flaw, WAY] - BEFORE_PIECES)
            if cut_x >= 0 or cut_y >= 0:
                n_sheets = part_sheet(sheets, n_sheets, x, y, w, h, cut_x, cut_y)
                continue
        best = -1
        best_turned = 0
        best_rank = 0
        could = 0
        if opened == 0:
            pw = sizes[opener, 1] if opener_turned == 1 else sizes[opener, 0]
            pl = sizes[opener, 0] if opener_turned == 1 else sizes[opener, 1]
            if pw <= w and pl <= h and left[opener] > 0:
                could = 1
                if flaw < 0 or touches(flaws, flaw_from, flaw_to, x, y, pw, pl) < 0:
                    best = opener
                    best_turned = opener_turned
                    best_rank = 9
                    opened = 1
        if best < 0:
            for k in range(kinds):
                kind = order[k]
                if left[kind] <= 0:
                    continue
                for turned in range(2):
                    if turned != cross and sizes[kind, 2] == 0:
                        continue
                    pw = sizes[kind, 1] if turned == 1 else sizes[kind, 0]
                    pl = sizes[kind, 0] if turned == 1 else sizes[kind, 1]
                    if pw > w or pl > h:
                        continue
                    could = 1
                    rank = 1
                    if fit == 1:
                        if pw == w:
                            rank += 2
                        if pl == h:
                            rank += 2
                    if rank <= best_rank:
                        continue
                    if flaw >= 0 and touches(flaws, flaw_from, flaw_to, x, y, pw, pl) >= 0:
                        continue
                    best = kind
                    best_turned = turned
                    best_rank = rank
                if best_rank == 5 or (fit == 0 and best >= 0):
                    break
        if best >= 0:
            pw = sizes[best, 1] if best_turned == 1 else sizes[best, 0]
            pl = sizes[best, 0] if best_turned == 1 else sizes[best, 1]
            puts[n_puts, 0] = stock_at
            puts[n_puts, 1] = best
            puts[n_puts, 2] = x
            puts[n_puts, 3] = y
            puts[n_puts, 4] = best_turned
            n_puts += 1
            left[best] -= 1
            if split[best] == 1:  # cut along first: the sheet beside keeps the whole height
                beside_h = h
                above_w = pw
            else:
                beside_h = pl
                above_w = w
            beside_w = w - pw
            above_h = h - pl
            # The smaller sheet is filled first: it has fewer ways.
            if float(beside_w) * float(beside_h) >= float(above_w) * float(above_h):
                put_sheet(sheets, n_sheets, x + pw, y, beside_w, beside_h)
                put_sheet(sheets, n_sheets + 1, x, y + pl, above_w, above_h)
            else:
                put_sheet(sheets, n_sheets, x, y + pl, above_w, above_h)
                put_sheet(sheets, n_sheets + 1, x + pw, y, beside_w, beside_h)
            n_sheets += 2
        elif could == 1 and flaw >= 0:
            # A flaw lies where a piece would go.
            way = flaws[flaw, WAY]
            cut_x, cut_y = cut_off(
                flaws, flaw, x, y, w, h, way - BEFORE_PIECES if way > BEFORE_PIECES else way
            )
            if cut_x < 0 and cut_y < 0:
                cut_x, cut_y = cut_off(flaws, flaw, x, y, w, h, 0)
            n_sheets = part_sheet(sheets, n_sheets, x, y, w, h, cut_x, cut_y)
    return n_puts
