"""The referee asked about one bound: confirmed by arithmetic, by its own listing, or not.

It shares no code with what finds lays and their bounds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import comb, prod

from longpoint.cutting.lay.evidence import Evidence
from longpoint.cutting.lay.referee.certain import Counts, Rectangle, Strip, in_units, least_length
from longpoint.cutting.lay.referee.every_cut import EveryCut, WorkDoneError
from longpoint.cutting.lay.referee.listing import Listing

MOST_PIECES = 40  # beyond these nothing is listed
MOST_ROUND_FLAWS = 8  # the same where there are flaws
PAIRS = 400_000_000  # pairs of sets that may be looked at
PAIRS_SHARED = 150_000_000  # the same where rectangles are shared among rolls, whose pairs are dearer
PARTINGS = 500_000  # ways to part rectangles over a cut that may be looked at
MOST_WAYS = 60_000  # ways to share rectangles among rolls that may be looked at
MOST_SHARED_ROUND_FLAWS = 6  # rectangles on several rolls with flaws up to which every cut is tried
ROUNDED = 1000  # nm: less than this is no difference, since sizes are rounded to whole nanometres


@dataclass(frozen=True, slots=True)
class Certain:
    """What is certain of a bound.

    Attributes:
        length: No lay is shorter.
        by: What confirms it, as in `LayPlan`.
        is_refuted: The listing found a lay below what was claimed, or nothing was there that could confirm the claim.
    """

    length: int
    by: str
    is_refuted: bool = False


def certain_length(
    rectangles: Sequence[Rectangle],
    strip: Strip,
    evidence: Evidence,
    *,
    claimed: int,
    straight: bool,
    longest: bool = False,
) -> Certain:
    """What is certain of the length of a lay on one roll.

    Args:
        rectangles: What is wanted. [nm]
        strip: The roll. [nm]
        evidence: What came with the claim. [nm]
        claimed: The bound claimed. [nm]
        straight: Cuts go straight through.
        longest: No more than a stated length comes off the roll in one go.

    Returns:
        The certain length, at most the one claimed. [nm]
    """
    unit, counted, (roll,) = in_units(rectangles, [strip])
    due = -(-claimed // unit)
    least = least_length(counted, roll, evidence, unit)
    if least >= due:
        return Certain(claimed, "arithmetic")
    pieces = sum(r.count for r in rectangles)
    if not straight or longest or pieces > (MOST_ROUND_FLAWS if roll.flaws else MOST_PIECES):
        return Certain(least * unit, "arithmetic", is_refuted=claimed - least * unit > ROUNDED)
    counts = tuple(r.count for r in counted)
    trial = due - 1
    if roll.flaws:
        search = EveryCut(counted, Strip(roll.width, None, roll.flaws, roll.crossways), work=PARTINGS)
        try:
            shorter = search.frees(counts, trial)
        except WorkDoneError:
            return Certain(least * unit, "arithmetic")
        by = "every cut"
    else:
        listing = Listing(counted, crossways=roll.crossways, work=PAIRS)
        spare = roll.width * trial - sum(r.across * r.along * r.count for r in counted)
        if not listing.make(roll.width, trial, spare, close=True):
            return Certain(least * unit, "arithmetic")
        shorter = listing.shortest(counts, roll.width, trial) is not None
        by = "listing"
    if shorter:
        return Certain(least * unit, "arithmetic", is_refuted=True)
    return Certain(claimed, by)


@dataclass(frozen=True, slots=True)
class Price:
    """What rolls are charged, as a person is told.

    Attributes:
        of: Charge for using so much (above 0, nm) of a roll, in whole units; it never falls as more is used.
        most_below: The most that lengths used may cost exactly, at the least rates of the rolls, where less than what
            is claimed is charged.
    """

    of: Callable[[int, int], int]
    most_below: Fraction


def is_least_charge(
    rectangles: Sequence[Rectangle], strips: Sequence[Strip], *, price: Price, claimed: int
) -> bool | None:
    """Whether every way to share rectangles among rolls is charged at least what is claimed.

    Args:
        rectangles: What is wanted. [nm]
        strips: The rolls. [nm]
        price: What they cost.
        claimed: The least charge, as it is claimed.

    Returns:
        Yes or no; None where that is too much work to find out.
    """
    unit, counted, rolls = in_units(rectangles, strips)
    counts = tuple(r.count for r in counted)
    flawed = any(roll.flaws for roll in rolls)
    if prod(comb(count + len(rolls) - 1, count) for count in counts) > MOST_WAYS or (
        flawed and sum(counts) > MOST_SHARED_ROUND_FLAWS
    ):
        return None
    areas = [r.across * r.along for r in counted]
    shortest = _by_every_cut(counted, rolls) if flawed else _by_listing(counted, rolls, price)
    if shortest is None:
        return None
    by_area: dict[tuple[int, Counts], int] = {}
    known: dict[tuple[int, Counts], int | None] = {}

    def at_least(at: int, some: Counts) -> int:
        if (at, some) not in by_area:
            area = sum(count * each for count, each in zip(some, areas, strict=True))
            by_area[at, some] = price.of(at, -(-area // rolls[at].width) * unit) if area else 0
        return by_area[at, some]

    def charge(at: int, some: Counts) -> int | None:
        if (at, some) not in known:
            length = shortest(at, some)
            known[at, some] = None if length is None else price.of(at, length * unit)
        return known[at, some]

    try:
        for way in _shares(counts, len(rolls)):
            used = [(at, some) for at, some in enumerate(way) if any(some)]
            if sum(at_least(*each) for each in used) >= claimed:
                continue
            charges = [charge(*each) for each in used]
            if None not in charges and sum(each for each in charges if each is not None) < claimed:
                return False
    except WorkDoneError:
        return None
    return True


def _shares(counts: Counts, rolls: int) -> Iterator[tuple[Counts, ...]]:
    if rolls == 1:
        yield (counts,)
        return
    for some in product(*(range(count + 1) for count in counts)):
        for others in _shares(tuple(n - k for n, k in zip(counts, some, strict=True)), rolls - 1):
            yield (some, *others)


def _by_every_cut(
    rectangles: Sequence[Rectangle], rolls: Sequence[Strip]
) -> Callable[[int, Counts], int | None]:
    searches = [EveryCut(rectangles, roll, work=PARTINGS // len(rolls)) for roll in rolls]
    return lambda at, some: searches[at].shortest(some)


def _by_listing(
    rectangles: Sequence[Rectangle], rolls: Sequence[Strip], price: Price
) -> Callable[[int, Counts], int | None] | None:
    """Boxes that waste no more than a lay charged less than the claim can waste."""
    area = sum(r.across * r.along * r.count for r in rectangles)
    stacked = sum(max(r.across, r.along) * r.count for r in rectangles)
    made: dict[bool, Listing] = {}
    for crossways in {roll.crossways for roll in rolls}:
        same = [roll for roll in rolls if roll.crossways == crossways]
        width = max(roll.width for roll in same)
        length = max(stacked if roll.length is None else min(stacked, roll.length) for roll in same)
        spare = width * length
        if all(roll.rate > 0 for roll in rolls):
            widest = max(roll.width / roll.rate for roll in rolls)
            spare = min(spare, max(0, int(price.most_below * widest) - area))
        listing = Listing(rectangles, crossways=crossways, work=PAIRS_SHARED)
        if not listing.make(width, length, spare, close=False):
            return None
        made[crossways] = listing
    return lambda at, some: made[rolls[at].crossways].shortest(some, rolls[at].width, rolls[at].length)
