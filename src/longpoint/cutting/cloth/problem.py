"""Pieces of cloth out of rolls: what is wanted, what there is, and the plan.

A roll lies flat with its free end towards you: ``x`` runs across it from the left edge (outside of the left
selvedge), ``y`` along it from the free end. Sizes are in mm. The warp normally runs along the roll. Cuts go
straight through; the first one on a roll goes right across it, so that a length can be carried to the table.

This module holds values only; `plan_cloth` (in ``cloth_search``) finds a plan and `check_cloth_plan` (in
``cloth_check``) checks one from scratch without any of the code that found it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from longpoint.cutting.lay.evidence import Evidence
from longpoint.errors import Caution
from longpoint.refereed import Refereed

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Flaw:
    """A part of a roll no piece may touch: a slub, stain, hole, join.

    Attributes:
        y_from: Where it begins, along the roll from the free end. [mm]
        y_to: Where it ends. [mm]
        x_from: Where it begins across the roll, from the left edge. [mm]
        x_to: Where it ends; None for as far as the right edge. [mm]
        what: What it is, as the user calls it.
    """

    y_from: float
    y_to: float
    x_from: float = 0.0
    x_to: float | None = None
    what: str = "flaw"


@dataclass(frozen=True, slots=True)
class ClothRoll:
    """A roll or remnant: at hand, or to be bought.

    Attributes:
        name: Its name; unique.
        width: From outer edge to outer edge. [mm]
        length: What is left on it; None where as much as wanted can be had (bought by the metre). [mm]
        price: What a metre costs where it is bought. [money per metre]
        at_hand: It lies in the rack already: nothing is paid, but what is used is lost from it.
        worth: What a metre that stays on the roll is worth; for a roll at hand also what a metre taken from it
            costs. [money per metre]
        whole: Sold only as the whole roll: all its length is paid, what remains is worth ``worth``.
        step: Bought lengths are rounded up to a multiple of this (shops cut by 10 or 50 cm). [mm]
        shortest_kept: What remains shorter than this is worth nothing. [mm]
        selvedge: Left off along each long edge. [mm]
        square_up: Taken off the free end first to make it square. [mm]
        flaws: What pieces must avoid.
        warp_along: The warp runs along the roll; False where it runs across (a remnant turned sideways).
        right_side: Which way the good side looks on the roll, "up" or "down"; None where both sides are alike.
    """

    name: str
    width: float
    length: float | None = None
    price: Decimal = ZERO
    at_hand: bool = False
    worth: Decimal = ZERO
    whole: bool = False
    step: float = 0.0
    shortest_kept: float = 0.0
    selvedge: float = 0.0
    square_up: float = 0.0
    flaws: tuple[Flaw, ...] = ()
    warp_along: bool = True
    right_side: Literal["up", "down"] | None = None


@dataclass(frozen=True, slots=True)
class ClothPiece:
    """A piece of cloth wanted, so many times.

    Attributes:
        name: Its name; unique.
        across_warp: Size across the warp, turnover included. [mm]
        along_warp: Size along the warp, turnover included. [mm]
        count: How many.
        may_turn: It may lie with its long way across the warp, too.
        may_seam: Where every roll is too narrow it may be sewn from breadths.
        seam_at: Where the seam goes, from the edge that is left when it lies on the roll, across the warp; None to
            let the plan choose. [mm]
        seam_in_middle: A seam across the middle is wanted or at least allowed.
    """

    name: str
    across_warp: float
    along_warp: float
    count: int = 1
    may_turn: bool = False
    may_seam: bool = False
    seam_at: float | None = None
    seam_in_middle: bool = False


@dataclass(frozen=True, slots=True)
class ClothProblem:
    """What is wanted out of which rolls.

    Attributes:
        pieces: The pieces.
        rolls: The rolls.
        allowance: Cloth added along every edge of every piece because tearing and cutting to the thread do not
            come out exact. [mm]
        seam_allowance: Cloth each breadth needs beyond a seam. [mm]
        longest_length: Longest length that may be taken off a roll in one go (how long a table or floor is);
            None for no limit. [mm]
    """

    pieces: tuple[ClothPiece, ...]
    rolls: tuple[ClothRoll, ...]
    allowance: float = 0.0
    seam_allowance: float = 15.0
    longest_length: float | None = None


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """One piece on a roll, allowance included.

    Attributes:
        piece: Name of the piece.
        number: Which of its count, from 1.
        roll: Name of the roll.
        x: Its left edge, from the roll's left edge. [mm]
        y: Its near edge, from the roll's free end. [mm]
        across: Its size across the roll, allowances included. [mm]
        along: Its size along the roll, allowances included. [mm]
        turned: It lies turned: what was asked along the warp runs across it.
        breadth: Which breadth of a sewn piece, from 1; 0 for a piece in one.
    """

    piece: str
    number: int
    roll: str
    x: float
    y: float
    across: float
    along: float
    turned: bool = False
    breadth: int = 0


@dataclass(frozen=True, slots=True)
class ClothCut:
    """One straight cut through one sheet, in the order a person makes them.

    The sheet is named by where it lay on the roll. A cut ``across`` runs right across the sheet (along its ``y``
    stays the same), a cut ``along`` runs along the roll. The first cut of a roll goes right across the roll.

    Attributes:
        roll: Name of the roll.
        x: Left edge of the sheet that is cut, from the roll's left edge. [mm]
        y: Near edge of the sheet, from the roll's free end. [mm]
        across: Size of the sheet across the roll. [mm]
        along: Size of the sheet along the roll; None for as far as a roll without a stated length goes. [mm]
        way: Which way the cut runs.
        at: Where, as ``y`` (cuts across) or ``x`` (cuts along) on the roll. [mm]
        measure: The same from the sheet's own near or left edge: what the tape shows. [mm]
        frees: Names of pieces that come free with this cut ("p1 1" as piece and number).
    """

    roll: str
    x: float
    y: float
    across: float
    along: float | None
    way: Literal["across", "along"]
    at: float
    measure: float
    frees: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RollUse:
    """What the plan takes from one roll.

    Attributes:
        roll: Name of the roll.
        used: Length that leaves the roll. [mm]
        bought: Length paid for (rounded up to the shop's step, or the whole roll); 0 for a roll at hand. [mm]
        paid: Money paid for it.
        remains: What stays on the roll, None where the roll has no stated length. [mm]
        remnant_worth: What the remaining length is worth.
        cost: What using the roll costs: paid, or worth lost, with the worth of what remains taken off.
        lengths: Where the roll is cut right across, rising, the last one being ``used``. [mm]
    """

    roll: str
    used: float
    bought: float
    paid: Decimal
    remains: float | None
    remnant_worth: Decimal
    cost: Decimal
    lengths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SewnPiece:
    """How a piece wider than the rolls is made from breadths.

    Attributes:
        piece: Name of the piece.
        seams: Where the seams lie across the warp, from its left edge. [mm]
        breadths: Width each breadth is cut, seam allowances included, edge allowances not. [mm]
    """

    piece: str
    seams: tuple[float, ...]
    breadths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ClothPlan:
    """A lay on the rolls with its proof.

    Attributes:
        laid: Every piece, by roll, then along it.
        cuts: The cuts in order, roll by roll.
        uses: Rolls that are used, in the order given.
        sewn: Pieces sewn from breadths.
        cost: What the lay costs, remnants counted.
        used: Length taken off all rolls together. [mm]
        at_least: No lay by straight cuts can cost less.
        used_at_least: No lay can use less length; only where there is one roll or nothing has a price, else 0. [mm]
        proven: The cost (the length where nothing has a price) is proven least.
        gap: How far it may be from the least: (cost − at_least) / cost, or the same of lengths where nothing has a
            price; 0 where proven.
        cautions: What a person should know.
        evidence: What the bound rests on besides the statement.
        bound_by: What confirms the bound: "arithmetic" (areas, worths, sums of sizes), "listing" (all blocks that
            straight cuts part), "every cut" (all places of straight cuts round flaws), "shares" (all ways to share
            the pieces among the rolls); "" where the referee was not asked.
        refereed: What the referee found; None where it was not asked.
    """

    laid: tuple[LaidPiece, ...]
    cuts: tuple[ClothCut, ...]
    uses: tuple[RollUse, ...]
    sewn: tuple[SewnPiece, ...]
    cost: Decimal
    used: float
    at_least: Decimal
    used_at_least: float
    proven: bool
    gap: float
    cautions: tuple[Caution, ...]
    evidence: Evidence = field(default_factory=Evidence)
    bound_by: str = ""
    refereed: Refereed | None = None
