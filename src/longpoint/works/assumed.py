"""What the program settled because nothing was stated: said of every work, so that no default passes for a wish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.errors import Caution
from longpoint.model.batch import Batch
from longpoint.model.shop import USUAL_SAW
from longpoint.works.designed import Designed

DESIGN_ASSUMED = "design-assumed"
"""Code of the caution that names what was not stated."""

OTHER_DEPTH = "other-depth"
"""Code of the caution that a stated depth is not on sale."""


@dataclass(frozen=True, slots=True)
class AssumedDesign:
    """What of a design nobody stated.

    Attributes:
        lengths: Each with its name.
        corner: The joint at the corners; "" where it is stated.
    """

    lengths: tuple[tuple[str, Fraction], ...]
    corner: str


@dataclass(frozen=True, slots=True)
class OtherDepth:
    """Bars of another depth than stated.

    Attributes:
        stated: The depth that is not on sale.
        depth: The depth planned with.
    """

    stated: Fraction
    depth: Fraction


def assumed_cautions(batch: Batch, designs: Sequence[Designed]) -> tuple[Caution, ...]:
    """One caution for each work of which something was settled without a wish.

    Args:
        batch: What is stated.
        designs: The designs of its works, in their order.
    """
    found = []
    for work, designed in zip(batch.work, designs, strict=True):
        wish = batch.bars_of(work)
        assumed = _assumed(wish.model_fields_set, designed)
        if assumed.lengths or assumed.corner:
            found.append(Caution(DESIGN_ASSUMED, about=work.name, of=assumed))
        if wish.depth != "auto" and wish.depth != designed.bars.depth:
            found.append(
                Caution(OTHER_DEPTH, about=work.name, of=OtherDepth(wish.depth, designed.bars.depth))
            )
    found += [
        caution
        for work, designed in zip(batch.work, designs, strict=True)
        for caution in _saw(batch, work.name, designed)
    ]
    return tuple(found)


def _saw(batch: Batch, name: str, designed: Designed) -> list[Caution]:
    """What the saw must do where the batch says nothing of it and it is more than usual saws do."""
    saw, design = batch.shop.saw, designed.design
    asked = [
        f"{batch.style.show(side)} {word}"
        for side, limit, word in (
            (design.bar_depth, saw.height_at_45, "high"),
            (design.bar_thickness, saw.width_at_45, "wide"),
        )
        if limit is None and side > USUAL_SAW
    ]
    if not asked:
        return []
    return [Caution("saw-assumed", about=name, facts=(("sizes", " / ".join(asked)),))]


def _assumed(said: set[str], designed: Designed) -> AssumedDesign:
    """What of the bars is not among the keys that are said."""
    design = designed.design
    sides = ("depth", design.bar_depth), ("thickness", design.bar_thickness)
    return AssumedDesign(
        tuple((name, length) for name, length in sides if name not in said),
        "" if "corner" in said else design.corner,
    )
