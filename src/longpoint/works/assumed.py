"""What the program settled because nothing was stated: said of every work, so that no default passes for a wish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.errors import Caution
from longpoint.model.shop import USUAL_SAW
from longpoint.model.works import BarsWish, InsideWish
from longpoint.works.brief import Brief
from longpoint.works.designed import Designed
from longpoint.works.stock import Section

DESIGN_ASSUMED = "design-assumed"
"""Code of the caution that names what was not stated."""

OTHER_DEPTH = "other-depth"
"""Code of the caution that a stated depth is not on sale."""

OTHER_BARS, OTHER_STAND, OTHER_RAILS = "other-bars", "other-stand", "other-rails"
"""Codes of the cautions that a stated thickness is not on sale, that bars stand on edge where the file says flat, and
that rails are of other timber than stated."""


@dataclass(frozen=True, slots=True)
class AssumedDesign:
    """What of a design nobody stated.

    Attributes:
        lengths: Each with its name.
        corner: The joint at the corners; "" where it is stated.
        rails: Thickness and depth of the rails; None where they are stated or there are none. [mm]
        drop: How far rails lie in from the back edge; None likewise. [mm]
    """

    lengths: tuple[tuple[str, Fraction], ...]
    corner: str
    rails: tuple[Fraction, Fraction] | None = None
    drop: Fraction | None = None


@dataclass(frozen=True, slots=True)
class OtherDepth:
    """Bars of another depth than stated.

    Attributes:
        stated: The depth that is not on sale.
        depth: The depth planned with.
    """

    stated: Fraction
    depth: Fraction


@dataclass(frozen=True, slots=True)
class Otherwise:
    """Timber of another section, or the other way up, than stated.

    Attributes:
        what: The code of the caution.
        thickness: Of the section planned with. [mm]
        depth: Its depth. [mm]
    """

    what: str
    thickness: Fraction
    depth: Fraction


def assumed_cautions(briefs: Sequence[Brief], designs: Sequence[Designed]) -> tuple[Caution, ...]:
    """One caution for each work of which something was settled without a wish.

    Args:
        briefs: What each work started from.
        designs: The designs of its works, in their order.
    """
    found = []
    for brief, designed in zip(briefs, designs, strict=True):
        wish, inside, name = brief.bars, brief.inside, brief.work.name
        assumed = _assumed(wish.model_fields_set, inside.model_fields_set, designed)
        if assumed != AssumedDesign((), ""):
            found.append(Caution(DESIGN_ASSUMED, about=name, of=assumed))
        changed = designed.is_changed  # then that is said, with why
        others = [] if changed else [*_other_bars(wish, designed.bars), *_other_rails(inside, designed.rails)]
        found += [
            Caution(OTHER_DEPTH if isinstance(of, OtherDepth) else of.what, about=name, of=of)
            for of in others
        ]
    found += [
        caution for brief, designed in zip(briefs, designs, strict=True) for caution in _saw(brief, designed)
    ]
    return tuple(found)


def _other_bars(wish: BarsWish, bars: Section) -> list[Otherwise | OtherDepth]:
    found: list[Otherwise | OtherDepth] = []
    if wish.thickness not in ("auto", bars.thickness):
        found.append(Otherwise(OTHER_BARS, bars.thickness, bars.depth))
    elif wish.depth != "auto" and wish.depth != bars.depth:
        found.append(OtherDepth(wish.depth, bars.depth))
    if wish.stand == "flat" and wish.thickness == "auto" and bars.thickness < bars.depth:
        found.append(Otherwise(OTHER_STAND, bars.thickness, bars.depth))
    return found


def _other_rails(wish: InsideWish, rails: Section | None) -> list[Otherwise]:
    if rails is None:
        return []
    sides = (wish.thickness, rails.thickness), (wish.depth, rails.depth)
    other_timber = wish.timber != "auto" and wish.timber not in rails.timbers
    if not other_timber and all(stated in ("auto", own) for stated, own in sides):
        return []
    return [Otherwise(OTHER_RAILS, rails.thickness, rails.depth)]


def _saw(brief: Brief, designed: Designed) -> list[Caution]:
    """What the saw must do where the batch says nothing of it and it is more than usual saws do."""
    saw, design = brief.shop.saw, designed.design
    asked = [
        f"{brief.style.show(side)} {word}"
        for side, limit, word in (
            (design.bar_depth, saw.height_at_45, "high"),
            (design.bar_thickness, saw.width_at_45, "wide"),
        )
        if limit is None and side > USUAL_SAW
    ]
    if not asked:
        return []
    return [Caution("saw-assumed", about=brief.work.name, facts=(("sizes", " / ".join(asked)),))]


def _assumed(said: set[str], said_inside: set[str], designed: Designed) -> AssumedDesign:
    """What of bars and rails is not among the keys that are said."""
    design, rails = designed.design, designed.rails
    sides = ("depth", design.bar_depth), ("thickness", design.bar_thickness)
    return AssumedDesign(
        tuple((name, length) for name, length in sides if name not in said),
        "" if "corner" in said else design.corner,
        None if rails is None or said_inside & _RAIL_KEYS else (rails.thickness, rails.depth),
        None if rails is None or "drop" in said_inside else design.drop,
    )


_RAIL_KEYS = frozenset({"thickness", "depth", "timber"})
