"""An order being written down, group of staples by group, and what all orders share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from longpoint.stretching.rehearsal.edge import Side
from longpoint.stretching.rehearsal.orders import Order, OrderRun, Place, check_order
from longpoint.stretching.staple_places import side_groups
from longpoint.tables import habit

End = Literal["low", "high"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lightness:
    """How the pull eases towards the corners.

    Attributes:
        within: Nearer than this to a corner the pull is lighter; 0 for an even pull. [mm]
        share: Share of the full pull there.
    """

    within: float
    share: float


def usual_lightness() -> Lightness:
    """The habit: two thirds of the pull within 150 mm of a corner; sources stand in the table of habits."""
    return Lightness(within=habit("lighter within").value, share=habit("pull near corners").value)


EVEN = Lightness(within=0.0, share=1.0)


@dataclass(frozen=True, slots=True)
class Halves:
    """A side as its middle run and the runs towards either end, from the middle out.

    Attributes:
        middle: The middle run, nearest to the middle first.
        low: Runs towards the left or lower end.
        high: Runs towards the right or upper end.
    """

    middle: Sequence[Place]
    low: Sequence[Sequence[Place]]
    high: Sequence[Sequence[Place]]

    @classmethod
    def of(cls, row: Sequence[Place], run: int) -> Halves:
        """A side's places, rising, in runs of about ``run``."""
        at = {place.along: place for place in row}
        groups = side_groups(tuple(at), run)
        return cls(
            [at[along] for along in groups.middle],
            [[at[along] for along in group] for group in groups.towards_start],
            [[at[along] for along in group] for group in groups.towards_end],
        )


def outwards(halves: Mapping[Side, Halves], turns: Sequence[tuple[Side, End]]) -> Iterator[Sequence[Place]]:
    """Runs from the middles out: one of every side and end in turn, then the next ones.

    Args:
        halves: Sides in runs.
        turns: Side and end, in the order of turning.

    Yields:
        The runs.
    """
    rows = [halves[side].low if end == "low" else halves[side].high for side, end in turns]
    for ring in range(max((len(row) for row in rows), default=0)):
        yield from (row[ring] for row in rows if ring < len(row))


@dataclass(slots=True)
class Draft:
    """An order being written down.

    Attributes:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: By name.
        light: How the pull eases towards the corners.
        runs: So far.
        holding: Holding staples that are in.
    """

    width: float
    height: float
    places: dict[str, Place]
    light: Lightness
    runs: list[OrderRun] = field(default_factory=list)
    holding: list[Place] = field(default_factory=list)

    @classmethod
    def of(cls, width: float, height: float, places: Iterable[Place], light: Lightness | None) -> Draft:
        """An order not begun; the usual lightness where None."""
        return cls(width, height, {p.name: p for p in places}, usual_lightness() if light is None else light)

    @property
    def pairs(self) -> tuple[tuple[Side, Side], tuple[Side, Side]]:
        """Pairs of opposite sides, the longer ones first."""
        level: tuple[Side, Side] = ("bottom", "top")
        upright: tuple[Side, Side] = ("left", "right")
        return (level, upright) if self.width >= self.height else (upright, level)

    def on(self, side: Side) -> list[Place]:
        """Places of a side where staples stay, rising."""
        return sorted(
            (p for p in self.places.values() if p.side == side and not p.holding), key=lambda p: p.along
        )

    def left_on(self, side: Side) -> list[Place]:
        """Those of them that no run has driven yet."""
        driven = {name for run in self.runs for name in run.puts_in}
        return [place for place in self.on(side) if place.name not in driven]

    def length(self, side: Side) -> float:
        """Of a side. [mm]"""
        return self.width if side in ("bottom", "top") else self.height

    def drive(self, group: Sequence[Place], *, share: float | None = None) -> None:
        """Adds a run; holding staples that it reaches come out first.

        Args:
            group: Places on one side, in the order they are driven; nothing is added for none.
            share: Share of the full pull; None for the usual one, and for none in the very first run.
        """
        if not group:
            return
        side = group[0].side
        low, high, middle = min(p.along for p in group), max(p.along for p in group), 0.5 * self.length(side)
        reached = [
            p
            for p in self.holding
            if p.side == side and (high > p.along if p.along > middle else low < p.along)
        ]
        self.holding = [p for p in self.holding if p not in reached]
        shares = tuple(self._share(p) if share is None else share for p in group)
        if not self.runs:
            shares = (0.0,) * len(group)  # there is nothing yet to pull against
        self.runs.append(OrderRun(side, tuple(p.name for p in group), shares, tuple(p.name for p in reached)))

    def drive_all(self, groups: Iterable[Sequence[Place]]) -> None:
        """Adds one run after another."""
        for group in groups:
            self.drive(group)

    def hold_corners(self, each: int, share: float | None) -> None:
        """Holding staples at every corner, between two later ones, on opposite corners by turns.

        Args:
            each: At each corner: none, one on bottom or top, or one on each side of it.
            share: Share of the full pull; None for that near corners.
        """
        corners: tuple[tuple[Side, Side, bool, bool], ...] = (
            ("bottom", "left", True, True),
            ("top", "right", False, False),
            ("bottom", "right", False, True),
            ("top", "left", True, False),
        )
        for level, upright, left, lower in corners:
            for side, at_low in ((level, left), (upright, lower))[:each]:
                row = self.on(side)
                pair = row[:2] if at_low else row[-2:]
                name = f"hold {sum(p.holding for p in self.places.values()) + 1}"
                place = Place(name, side, sum(p.along for p in pair) / len(pair))
                self.places[place.name] = place
                self.holding.append(place)
                pull = self.light.share if share is None else share
                self.runs.append(OrderRun(side, (place.name,), (pull,)))

    def order(self, name: str, about: str) -> Order:
        """The order as it stands, checked."""
        made = Order(name, about, self.width, self.height, tuple(self.places.values()), tuple(self.runs))
        check_order(made)
        return made

    def _share(self, place: Place) -> float:
        near = min(self.light.within, 0.25 * self.length(place.side))
        from_corner = min(place.along, self.length(place.side) - place.along)
        return self.light.share if from_corner < near else 1.0
