"""What is asked of the saw and what comes back: plain frozen values of board cutting.

Every length is a whole number of nanometres, so that metres, millimetres and sixty-fourths of an inch
(396 875 nm) are all exact and sums can be compared without slack. `nanometres` is the door. Money is a
`Fraction`, in whatever currency the caller uses.

Along a board x runs from its left end to its right end. The lip lies against the fence, the low edge towards
the person at the saw.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from decimal import Decimal
from enum import IntEnum, StrEnum
from fractions import Fraction

from longpoint.errors import Caution
from longpoint.refereed import Refereed

NANOMETRES_PER_MM = 1_000_000


def nanometres(length: Fraction | Decimal | int | float, *, round_up: bool = True) -> int:
    """A length in whole nanometres.

    Parts round up and boards round down, so that nothing comes out short; a binary float is read as the
    decimal a person would see.

    Args:
        length: The length. [mm]
        round_up: Round up (parts, kerfs) or down (boards).

    Returns:
        The length. [nm]
    """
    if isinstance(length, float):
        length = Decimal(repr(length))
    exact = Fraction(length) * NANOMETRES_PER_MM
    return math.ceil(exact) if round_up else math.floor(exact)


def millimetres(length: int) -> float:
    """A length in nanometres as millimetres, for showing and drawing. [mm]."""
    return length / NANOMETRES_PER_MM


def mitre_kerf(kerf: int) -> int:
    """What a saw cut at 45 degrees takes along the board: kerf times the root of two, rounded up.

    Args:
        kerf: Width of the saw cut. [nm]

    Returns:
        Length along the board. [nm]
    """
    root = math.isqrt(2 * kerf * kerf)
    return root if root * root == 2 * kerf * kerf else root + 1


class End(StrEnum):
    """How both ends of a part are cut."""

    MITRE = "mitre"
    SQUARE = "square"
    HALF_LAP = "half-lap"


class Kind(StrEnum):
    """What a part becomes."""

    BAR = "bar"
    RAIL = "rail"
    MIDDLE = "middle piece"
    BLOCK = "block"


class Grade(IntEnum):
    """What a board is good for, by eye; a better board may always do a lesser job."""

    FIREWOOD = 0
    SHORT_PIECES = 1
    RAILS = 2
    BARS = 3

    @property
    def words(self) -> str:
        """The grade as a person says it."""
        return ("firewood", "short pieces only", "good for rails", "good for bars")[self]


class Lie(StrEnum):
    """Whether a mitred part may be turned over or end for end on the board."""

    LIP_FIXED = "bevelled first"
    MAY_TURN = "square-edged"


class Stands(StrEnum):
    """How the timber stands in the frame: on edge (its thin way in the canvas plane) or lying flat."""

    ON_EDGE = "on edge"
    FLAT = "lying flat"


class Swing(StrEnum):
    """How the saw stands for a cut, seen by the person at the saw: where its handle is swung to."""

    SQUARE = "square"
    LEFT = "swing left"
    RIGHT = "swing right"


@dataclass(frozen=True, slots=True)
class BendLimits:
    """How much of a board's bend may be left in a part; None where nothing is asked.

    Attributes:
        in_plane: In the canvas plane, over the part's length: rails pull it straight, within reason. [nm]
        out_of_plane: Off the canvas plane, over the part's length: nothing cures it. [nm]
        twist: Rise of one edge over the part's length. [nm]
    """

    in_plane: int | None = None
    out_of_plane: int | None = None
    twist: int | None = None


@dataclass(frozen=True, slots=True)
class WantedPart:
    """A kind of part and how many of it.

    Attributes:
        name: Name of the part, unique in the problem.
        length: Finished length, on the long point where mitred. [nm]
        how_many: How many, at least 1.
        kind: What it becomes.
        ends: How both ends are cut.
        lie: Whether it may be turned on the board; only matters for mitred parts.
        mitre_width: Size in the mitre plane, W; needed for mitred parts. [nm]
        round: Saw round: 1 bars, 2 end and cross rails, 3 middle pieces and blocks.
        needs: The least board it may come from. None: bars need a board good for bars, rails one good for
            rails, the rest short pieces. An end rail is as fussy as a bar: say so here.
        bend: How much bend may be left in it.
        stands: How the timber stands in the frame.
        extra: Kept on top of the length for a piece that is measured on the frame before it is cut. [nm]
        work: The work it belongs to, "" where shared.
    """

    name: str
    length: int
    how_many: int
    kind: Kind = Kind.BAR
    ends: End = End.MITRE
    lie: Lie = Lie.LIP_FIXED
    mitre_width: int = 0
    round: int = 1
    needs: Grade | None = None
    bend: BendLimits = BendLimits()
    stands: Stands = Stands.ON_EDGE
    extra: int = 0
    work: str = ""

    @property
    def planned(self) -> int:
        """Timber set aside for it: its length and what is kept for measuring. [nm]."""
        return self.length + self.extra

    @property
    def least_grade(self) -> Grade:
        """The least board it may come from."""
        if self.needs is not None:
            return self.needs
        return {Kind.BAR: Grade.BARS, Kind.RAIL: Grade.RAILS}.get(self.kind, Grade.SHORT_PIECES)

    @property
    def is_mitred(self) -> bool:
        """Whether its ends are cut at 45 degrees."""
        return self.ends is End.MITRE


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a board from its left end that no part may touch: knot, split, shake, wane.

    Attributes:
        start: Where it begins. [nm]
        end: Where it ends. [nm]
        why: What is there.
    """

    start: int
    end: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Board:
    """A length on sale, or a board at hand.

    Attributes:
        name: Name, unique in the problem.
        length: Its own length. [nm]
        cost: Price of one, or what taking it from the rack is worth.
        how_many: How many there are; None without limit.
        at_hand: Whether it lies in the rack already.
        grade: What it is good for.
        bow: Bend across its thin way over its whole length. [nm]
        crook: Bend across its wide way over its whole length. [nm]
        twist: Rise of one edge over its whole length. [nm]
        spoiled: Stretches to avoid.
        sawn: Whether its left end is freshly sawn, so that no trim is taken there.
    """

    name: str
    length: int
    cost: Fraction
    how_many: int | None = None
    at_hand: bool = False
    grade: Grade = Grade.BARS
    bow: int = 0
    crook: int = 0
    twist: int = 0
    spoiled: tuple[Span, ...] = ()
    sawn: bool = False


@dataclass(frozen=True, slots=True)
class OffcutWorth:
    """From what length on an offcut will serve again, and what it is worth then.

    Attributes:
        kind: What it will serve as; the board must be good enough for it.
        at_least: Shortest useful length. [nm]
        share: Share of the lowest price per length on sale, at least 0 and below 1.
    """

    kind: Kind
    at_least: int
    share: Fraction


@dataclass(frozen=True, slots=True)
class Shop:
    """What the saw takes and what the bench asks.

    Attributes:
        kerf: Width of the saw cut; 0 is allowed. [nm]
        trim: Taken off each end of every board, its own cut included. [nm]
        safe: Shortest piece that may be held at the saw; 0 where nothing is asked. [nm]
        offcuts: What remains are worth; empty: nothing.
        keeping: What each kept piece must be worth before it is kept (few kept pieces).
        widest_at_45: Widest timber the saw mitres, lying; None where not stated. [nm]
        highest_at_45: Highest timber the saw mitres, standing; None where not stated. [nm]
        shortest_planed: Shortest piece that may be planed or bevelled; None where not stated. [nm]
    """

    kerf: int
    trim: int = 0
    safe: int = 0
    offcuts: tuple[OffcutWorth, ...] = ()
    keeping: Fraction = Fraction(0)
    widest_at_45: int | None = None
    highest_at_45: int | None = None
    shortest_planed: int | None = None


@dataclass(frozen=True, slots=True)
class BoardProblem:
    """Everything about the parts of one section.

    Attributes:
        section: Name of the section as a person says it, e.g. ``21 × 44``.
        thickness: Thickness of the timber, its thin way. [nm]
        depth: Depth of the timber, its wide way. [nm]
        parts: What is wanted.
        boards: What is on sale and at hand.
        shop: The saw and the bench.
        effort: Work limit, in units that do not depend on the machine; 1 is the ordinary limit.
        settings_within: Share above the least cost that may be spent to pick boards up less often; 0 for no more
            than the least cost; None where that is not sought. It comes after cost and before what is left.
        bevelled_apart: Whether parts bevelled first have boards of their own, because their boards are
            bevelled from end to end.
    """

    section: str
    thickness: int
    depth: int
    parts: tuple[WantedPart, ...]
    boards: tuple[Board, ...]
    shop: Shop
    effort: int = 1
    settings_within: Fraction | None = None
    bevelled_apart: bool = False


@dataclass(frozen=True, slots=True)
class Cut:
    """One part as it lies on its board.

    Attributes:
        part: Name of the part.
        start: Where it begins, on its long point side. [nm]
        end: Where it ends, on its long point side; end − start is its length with what is kept for
            measuring. [nm]
        stop: Stop setting on the long point: its finished length. [nm]
        swing_start: How the saw stands for its left end.
        swing_end: How the saw stands for its right end.
        turned: Whether its long side lies towards the person instead of against the fence.
        triangle: Base of the triangle that falls out before its left end; 0 where none does. [nm]
    """

    part: str
    start: int
    end: int
    stop: int
    swing_start: Swing = Swing.SQUARE
    swing_end: Swing = Swing.SQUARE
    turned: bool = False
    triangle: int = 0


@dataclass(frozen=True, slots=True)
class CutBoard:
    """One board with its cuts from left to right.

    Attributes:
        board: Name of the board or length on sale.
        copy: Which one of that name, counted from 1.
        length: Its length. [nm]
        cost: What it costs or is worth.
        at_hand: Whether it comes from the rack.
        cuts: Its parts from left to right.
        remains: What remains at the right end, on its shorter edge: length less trims, parts and every
            kerf, at least 0. [nm]
        mitred_end: Whether what remains begins with a mitre; its longer edge is then ``mitre_width`` longer.
        good_for: What the remains will serve as again; "" for nothing.
        last_stick: Length held at the saw before the last cut. [nm]
    """

    board: str
    copy: int
    length: int
    cost: Fraction
    at_hand: bool
    cuts: tuple[Cut, ...]
    remains: int
    mitred_end: bool = False
    good_for: str = ""
    last_stick: int = 0


@dataclass(frozen=True, slots=True)
class Certificate:
    """Whole-number prices that prove a lower bound; anyone can check it with a knapsack.

    No stick of timber can hold parts worth more, at these prices, than the board costs plus its charge.
    Then every plan costs at least (sum of part prices × wanted − sum of charges × how many there are).

    Attributes:
        scale: How many units make one unit of money.
        parts: Price of one of each part, by name, whole units.
        boards: Charge for each board of limited number, by name, whole units; boards not named have none.
    """

    scale: Fraction
    parts: tuple[tuple[str, int], ...]
    boards: tuple[tuple[str, int], ...] = ()


Split = tuple[int, int]
"""Of a number and its value: it is no more than that, or it is more."""
Leaf = tuple[int, tuple[tuple[int, int], ...]]
"""Weight of the cost, and (row, multiplier) of the rows that leave nothing."""
Tree = tuple[Split | Leaf, ...]
"""In the order of walking it: a split, then its lower side, then its upper one."""


@dataclass(frozen=True, slots=True)
class CountsProof:
    """Why no numbers of boards that can hold the parts cost an amount or less.

    At each row's prices the boards must be able to hold parts of as much worth as is wanted: Σ n(g) v(g) ≥ Σ y(i)
    wanted(i), where v(g) is the most that any board of a group is worth. Whoever checks it works out every v(g) anew.

    Attributes:
        unit: Money of one cost unit; costs are rounded down to it.
        over: The amount, cost units: every plan costs more.
        groups: Names of the boards that are counted together.
        rows: Price of one of each part, by name, whole units; parts not named have none.
        tree: Over the numbers of boards of each group; see `Tree`.
    """

    unit: Fraction
    over: int
    groups: tuple[tuple[str, ...], ...]
    rows: tuple[tuple[tuple[str, int], ...], ...]
    tree: Tree


@dataclass(frozen=True, slots=True)
class ListedProof:
    """Why no patterns that a cheaper plan could contain make one up.

    Prices and charges leave a plan of that amount only so much room; patterns worth too little for it are in no such
    plan. Those that are left can be listed, and no choice of them gives all parts.

    Attributes:
        unit: Money of one cost unit; costs are rounded down to it.
        over: The amount, cost units: every plan costs more.
        groups: Names of the boards that are counted together.
        parts: Names of the parts that are alike.
        prices: Price of one of each of `parts`, whole units.
        charges: Charge of a board of each group, whole units.
        scale: Whole units per cost unit.
        tree: Over the numbers of each listed pattern, in rising order of (group, how many of each part).
    """

    unit: Fraction
    over: int
    groups: tuple[tuple[str, ...], ...]
    parts: tuple[tuple[str, ...], ...]
    prices: tuple[int, ...]
    charges: tuple[int, ...]
    scale: int
    tree: Tree


@dataclass(frozen=True, slots=True)
class Spent:
    """How much was done, counted so that it does not depend on the machine.

    Attributes:
        columns: Patterns generated.
        pricings: Knapsacks solved.
        dives: Descents made.
        nodes: Branching nodes.
        enumerated: Patterns listed for a complete proof.
        leaving: Rounds of pricing when the most was to be left.
        shared: Ways tried in these steps of sharing parts between two boards.
        sorting: Rounds of pricing when least sorting was sought.
        sorted_listed: Patterns listed then for a complete proof.
    """

    columns: int = 0
    pricings: int = 0
    dives: int = 0
    nodes: int = 0
    enumerated: int = 0
    leaving: int = 0
    shared: int = 0
    sorting: int = 0
    sorted_listed: int = 0


@dataclass(frozen=True, slots=True)
class Sorting:
    """What seeking least sorting came to.

    A board is picked up once for every length of a round that it gives; whoever works board by board sets the stop
    as often. So one number says how often boards are picked up, or how often the stop is set.

    Attributes:
        within: Share above the least cost that might be spent.
        before: Pick-ups of the plan of least cost, without the wish.
        cost_before: What that plan costs.
        free: Fewest pick-ups found at that cost.
        at_least: No plan within the cost needs fewer pick-ups.
        proof: How it is known that no plan needs fewer: "bound", "enumeration" or "" where it is not known.
    """

    within: Fraction
    before: int
    cost_before: Fraction
    free: int
    at_least: int
    proof: str


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """A cutting plan with its proof.

    Attributes:
        section: Name of the section.
        boards: The boards to take, each with its cuts.
        cost: What is bought plus what taken boards are worth.
        at_least: No plan can cost less than this.
        proven: Whether the cost is the least possible.
        proof: How that is known: "bound", "enumeration", "branching" or "" where it is not.
        gap: (cost − at_least) / at_least, 0 where proven.
        certificate: Prices that prove the plain part of the bound.
        beyond: What proves more than the certificate; None where nothing does.
        left_worth: What is left is worth this much.
        left_worth_at_most: No plan of this cost can leave more than this: the bound of the second step; None
            where none was sought.
        left_proof: How it is known that what is left is the most: "bound", "enumeration" or "" where it is not.
        settings: Stop settings that the plan needs, each round worked length by length.
        pickups: How often a board is picked up for it: once for every length of a round that it gives.
        sorting: What seeking least sorting came to; None where it was not asked.
        spent: How much was done.
        refereed: What the referee found; None where it was not asked.
        cautions: What a person should know.
    """

    section: str
    boards: tuple[CutBoard, ...]
    cost: Fraction
    at_least: Fraction
    proven: bool
    proof: str
    gap: Fraction
    certificate: Certificate
    beyond: CountsProof | ListedProof | None = None
    left_worth: Fraction = Fraction(0)
    left_worth_at_most: Fraction | None = None
    left_proof: str = ""
    settings: int = 0
    pickups: int = 0
    sorting: Sorting | None = None
    spent: Spent = field(default_factory=Spent)
    refereed: Refereed | None = None
    cautions: tuple[Caution, ...] = ()

    @property
    def left_proven(self) -> bool:
        """Whether no plan of this cost leaves more."""
        return self.left_worth == self.left_worth_at_most

    @property
    def verdict(self) -> str:
        """One phrase for the page: ``proven least`` or ``within x % of the least possible``."""
        if self.proven:
            return "proven least"
        hundredths = math.ceil(self.gap * 10_000)
        return f"within {hundredths // 100}.{hundredths % 100:02d} % of the least possible"
