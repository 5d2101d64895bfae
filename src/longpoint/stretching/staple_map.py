"""Where the staples go and in which order, as people staple: in short runs, from the middles outwards.

Sides are "bottom", "right", "top", "left". A staple's place is ``along`` its side from the side's left or lower end,
and ``across``, from the face edge along the cloth (so beyond the bar's depth it lies on the back).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import cos, floor

from longpoint.errors import Fault, FaultsError, Where
from longpoint.joinery.screws.clash import Body
from longpoint.stretching.fold import CleanSides, corner_places
from longpoint.stretching.staple_places import SideGroups, side_groups, side_places
from longpoint.stretching.staple_seat import Seat, fold_clear, line_clear, moved_clear, row_clear, slant_for
from longpoint.tables import habit

SIDES = ("bottom", "right", "top", "left")
_OPPOSITE = {"bottom": "top", "top": "bottom", "left": "right", "right": "left"}
_FIRM = 1.0
_NONE = 0.0  # the first run: nothing pulls against it yet


class StapleUse(StrEnum):
    """What a staple is for."""

    EDGE = "edge"  # stays
    HOLDING = "holding"  # holds a corner until the run reaches it, then comes out
    FOLD = "fold"  # closes a folded corner


@dataclass(frozen=True, slots=True)
class MappedStaple:
    """One staple of the map.

    Attributes:
        label: What is printed beside it: numbers in the order they are driven; H1 to H4 hold; F1 … close the folds.
        use: What it is for.
        side: Side of the work.
        along: From the side's left or lower end. [mm]
        across: From the face edge along the cloth. [mm]
        pull: Share of the full pull, 1 in the middle and less near corners.
        run: Number of the run that drives it.
    """

    label: str
    use: StapleUse
    side: str
    along: float
    across: float
    pull: float
    run: int


@dataclass(frozen=True, slots=True)
class Run:
    """A short row of staples put in before turning to the next side.

    Attributes:
        number: From 1.
        side: Side it is on.
        puts_in: Labels in the order they are driven.
        takes_out: Labels of holding staples taken out before it.
        pull: Share of the full pull.
        firmness: The pull in words.
    """

    number: int
    side: str
    puts_in: tuple[str, ...]
    takes_out: tuple[str, ...]
    pull: float
    firmness: str


@dataclass(frozen=True, slots=True)
class StapleMap:
    """Every staple of one work.

    Attributes:
        face_width: Of the face. [mm]
        face_height: Of the face. [mm]
        staples: All of them: edge, holding, fold.
        runs: In order.
        spacing_level: Between staples on bottom and top. [mm]
        spacing_upright: Between staples on left and right. [mm]
        seat: How they sit in the bars.
    """

    face_width: float
    face_height: float
    staples: tuple[MappedStaple, ...]
    runs: tuple[Run, ...]
    spacing_level: float
    spacing_upright: float
    seat: Seat

    def count(self, use: StapleUse) -> int:
        """How many staples are for one use.

        Args:
            use: What for.

        Returns:
            The number.
        """
        return sum(staple.use is use for staple in self.staples)

    @property
    def driven(self) -> int:
        """Staples driven in all, those that come out again among them: what to buy, spoiled ones not counted."""
        return len(self.staples)

    def place(self, staple: MappedStaple) -> tuple[float, float]:
        """Where a staple's place along its side lies on the face's outline.

        Args:
            staple: One of the map.

        Returns:
            x and y from the face's lower left corner, seen from the front. [mm]
        """
        return {
            "bottom": (staple.along, 0.0),
            "top": (staple.along, self.face_height),
            "left": (0.0, staple.along),
            "right": (self.face_width, staple.along),
        }[staple.side]


def staple_map(
    *,
    face_width: float,
    face_height: float,
    depth: float,
    staple_line: float,
    run: int | None = None,
    widest: float | None = None,
    closest: float | None = None,
    last: float | None = None,
    lighter_within: float | None = None,
    pull_near_corners: float | None = None,
    clean: CleanSides = CleanSides.UPRIGHT,
    first_side: str | None = None,
    crown: float = 10.0,
    leg: float = 10.0,
    thickness: float | None = None,
    metal: Sequence[Body] = (),
    where: Where | None = None,
) -> StapleMap:
    """The staple map of one work, numbered in the order of driving.

    Middle of one side, middle of the opposite one, then the other pair; a holding staple at each corner; then outwards
    run by run, turning to the opposite side after each, a holding staple coming out as its run reaches it.

    Args:
        face_width: Of the face. [mm]
        face_height: Of the face. [mm]
        depth: Of the bars. [mm]
        staple_line: From the face edge to the staple row, along the cloth; beyond the depth it lies on the back. [mm]
        run: Staples in a run, 2 to 4; None for the usual three.
        widest: Widest spacing; None for what keeps the edge free of scallops; less where the load asks for it. [mm]
        closest: Closest spacing wished. [mm]
        last: From the corner to the last staple; None for what keeps a corner's staples apart. [mm]
        lighter_within: Nearer than this to a corner the pull is lighter. [mm]
        pull_near_corners: Share of the full pull there. [1]
        clean: The pair of sides without folds.
        first_side: Side to begin on; None for the longer one (bottom or left).
        crown: Width of a staple. [mm]
        leg: Length of its legs. [mm]
        thickness: Of the bars, seen from the front; None: wide enough. [mm]
        metal: Screws, bolts and dowels that no staple may meet.
        where: Place the wish was stated, for messages.

    Returns:
        Staples and runs.

    Raises:
        FaultsError: If the run or the first side is not one there is; all faults together.
        OutOfRangeError: If a side is too short.
    """
    in_run = int(habit("staples in a run").value) if run is None else run
    begin = first_side or ("bottom" if face_width >= face_height else "left")
    _refuse_wrong(in_run, begin, where or Where())
    wide = habit("spacing, widest").value if widest is None else widest
    # where the load asks for closer staples, the wish gives way
    close = min(habit("spacing, closest").value if closest is None else closest, 0.8 * wide)
    on_back = staple_line > depth
    wood = (2.0 * staple_line if thickness is None else thickness) if on_back else depth
    row = staple_line - depth if on_back else staple_line
    seat = line_clear(
        Seat(
            width=face_width,
            height=face_height,
            depth=depth,
            on_back=on_back,
            line=staple_line,
            crown=crown,
            leg=leg,
            slant=slant_for(row=min(row, wood - row), crown=crown),
        ),
        metal=metal,
    )
    from_corner = seat.last if last is None else last
    near = habit("lighter within").value if lighter_within is None else lighter_within
    share = habit("pull near corners").value if pull_near_corners is None else pull_near_corners

    lengths = {"bottom": face_width, "top": face_width, "left": face_height, "right": face_height}
    even = {
        side: side_places(length=lengths[side], widest=wide, closest=close, last=from_corner)
        for side in SIDES
    }
    places = {side: row_clear(seat, side, even[side], metal=metal) for side in SIDES}
    pair = (begin, _OPPOSITE[begin])
    other = ("left", "right") if begin in ("bottom", "top") else ("bottom", "top")
    sides = (*pair, *other)
    groups = {side: side_groups(places[side], in_run) for side in SIDES}

    book = _Book(lengths, seat.line, near, share, seat, metal, [], [])
    for side in sides:
        book.drive(side, groups[side].middle)
    spacing = {side: even[side][1] - even[side][0] for side in SIDES}
    holding = _holding(pair, places)
    # a side stapled in one go needs no holding
    if groups[begin].towards_start:
        for number, (side, along) in enumerate(holding, start=1):
            book.hold(f"H{number}", side, along)
    folded = frozenset(corner.folded_side for corner in corner_places(clean))
    for side, group in _outwards(groups, (pair, other), folded):
        book.drive(side, group)
    book.close_folds(clean, places)
    return StapleMap(
        face_width=face_width,
        face_height=face_height,
        staples=tuple(book.staples),
        runs=tuple(book.runs),
        spacing_level=spacing["bottom"],
        spacing_upright=spacing["left"],
        seat=seat,
    )


def _refuse_wrong(in_run: int, begin: str, where: Where) -> None:
    faults = []
    if not 2 <= in_run <= 4:
        what = f"A run of {in_run} staples is not how a hand works round."
        faults.append(Fault("run-length", what, "Take runs of two, three or four.", where))
    if begin not in SIDES:
        what = f"There is no side called “{begin}”."
        faults.append(Fault("unknown-side", what, f"Sides: {', '.join(SIDES)}.", where))
    if faults:
        raise FaultsError(faults)


def _holding(pair: tuple[str, str], places: dict[str, tuple[float, ...]]) -> Iterator[tuple[str, float]]:
    """One at each corner, on the first pair of sides, between two later staples so that no hole is used twice."""
    for side in pair:
        yield side, 0.5 * (places[side][0] + places[side][1])
    for side in pair[::-1]:
        yield side, 0.5 * (places[side][-1] + places[side][-2])


def _outwards(
    groups: dict[str, SideGroups], pairs: tuple[tuple[str, str], ...], folded: frozenset[str]
) -> Iterator[tuple[str, tuple[float, ...]]]:
    """Run by run outwards: towards one end on a side, then on its opposite, then the other end, then the other pair.

    The last runs of the sides that carry the folds wait until the clean sides are stapled up to their corners: only
    then can the corners be tucked.
    """
    after_tuck = []
    for ring in range(max(len(found.towards_start) for found in groups.values())):
        for sides in pairs:
            for end in ("towards_end", "towards_start"):
                for side in sides:
                    rings: tuple[tuple[float, ...], ...] = getattr(groups[side], end)
                    if ring == len(rings) - 1 and side in folded:
                        after_tuck.append((side, rings[ring]))
                    elif ring < len(rings):
                        yield side, rings[ring]
    yield from after_tuck


@dataclass(slots=True)
class _Book:
    """Staples and runs as they are written down."""

    lengths: dict[str, float]
    across: float
    near: float
    share: float
    seat: Seat
    metal: Sequence[Body]
    staples: list[MappedStaple]
    runs: list[Run]

    def drive(self, side: str, group: tuple[float, ...]) -> None:
        number = len(self.runs) + 1
        first = sum(staple.use is StapleUse.EDGE for staple in self.staples) + 1
        length = self.lengths[side]
        added = []
        for label, along in enumerate(group, start=first):
            # on a small work the corners would otherwise meet in the middle
            near = min(self.near, 0.25 * length)
            light = self.share if min(along, length - along) < near else _FIRM
            pull = light if self.runs else _NONE
            added.append(MappedStaple(str(label), StapleUse.EDGE, side, along, self.across, pull, number))
        low, high = min(group), max(group)
        out = [
            staple
            for staple in self.staples
            if staple.use is StapleUse.HOLDING
            and staple.side == side
            and not any(staple.label in run.takes_out for run in self.runs)
            # the run reaches a holding staple when it is about to pass it on the way to the corner
            and (
                (staple.along > 0.5 * length and high > staple.along)
                or (staple.along < 0.5 * length and low < staple.along)
            )
        ]
        pull = min(staple.pull for staple in added)
        self.staples.extend(added)
        self.runs.append(
            Run(
                number=number,
                side=side,
                puts_in=tuple(staple.label for staple in added),
                takes_out=tuple(staple.label for staple in out),
                pull=pull,
                firmness=_firmness(pull),
            )
        )

    def hold(self, label: str, side: str, along: float) -> None:
        number = len(self.runs) + 1
        near = [self.seat.body(s.side, s.along) for s in self.staples if s.side == side]
        along = moved_clear(self.seat, side, along, metal=self.metal, within=9.0, others=near)
        staple = MappedStaple(label, StapleUse.HOLDING, side, along, self.across, self.share, number)
        self.staples.append(staple)
        self.runs.append(Run(number, side, (label,), (), self.share, "only snug, it comes out again"))

    def standing(self) -> list[Body]:
        """The staples that stand when folds are closed."""
        return [
            self.seat.body(s.side, s.along, s.across) for s in self.staples if s.use is not StapleUse.HOLDING
        ]

    def close_folds(self, clean: CleanSides, places: dict[str, tuple[float, ...]]) -> None:
        """Where the row lies on the back, the fold is closed there; on a side, down the fold."""
        number = 0
        for corner in corner_places(clean):
            side = corner.folded_side
            at_end = (side in ("bottom", "top") and "right" in corner.name) or (
                side in ("left", "right") and "upper" in corner.name
            )
            row = places[side][::-1] if at_end else places[side]
            labels = []
            standing = self.standing()
            for along, across in self._fold_places(row, self.lengths[side] if at_end else 0.0):
                place = fold_clear(self.seat, side, along, across, metal=self.metal, others=standing)
                if place is None:
                    continue
                number += 1
                labels.append(f"F{number}")
                run = len(self.runs) + 1
                self.staples.append(
                    MappedStaple(labels[-1], StapleUse.FOLD, side, place[0], place[1], 0.0, run)
                )
                standing.append(self.seat.body(side, *place))
            if not labels:
                continue
            self.runs.append(
                Run(len(self.runs) + 1, side, tuple(labels), (), 0.0, "no pull, the fold pressed flat")
            )

    def _fold_places(self, row: Sequence[float], corner: float) -> list[tuple[float, float]]:
        """Along and across: two between the last staples of the row, or a few down the side beside the corner."""
        if self.seat.on_back:
            first, second = row[0], row[1]
            return [(first + (second - first) * part / 3, self.across) for part in (1, 2)]
        edge, step = habit("staple to edge of bar").value, habit("down the fold").value
        count = max(1, floor((self.seat.depth - 2.0 * edge) / step + 1e-9) + 1)
        start = 0.5 * (self.seat.depth - (count - 1) * step)
        beside = max(0.5 * abs(row[0] - corner), edge + 0.5 * self.seat.crown * cos(self.seat.slant))
        along = corner - beside if corner else beside
        return [(along, start + index * step) for index in range(count)]


def _firmness(pull: float) -> str:
    if pull == _NONE:
        return "only laid in smooth, nothing pulls against it yet"
    return "firm" if pull >= _FIRM else _share_in_words(pull)


def _share_in_words(share: float) -> str:
    known = ((0.75, "three quarters"), (2 / 3, "two thirds"), (0.5, "half"), (1 / 3, "a third"))
    nearest = min(known, key=lambda pair: abs(pair[0] - share))
    return f"about {nearest[1]} of the firm pull"
