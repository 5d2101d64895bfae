"""Changes to a design that might meet a limit it misses, the cheapest first: one at a time, then two together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import combinations
from typing import Literal

from longpoint.choosing.candidates import Buildable, price_of
from longpoint.choosing.designs import faults_of, with_inside, with_joins
from longpoint.frame.design import FrameDesign, Side, even_rails, strings_of
from longpoint.works.brief import Brief
from longpoint.works.stock import Section, Stock

USUAL_THICKNESSES = (21, 28, 34, 45, 58, 70)
"""Thicknesses that yards usually have, for what is not on sale here. [mm] Common practice, no published source."""

USUAL_DEPTHS = (34, 44, 58, 70, 94)
"""Depths that yards usually have, for what is not on sale here. [mm] Common practice, no published source."""

MORE_FALL = (Fraction(2), Fraction(4))
"""How much lower the bevel's inner edge is tried. [mm] Estimate: a few more strokes of the plane."""

LESS_DROP = Fraction(2)
"""How much nearer to the wall rails are tried. [mm] Estimate."""


@dataclass(frozen=True, slots=True)
class Change:
    """A change to a design.

    Attributes:
        what: Short stable names of what is changed.
        option: The changed design.
        on_sale: Whether its timber is on sale here.
        numbers: What its sentence needs.
    """

    what: tuple[str, ...]
    option: Buildable
    on_sale: bool
    numbers: tuple[tuple[str, float], ...] = ()


Step = Callable[[Change], Change | None]


def neighbours_of(
    brief: Brief, base: Buildable, *, missed: frozenset[str] = frozenset()
) -> tuple[Change, ...]:
    """Designs one or two changes away, whatever the batch file fixes; what a person could do, priced.

    Args:
        brief: The work.
        base: The design.
        missed: Keys of the verdicts that miss their limit: canvas that touches asks for changes of its own.

    Returns:
        Changes that can be built, the cheapest first; those with timber that is not on sale last.
    """
    steps: list[Step] = [
        lambda c: _more_rails(brief, c, 1),
        lambda c: _middle(brief, c),
        lambda c: _ends(brief, c, "short sides"),
        lambda c: _ends(brief, c, brief.work.strings),
        lambda c: _thicker(brief, c),
        lambda c: _more_rails(brief, c, 2),
        lambda c: _more_rails(brief, c, 3),
        lambda c: _deeper(brief, c),
    ]
    if "touch-bar" in missed:
        steps += [partial(_lower_edge, more=more) for more in MORE_FALL]
    if "touch-rail" in missed:
        steps.append(_further_back)
    start = Change((), base, on_sale=True)
    found: dict[FrameDesign, Change] = {}
    for chain in (*((step,) for step in steps), *combinations(steps[:5], 2)):
        change: Change | None = start
        for step in chain:
            change = step(change) if change is not None else None
        if change is None or change.option.design in found or change.option.design == base.design:
            continue
        if not faults_of(brief, change.option.design):
            found[change.option.design] = change
    return tuple(
        sorted(
            found.values(),
            key=lambda c: (not c.on_sale, len(c.what), price_of(brief, c.option).measure, c.what, c.numbers),
        )
    )


def _with_rails(brief: Brief, option: Buildable, design: FrameDesign) -> Buildable | None:
    """The design with timber for rails, which it may need for the first time."""
    if option.rails is not None:
        return Buildable(with_joins(brief, design, bars=option.bars), option.bars, option.rails)
    choices = brief.rails_in(option.bars)
    if not choices:
        return None
    rails = choices[0]
    thick = replace(design, rail_thickness=rails.real_thickness, rail_depth=rails.real_depth)
    evened = replace(thick, cross_rails=even_rails(len(design.cross_rails), design=thick))
    return Buildable(with_joins(brief, evened, bars=option.bars), option.bars, rails)


def _changed(change: Change, word: str, option: Buildable | None) -> Change | None:
    if option is None:
        return None
    return Change((*change.what, word), option, change.on_sale, change.numbers)


def _more_rails(brief: Brief, change: Change, count: int) -> Change | None:
    design = change.option.design
    if design.seam is not None and count % 2:
        return None  # both halves stay alike
    more = replace(design, cross_rails=even_rails(len(design.cross_rails) + count, design=design))
    word = "cross-rail" if count == 1 else f"cross-rail-{count}"
    return _changed(change, word, _with_rails(brief, change.option, more))


def _middle(brief: Brief, change: Change) -> Change | None:
    design = change.option.design
    if design.middle_pieces:
        return None
    return _changed(
        change,
        "middle-pieces",
        _with_rails(brief, change.option, replace(design, middle_pieces=True)),
    )


def _ends(brief: Brief, change: Change, word: str) -> Change | None:
    design = change.option.design
    sides = strings_of(word, width=brief.work.width, height=brief.work.height)
    if set(sides) <= set(design.end_rails):
        return None
    every: tuple[Side, ...] = tuple(
        side for side in ("left", "right", "bottom", "top") if side in (*design.end_rails, *sides)
    )
    moved = with_inside(design, brief, sides=every, bars=change.option.bars)
    return _changed(change, f"end-rails:{'+'.join(sides)}", _with_rails(brief, change.option, moved))


def _lower_edge(change: Change, *, more: Fraction) -> Change | None:
    """The bevel falls further: the inner edge of the bars lies further from the canvas."""
    design = change.option.design
    moved = replace(design, bevel_fall=design.bevel_fall + more)
    numbers = (*change.numbers, ("fall", float(moved.bevel_fall)))
    return Change((*change.what, "bevel"), replace(change.option, design=moved), change.on_sale, numbers)


def _further_back(change: Change) -> Change | None:
    """Rails nearer to the wall."""
    design = change.option.design
    if not design.has_rails or design.drop < LESS_DROP:
        return None
    moved = replace(design, drop=design.drop - LESS_DROP)
    numbers = (*change.numbers, ("drop", float(moved.drop)))
    return Change((*change.what, "drop"), replace(change.option, design=moved), change.on_sale, numbers)


def _deeper(brief: Brief, change: Change) -> Change | None:
    """Bars of the next depth; the rails stay."""
    found = _next_section(brief.stock, change.option.bars, "depth", USUAL_DEPTHS)
    if found is None:
        return None
    section, here = found
    moved = replace(change.option.design, bar_depth=section.real_depth)
    return _of_section(brief, change, moved, found, "deeper-bars" if here else "deeper-not-on-sale")


def _thicker(brief: Brief, change: Change) -> Change | None:
    """Bars of the next thickness; even rails are spaced anew between them."""
    found = _next_section(brief.stock, change.option.bars, "thickness", USUAL_THICKNESSES)
    if found is None:
        return None
    section, here = found
    design = change.option.design
    moved = replace(design, bar_thickness=section.real_thickness)
    if not isinstance(brief.inside.cross_rails, tuple):
        moved = replace(moved, cross_rails=even_rails(len(design.cross_rails), design=moved))
    return _of_section(brief, change, moved, found, "thicker-bars" if here else "thicker-not-on-sale")


def _next_section(
    stock: Stock, bars: Section, grows: Literal["thickness", "depth"], usual: tuple[int, ...]
) -> tuple[Section, bool] | None:
    """The next larger section for bars, the other side staying, and whether it is on sale here."""

    def size(section: Section) -> Fraction:
        return section.thickness if grows == "thickness" else section.depth

    def other(section: Section) -> Fraction:
        return section.depth if grows == "thickness" else section.thickness

    here = [s for s in stock.sections("bars") if other(s) == other(bars) and size(s) > size(bars)]
    if here:
        return min(here, key=size), True
    larger = next((Fraction(value) for value in usual if value > size(bars)), None)
    if larger is None:
        return None
    sides = {"thickness": bars.thickness, "depth": bars.depth} | {grows: larger}
    return replace(stock.assumed(**sides), wood=bars.wood), False


def _of_section(
    brief: Brief,
    change: Change,
    design: FrameDesign,
    found: tuple[Section, bool],
    word: str,
) -> Change:
    section, here = found
    option = Buildable(with_joins(brief, design, bars=section), section, change.option.rails)
    size = (
        ("depth", float(section.real_depth))
        if "deeper" in word
        else ("thickness", float(section.real_thickness))
    )
    return Change((*change.what, word), option, change.on_sale and here, (*change.numbers, size))
