"""A rod for every part: all its marks on one line, from one reference end.

The strip is laid out as the part lies in front of you, reference end to the left and the outer side, with the
long points, away from you. Lengths are to scale, thickness is not; the angle of a mitred end is written. A cross
stands on the side of each pencil line where timber goes (common practice, no published source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from longpoint.drawing.paper.dimensions import Station, linear, running
from longpoint.drawing.paper.extent import box_of_all
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.lettering import fitted, width_of
from longpoint.drawing.paper.marks import Circle, Layer, Line, Mark, Pen, Polygon, Polyline, Text, rectangle
from longpoint.drawing.paper.projection import WOOD
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.members import kind_of, kind_words, members_words
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Part
from longpoint.frame.parts import JOINED
from longpoint.joinery import HoleMark

STRIP = 12.0
"""Height of the strip on paper; the wood's own thickness is not to scale [mm]."""

FACES = ("outer side", "inner side", "low side", "high side")
"""Sides whose holes are marked before building; holes in ends and backs are bored on the frame."""

_FIGURE = 3.2
_NAME = 5.0


def rod_view(
    part: Part,
    *,
    say: Voice,
    width: float,
    members: Sequence[str] = (),
    holes: Sequence[HoleMark] = (),
    joins: Sequence[tuple[Fraction, Fraction]] = (),
) -> View:
    """The rod of one part.

    Args:
        part: The part.
        say: How the sheet speaks.
        width: Room on paper. [mm]
        members: The members this rod is for, where not all of the part's are bored alike; all if not given.
        holes: Holes to be marked before building, of one of the members.
        joins: Where joins reach from and to, from the reference end, on a bar that is joined in length. [mm]
    """
    scale = (width - 8.0) / float(part.long_point)
    marks: list[Mark] = _head(part, say, width - 8.0, members or part.members)
    marks += _body(part, scale)
    marks += _joins(joins, scale, say)
    marks += _own_join(part, scale)
    marks += _lengths(part, scale, say)
    marks += _pencil_lines(part, scale)
    marks += _figures(part, scale, say)
    marks += _end_words(part, scale, say, marks)
    for face in FACES:
        on_face = [hole for hole in holes if hole.face == face]
        if on_face:
            marks += _hole_strip(part, on_face, face, scale, say, below=box_of_all(marks).foot - 7.0)
    return view_of(f"rod-{part.mark}", marks, scale=scale)


def bored_alike(
    part: Part, holes: Mapping[str, Sequence[HoleMark]]
) -> tuple[tuple[tuple[str, ...], tuple[HoleMark, ...]], ...]:
    """The members of a part in groups that are bored alike: (members, holes of one of them).

    Args:
        part: The part.
        holes: Holes by member.
    """
    groups: dict[object, tuple[list[str], tuple[HoleMark, ...]]] = {}
    for name in part.members:
        own = tuple(
            hole
            for hole in holes.get(name, ())
            if hole.purpose in ("clearance hole", "bolt hole") and hole.face in FACES
        )
        key = tuple(sorted((hole.face, hole.at, hole.from_back, hole.diameter) for hole in own))
        groups.setdefault(key, ([], own))[0].append(name)
    return tuple((tuple(names), own) for names, own in groups.values())


def _hole_strip(
    part: Part, holes: Sequence[HoleMark], face: str, scale: float, say: Voice, *, below: float
) -> list[Mark]:
    """One side of the part, seen square: every hole from the reference end and from the back edge."""
    end = float(part.long_point) * scale
    high = 9.0
    foot = below - high
    sizes: dict[Fraction, set[Fraction]] = {}
    for hole in holes:
        sizes.setdefault(hole.diameter, set()).add(hole.from_back)
    kinds = "; ".join(
        say(
            "rod.hole",
            diameter=say.fine(diameter),
            back=say("design.sides-and").join(say.fine(back) for back in sorted(backs)),
        )
        for diameter, backs in sizes.items()
    )
    words = fitted(
        say("rod.holes", side=say(f"face.{face.replace(' ', '-')}"), kinds=kinds), width=end, height=2.7
    )
    marks: list[Mark] = [
        rectangle((0.0, foot), (end, below), layer=Layer.EDGE, fill=1.0),
        Line((0.0, foot), (end, foot), Layer.OUTLINE),  # the back edge
        Line((-1.8, foot), (-1.8, below), Layer.DIMENSION, Pen(1.4)),
        Text((0.0, below + 1.4), words, 2.7),
    ]
    for hole in holes:
        at = (float(hole.at) * scale, foot + high * float(hole.from_back / part.depth))
        marks.append(Circle(at, 0.8, Layer.SCREW, fill=1.0))
    stations = [
        Station(float(at) * scale, say.fine(at)) for at in sorted({hole.at for hole in holes}) if at > 0
    ]
    wide = sum(width_of(s.words, height=2.8) + 2.5 for s in stations) + 5.0
    marks += running(
        (0.0, foot),
        stations,
        along=(1.0, 0.0),
        away=(0.0, -1.0),
        offset=4.0,
        height=2.8,
        level=wide < end,
        between=(-3.0, end + 3.0),
    )
    return marks


def _head(part: Part, say: Voice, width: float, members: Sequence[str]) -> list[Mark]:
    """The mark of the part, large, and what it is."""
    foot = STRIP + 15.0
    own = width_of(part.mark, height=_NAME, weight="bold") + 4.0
    words = say(
        "rod.head",
        members=members_words(members, part.kind, say),
        section=f"{say.fine(part.thickness)} × {say.fine(part.depth, unit=True)}",
    )
    count = say("rod.count", count=part.how_many * len(members) // len(part.members))
    taken = own + width_of(count, height=_FIGURE, weight="semibold") + 4
    return [
        Text((0.0, foot), part.mark, _NAME, weight="bold"),
        Text((own, foot), fitted(words, width=width - taken, height=_FIGURE), _FIGURE),
        Text((width, foot), count, _FIGURE, "end", weight="semibold"),
    ]


def _body(part: Part, scale: float) -> list[Mark]:
    """Outer side above, inner side below; a bar's lip is the heavy line."""
    end = float(part.long_point) * scale
    first, last = (float(part.cut_back(index)) * scale for index in (0, 1))
    marks: list[Mark] = [
        Polygon(
            ((first, 0.0), (end - last, 0.0), (end, STRIP), (0.0, STRIP)),
            Layer.OUTLINE,
            fill=WOOD[part.kind],
        )
    ]
    if part.bevel_fall:
        marks.append(Line((0.0, STRIP), (end, STRIP), Layer.OUTLINE, Pen(1.4)))
    # The reference end: a heavy upright across the strip.
    marks.append(Line((-1.8, 0.0), (-1.8, STRIP), Layer.DIMENSION, Pen(1.4)))
    return marks


def _joins(joins: Sequence[tuple[Fraction, Fraction]], scale: float, say: Voice) -> list[Mark]:
    """How far joins reach, in broken lines, and the word for it."""
    marks: list[Mark] = []
    for low, high in joins:
        ends = (float(low) * scale, float(high) * scale)
        marks += [Line((at, 0.0), (at, STRIP), Layer.HIDDEN) for at in ends]
        marks.append(Line((ends[0], 0.0), (ends[1], STRIP), Layer.HIDDEN))
        middle = sum(ends) / 2
        marks.append(Text((middle, STRIP + 1.2), say("rod.join"), _FIGURE, "middle", backed=True))
    return marks


def _own_join(part: Part, scale: float) -> list[Mark]:
    """On a piece that is joined later: how far its slope or lap reaches from the end."""
    marks: list[Mark] = []
    for index, end in enumerate(part.ends):
        if end in JOINED:
            tip = float(part.long_point) * scale if index else 0.0
            root = tip + float(part.join) * scale * (-1.0 if index else 1.0)
            # The piece whose mitre lies at the right hand runs out on the outer side, the other on the inner; one
            # without a mitre on the outer side at the left hand, on the inner at the right.
            between = all(each in JOINED for each in part.ends)
            outwards = index == 0 if between else part.hand == "right"
            start, stop = (0.0, STRIP) if outwards else (STRIP, 0.0)
            line: tuple[tuple[float, float], ...] = ((root, start), (tip, stop))
            if end != "scarf":
                line = ((root, start), (root, STRIP / 2), (tip, STRIP / 2))
            if not part.hand and not between:
                line = ((root, 0.0), (root, STRIP))
            marks.append(Polyline(line, Layer.HIDDEN))
    return marks


def _lengths(part: Part, scale: float, say: Voice) -> list[Mark]:
    end = float(part.long_point) * scale
    cut = float(part.long_point - part.short_point) * scale
    key = "rod.long-point" if part.mitred else "rod.one-mitre" if cut else "rod.length"
    if part.measured:
        key = "rod.planned"
    marks: list[Mark] = [
        linear(
            (0.0, STRIP),
            (end, STRIP),
            offset=7.0,
            words=say(key, length=say.part(part.long_point, unit=True)),
            height=3.5,
            weight="bold",
        )
    ]
    if cut:
        marks.append(
            Text(
                (end / 2, STRIP * 0.73),
                say(
                    "rod.short-point" if part.mitred else "rod.one-mitre-short",
                    length=say.part(part.short_point),
                ),
                _FIGURE,
                "middle",
                "middle",
                backed=True,
                layer=Layer.DIMENSION,
            )
        )
    return marks


def _pencil_lines(part: Part, scale: float) -> list[Mark]:
    """Each line, the far side of the timber, and a cross where the timber goes."""
    marks: list[Mark] = []
    for mark in part.marks:
        near, far = float(mark.at) * scale, float(mark.at + mark.covers) * scale
        marks.append(Line((near, 0.0), (near, STRIP * 0.46), Layer.PENCIL))
        if far - near > 3.4:
            marks.append(Line((far, 0.0), (far, STRIP * 0.46), Layer.EDGE))
        arm = 1.1
        middle = max(near + arm + 0.5, (near + far) / 2)
        for sign in (1, -1):
            marks.append(
                Line(
                    (middle - arm, STRIP * 0.22 - sign * arm),
                    (middle + arm, STRIP * 0.22 + sign * arm),
                    Layer.PENCIL,
                    Pen(0.5),
                )
            )
    return marks


def _figures(part: Part, scale: float, say: Voice) -> list[Mark]:
    if not part.marks:
        return []
    stations = [
        Station(
            float(mark.at) * scale,
            say("rod.mark", at=say.fine(mark.at), what=kind_words(kind_of(mark.what), say)),
            strong=True,
        )
        for mark in part.marks
    ]
    end = float(part.long_point) * scale
    wide = sum(width_of(s.words, height=_FIGURE, weight="semibold") + 2.5 for s in stations) + 5.0
    return list(
        running(
            (0.0, 0.0),
            stations,
            along=(1.0, 0.0),
            away=(0.0, -1.0),
            offset=5.0,
            height=_FIGURE,
            level=wide < end,
            between=(-3.0, end + 3.0),
        )
    )


def _end_words(part: Part, scale: float, say: Voice, among: list[Mark]) -> list[Mark]:
    """How each end is cut, inside the strip beside it."""
    end = float(part.long_point) * scale
    cuts = [float(part.cut_back(index)) * scale for index in (0, 1)]
    words = {
        "mitre": say("rod.mitre"),
        "keyed mitre": say("rod.mitre"),
        "half-lap": say("rod.half-lap"),
        "square": say("rod.square"),
        "scarf": say("rod.scarf", length=say.fine(part.join)),
        "spliced lap": say("rod.spliced-lap", length=say.fine(part.join)),
    }
    room = end - sum(cuts)
    marks: list[Mark] = []
    for at, across, key in (
        (cuts[0] + 1.6, "start", part.ends[0]),
        (end - cuts[1] - 1.6, "end", part.ends[1]),
    ):
        if width_of(words[key], height=_FIGURE) * 2 + 50 < room:
            marks.append(
                Text((at, STRIP * 0.73), words[key], _FIGURE, across, "middle", backed=True)  # type: ignore[arg-type]
            )
        else:
            marks += place_labels(
                [Wanted((at, STRIP * 0.73), words[key], height=_FIGURE)], among=[*among, *marks]
            )
    return marks
