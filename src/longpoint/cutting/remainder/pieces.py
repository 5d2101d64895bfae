"""Pieces that are no good and lengths measured on the frame, counted among the pieces of a section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.cutting.boards.faults import nearest_word
from longpoint.cutting.remainder.bench import Pieces
from longpoint.cutting.remainder.events import MeasuredPart, SpoiledPart
from longpoint.errors import Fault, Where

FURTHEST_OFF = 100_000_000
"""A measure further from the plan than this is a slip of the pencil or another bay. [nm] Estimate."""


def spoiled_pieces(
    pieces: Sequence[Pieces], events: Sequence[SpoiledPart], faults: list[Fault]
) -> list[Pieces]:
    """The pieces with those that are no good wanted once more.

    Args:
        pieces: All pieces, with what has been cut.
        events: What is no good.
        faults: What contradicts the plan is added.
    """
    named = {one.name: one for one in pieces}
    for event in events:
        one = named.get(event.part)
        if one is None:
            faults.append(no_such_part(event.part, list(named), event.key))
        elif event.how_many > one.made:
            others = [other for other in named.values() if other.mark == one.mark and other.made > 0]
            what = f"{event.how_many} of {event.part} are said to be spoiled; {one.made} are cut."
            remedy = (
                "Say under [[cut]] what has been cut; wood spoiled before it was cut stands under [[split]]."
            )
            if others:
                remedy = f"Cut are: {', '.join(f'{other.made} of {other.name}' for other in others)}."
            faults.append(Fault("spoiled-not-cut", what, remedy, Where(event.key)))
        else:
            named[event.part] = replace(one, left=one.left + event.how_many, made=one.made - event.how_many)
    return list(named.values())


def no_such_part(name: str, parts: Sequence[str], key: str) -> Fault:
    """A part that the plan does not have."""
    near = nearest_word(name, list(parts))
    remedy = (
        f"Did you mean {near}?" if near else "Use the mark of a part in the plan, such as " + parts[0] + "."
    )
    return Fault("no-such-part", f"the plan has no part {name}.", remedy, Where(key))


def measured_pieces(
    pieces: Sequence[Pieces], events: Sequence[MeasuredPart], faults: list[Fault]
) -> list[Pieces]:
    """The pieces with those that were measured as pieces of their own, cut to what was measured.

    Args:
        pieces: All pieces.
        events: What was measured.
        faults: What contradicts the plan is added.
    """
    named = {one.name: one for one in pieces}
    left = {one.name: one.left for one in pieces}
    lengths: dict[str, dict[int, int]] = {}
    for event in events:
        one = named.get(event.part)
        if one is None:
            faults.append(no_such_part(event.part, list(named), event.key))
            continue
        count = left[event.part] if event.how_many is None else event.how_many
        if one.part.round == 1:
            what = f"{event.part} is a bar: its length is the face of the work, not measured on the frame."
            faults.append(Fault("bar-measured", what, "Measure rails and middle pieces.", Where(event.key)))
        elif not 0 < count <= left[event.part]:
            others = [other for other in pieces if other.mark == one.mark and other.left and other is not one]
            what = f"{event.part}: a measure for {max(count, 1)} is given, {left[event.part]} are still to be cut."
            remedy = "A piece that is cut and does not fit is [[spoiled]]; give how_many for some of them."
            if others:
                still = ", ".join(f"{other.left} of {other.name}" for other in others)
                remedy = f"Still to be cut: {still}."
            faults.append(Fault("measured-too-many", what, remedy, Where(event.key)))
        elif abs(event.length - one.part.length) > FURTHEST_OFF:
            what = (
                f"{event.part} is planned {one.part.length / 1e6:.10g} mm long and said to measure "
                f"{event.length / 1e6:.10g} mm."
            )
            remedy = "Measure again; if the frame was changed so much, plan the batch again."
            faults.append(Fault("measured-far-off", what, remedy, Where(event.key)))
        else:
            left[event.part] -= count
            mine = lengths.setdefault(event.part, {})
            mine[event.length] = mine.get(event.length, 0) + count
    return _apart(pieces, left, lengths)


def _apart(
    pieces: Sequence[Pieces], left: dict[str, int], lengths: dict[str, dict[int, int]]
) -> list[Pieces]:
    """Measured pieces before the others of their mark; those of one length together."""
    found: dict[str, Pieces] = {}
    for one in pieces:
        renamed = False
        for length, count in lengths.get(one.name, {}).items():
            whole = count == one.left and one.name == one.mark
            renamed |= whole
            name = one.name if whole else f"{one.mark} at {length / 1e6:.10g}"
            part = replace(one.part, name=name, length=length, extra=0)
            so_far = found.get(name, Pieces(part, one.mark, 0, one.made if whole else 0))
            found[name] = replace(so_far, part=part, left=so_far.left + count, measured=True)
        if renamed:
            continue
        same = found.get(one.name)
        rest = replace(one, left=left[one.name])
        found[one.name] = (
            rest if same is None else replace(same, left=same.left + rest.left, made=same.made + rest.made)
        )
    return list(found.values())
