"""What the program settled because nothing was stated: said of every work, so that no default passes for a wish."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.voice import Voice, voice_of
from longpoint.errors import Caution
from longpoint.jobs.planned import PlannedWork
from longpoint.model.batch import Batch
from longpoint.model.shop import USUAL_SAW

DESIGN_ASSUMED = "design-assumed"
"""Code of the caution; its sentence is made in the batch's language, with its figures."""


OTHER_DEPTH = "other-depth"
"""Code of the caution that a stated depth is not on sale; its sentence is made in the batch's language."""


def assumed_cautions(batch: Batch, works: Sequence[PlannedWork]) -> tuple[Caution, ...]:
    """One caution for each work of which something was settled without a wish.

    Args:
        batch: What is stated.
        works: The works as planned, in the order of the batch.
    """
    say = voice_of(batch.language, batch.style)
    found = []
    for stated, planned in zip(batch.work, works, strict=True):
        settled = _settled(batch.bars_of(stated).model_fields_set, planned, say)
        if settled:
            found.append(
                Caution(DESIGN_ASSUMED, say("assumed.design", what=", ".join(settled)), planned.name)
            )
        wish, bars = batch.bars_of(stated), planned.designed.bars
        if wish.depth != "auto" and wish.depth != bars.depth:
            words = say(
                "assumed.other-depth",
                stated=say.fine(wish.depth, unit=True),
                depth=say.fine(bars.depth, unit=True),
            )
            found.append(Caution(OTHER_DEPTH, words, planned.name))
    found += [caution for planned in works for caution in _saw(batch, planned)]
    return tuple(found)


def _saw(batch: Batch, planned: PlannedWork) -> list[Caution]:
    """What the saw must do where the batch says nothing of it and it is more than usual saws do."""
    saw, design = batch.shop.saw, planned.designed.design
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
    return [
        Caution(
            "saw-assumed",
            f"the saw must mitre timber {' and '.join(asked)}, more than a usual one does: it is assumed to, since "
            "shop.saw says nothing. Try it in waste first.",
            planned.name,
        )
    ]


def _settled(said: set[str], planned: PlannedWork, say: Voice) -> list[str]:
    """What of the bars is not among the keys that are said."""
    design = planned.designed.design
    found = []
    if "depth" not in said:
        found.append(say("assumed.depth", length=say.fine(design.bar_depth, unit=True)))
    if "thickness" not in said:
        found.append(say("assumed.thickness", length=say.fine(design.bar_thickness, unit=True)))
    if "corner" not in said:
        found.append(say(f"assumed.{design.corner.replace(' ', '-')}"))
    return found
