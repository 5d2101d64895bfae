"""Finished parts: what is cut, with its ends, its lip and the marks on it.

All marks of a part are measured from one reference end, so that no error adds up. A bar's reference end is its
long point at the left or lower corner; a rail's is its left or lower end. A bar that is joined in length is cut as
its pieces and marked once it is one again: they bear no marks, their reference end is the mitred one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal

from longpoint.frame.design import FrameDesign
from longpoint.frame.halves import as_built
from longpoint.frame.joins import BarPiece, pieces_of, plates_of
from longpoint.frame.members import Frame, Kind, Member, derive_frame
from longpoint.frame.profile import bevelled_off, lap_kept, lapped_off

EndCut = Literal["square", "mitre", "half-lap", "keyed mitre", "scarf", "spliced lap"]
Grade = Literal["bars", "rails", "short"]
Hand = Literal["", "left", "right"]

MEASURED_EXTRA = Fraction(4)
"""Timber kept on top of a piece that is measured on the frame before it is cut. [mm] Estimate."""
SAW_ROUND = {Kind.BAR: 1, Kind.END_RAIL: 2, Kind.CROSS_RAIL: 2, Kind.MIDDLE_PIECE: 3, Kind.PLATE: 2}
"""Bars are cut first, then rails to the inside as measured, then middle pieces to the bays as measured."""
GLUED_LONGER = Fraction(20)
"""Boards of a bar that is glued face to face are longer than the bar by this: they slide, and the ends are sawn from
the glued bar. [mm] Estimate."""
JOINED: tuple[EndCut, ...] = ("scarf", "spliced lap")
"""Ends that another piece of the same bar is glued to; at the saw they are cut square."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One pencil line across a part.

    Attributes:
        at: From the reference end. [mm]
        covers: How much timber lies beyond the line. [mm]
        what: The member that lies there.
        timber: The side of the line on which it lies, seen with the reference end to the left.
    """

    at: Fraction
    covers: Fraction
    what: str
    timber: Literal["right of the line"] = "right of the line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One finished part, and how many are equal to it.

    Attributes:
        mark: What is written on it, e.g. ``B3``; unique in the batch.
        work: Name of the work.
        kind: What it is.
        members: The members of the frame it serves for.
        per_work: How many one work takes.
        how_many: How many the batch takes.
        long_point: Length at the outer side; the length, where both ends are square; the joins with it. [mm]
        short_point: Length at the inner side, likewise. [mm]
        thickness: Seen from the front. [mm]
        depth: Off the wall. [mm]
        bevel_fall: Of its front face; 0 for rails. [mm]
        ends: How its reference end and its other end are cut.
        marks: Pencil lines from the reference end, rising.
        measured: Whether it is cut to a measure taken on the frame; the planned length then keeps enough timber.
        needs: The least grade it accepts.
        saw_round: The round in which it is cut.
        overlap: Length of the joins at its ends, of which each piece keeps half the wood. [mm]
        lap: The half that a half-lapped bar keeps at its corners; "" for none.
        hand: Of a bar's piece with one corner: the hand at which that end lies, face up, the lip away from you.
        order: Of a piece of joined bars: each bar and which of its pieces it is, counted from the bar's start.
        boards: From how many boards it is glued, face to face; its sizes are those of the whole.
    """

    mark: str
    work: str
    kind: Kind
    members: tuple[str, ...]
    per_work: int
    how_many: int
    long_point: Fraction
    short_point: Fraction
    thickness: Fraction
    depth: Fraction
    bevel_fall: Fraction
    ends: tuple[EndCut, EndCut]
    marks: tuple[Mark, ...]
    measured: bool
    needs: Grade
    saw_round: int
    overlap: Fraction = Fraction(0)
    lap: Literal["", "front", "back"] = ""
    hand: Hand = ""
    order: tuple[tuple[str, int], ...] = ()
    boards: int = 1

    @property
    def mitred(self) -> bool:
        """Whether both its ends are cut at 45°."""
        return all("mitre" in end for end in self.ends)

    @property
    def mitred_once(self) -> bool:
        """Whether one of its ends is cut at 45° and the other is not."""
        return sum("mitre" in end for end in self.ends) == 1

    @property
    def joined(self) -> bool:
        """Whether it is a piece of a bar that is joined in length."""
        return any(end in JOINED for end in self.ends)

    @property
    def join(self) -> Fraction:
        """Length of the join at one of its ends; 0 where it has none. [mm]"""
        return self.overlap / max(sum(end in JOINED for end in self.ends), 1)

    def cut_back(self, end: int) -> Fraction:
        """How far the inner side stands back at one end, 0 the reference end. [mm]"""
        return self.thickness if "mitre" in self.ends[end] else Fraction(0)

    @property
    def volume(self) -> Fraction:
        """Of one finished piece, holes not looked at. [mm³]

        A mitred bar is longest at the lip, where it is also deepest; the bevel therefore counts with the
        length at each point across its thickness. Of a join each of the two pieces keeps half.
        """
        outer, inner = self.long_point - self.overlap / 2, self.short_point - self.overlap / 2
        mean = (outer + inner) / 2
        lapped = Fraction(0)
        if self.lap:
            lapped = self.ends.count("half-lap") * lapped_off(
                thickness=self.thickness, depth=self.depth, fall=self.bevel_fall, keeps=self.lap
            )
        if not self.bevel_fall:
            return mean * self.thickness * self.depth - lapped
        off = bevelled_off(thickness=self.thickness, fall=self.bevel_fall, outer=outer, inner=inner)
        return mean * self.thickness * self.depth - off - lapped


def parts_of(frame: Frame, *, work: str, code: str, how_many: int) -> tuple[Part, ...]:
    """The parts of one work, equal ones grouped, in the order of building.

    Args:
        frame: The frame, its bars whole.
        work: Name of the work.
        code: Letters that begin every mark of the work.
        how_many: How many of the work are made.

    Returns:
        Parts; the marks are numbered from 1.
    """
    frame = as_built(frame)
    groups: dict[tuple[object, ...], list[_Cut]] = {}
    for member in (*frame.members, *plates_of(frame)):
        for cut in _cuts(frame, member):
            key = (
                member.kind,
                cut.length,
                cut.ends,
                cut.hand if frame.design.bevel_first else "",
                _lap(frame.design, cut),
                tuple((mark.at, mark.covers) for mark in cut.marks),
                _bored(frame, member),
            )
            groups.setdefault(key, []).append(cut)
    order = {kind: index for index, kind in enumerate(Kind)}
    ordered = sorted(groups.values(), key=lambda group: (order[group[0].member.kind], -group[0].length))
    return tuple(
        _part(frame, group, mark=f"{code}{index + 1}", work=work, how_many=how_many)
        for index, group in enumerate(ordered)
    )


def bar_volumes_of(design: FrameDesign) -> tuple[tuple[Kind, Fraction], ...]:
    """What each finished piece of its bars takes up, joins and laps looked at, and the plates over the joins.

    Args:
        design: The design.

    Returns:
        Kind and volume of each piece. [mm³]
    """
    return _volumes_of_bars(design if design.seam else replace(design, **_BARE))


_BARE: dict[str, Any] = {
    "end_rails": (),
    "cross_rails": (),
    "middle_pieces": False,
    "halved": False,
    "shift": Fraction(0),
}
"""What bars do not depend on: many designs share theirs."""


@lru_cache(maxsize=256)
def _volumes_of_bars(design: FrameDesign) -> tuple[tuple[Kind, Fraction], ...]:
    """Volumes of the pieces of its bars and of the plates over their joins. [mm³]"""
    frame = as_built(derive_frame(design))
    found: dict[tuple[object, ...], Fraction] = {}
    volumes: list[tuple[Kind, Fraction]] = []
    for member in (*frame.of_kind(Kind.BAR), *plates_of(frame)):
        for cut in _cuts(frame, member, marked=False):
            alike = member.kind, cut.length, cut.ends, cut.overlap, _lap(frame.design, cut)
            if alike not in found:
                found[alike] = _part(frame, [cut], mark="", work="", how_many=1).volume
            volumes.append((member.kind, found[alike]))
    return tuple(volumes)


def marks_of_members(parts: tuple[Part, ...] | list[Part]) -> dict[str, str]:
    """The mark on each member; a joined bar bears those of its pieces in their order: ``B1 + B3 + B2``.

    They are told from either end, so that bars joined alike bear the same: what is mitred lies at the ends anyhow.
    """
    found = {name: part.mark for part in parts for name in part.members}
    marks = list(dict.fromkeys(part.mark for part in parts))
    for name, chain in pieces_in_order(parts).items():
        found[name] = " + ".join(
            min(chain, chain[::-1], key=lambda each: [marks.index(mark) for mark in each])
        )
    return found


def pieces_in_order(parts: Iterable[Part]) -> dict[str, tuple[str, ...]]:
    """Of every bar that is joined in length the marks of its pieces, from its reference end."""
    placed: dict[str, list[tuple[int, str]]] = {}
    for part in parts:
        for name, place in part.order:
            placed.setdefault(name, []).append((place, part.mark))
    return {name: tuple(mark for _, mark in sorted(pieces)) for name, pieces in placed.items()}


def joined_bars(frame: Frame, parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """Joined bars as they are once they are one: whole, with their marks, named by the marks of their pieces.

    Args:
        frame: The frame, its bars whole.
        parts: Its parts.
    """
    frame = as_built(frame)
    bears = marks_of_members(parts)
    pieces = {name: part for part in parts for name in part.members if part.joined}
    whole: dict[tuple[object, ...], list[_Cut]] = {}
    for member in frame.members:
        if member.name in pieces:
            cut = _whole(frame, member)
            key = (bears[member.name], cut.length, tuple((mark.at, mark.covers) for mark in cut.marks))
            whole.setdefault(key, []).append(cut)
    found = []
    for group in whole.values():
        piece = pieces[group[0].member.name]
        part = _part(frame, group, mark=bears[group[0].member.name], work=piece.work, how_many=1)
        found.append(replace(part, how_many=part.per_work * (piece.how_many // piece.per_work)))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cut:
    """One piece to be cut, for one member."""

    member: Member
    length: Fraction
    ends: tuple[EndCut, EndCut]
    marks: tuple[Mark, ...]
    overlap: Fraction = Fraction(0)
    hand: Hand = ""
    piece: int | None = None


def _cuts(frame: Frame, member: Member, *, marked: bool = True) -> list[_Cut]:
    """What is cut for one member: itself, or the pieces it is joined from; without marks where none are asked for."""
    if member.kind is Kind.PLATE:
        return [_Cut(member=member, length=member.length, ends=("square", "square"), marks=())]
    pieces = pieces_of(frame.design, member) if member.kind is Kind.BAR else ()
    if len(pieces) < 2:
        return [_whole(frame, member, marked=marked)]
    return [replace(_piece(frame.design, member, one), piece=index) for index, one in enumerate(pieces)]


def _whole(frame: Frame, member: Member, *, marked: bool = True) -> _Cut:
    ends: tuple[EndCut, EndCut] = ("square", "square")
    if member.kind is Kind.BAR:
        ends = (_end(frame.design, member, 0), _end(frame.design, member, 1))
    return _Cut(
        member=member,
        length=member.length,
        ends=ends,
        marks=_marks(frame, member) if marked else (),
        hand=_hand(member, ends),
    )


def _piece(design: FrameDesign, member: Member, piece: BarPiece) -> _Cut:
    ends = tuple(
        _end(design, member, index) if join is None else ("scarf" if join.kind == "scarf" else "spliced lap")
        for index, join in enumerate(piece.joins)
    )
    first, last = ends
    hand = _hand(member, (first, last))
    if first in JOINED and last not in JOINED:
        first, last = last, first
    overlap = sum((join.length for join in piece.joins if join), Fraction(0))
    return _Cut(member=member, length=piece.length, ends=(first, last), marks=(), overlap=overlap, hand=hand)


def _end(design: FrameDesign, bar: Member, index: int) -> EndCut:
    """How a bar as it is built ends: at a corner, or sawn square at a seam."""
    full = design.width if bar.axis == "x" else design.height
    if (bar.start, bar.stop)[index] != (0, full)[index]:
        return "square"
    if design.corner in ("half-lap", "keyed mitre"):
        return design.corner
    return "mitre"


def _hand(bar: Member, ends: tuple[EndCut, EndCut]) -> Hand:
    """At which hand the one end with a corner lies, face up and with the lip away from you."""
    corners = [index for index, end in enumerate(ends) if end != "square" and end not in JOINED]
    if bar.kind is not Kind.BAR or len(corners) != 1:
        return ""
    # Looking outwards over the lip of a top or left bar its start lies at the left hand; else at the right.
    start_left = bar.side in ("top", "left")
    return "left" if start_left == (corners[0] == 0) else "right"


def _part(frame: Frame, group: list[_Cut], *, mark: str, work: str, how_many: int) -> Part:
    design, cut = frame.design, group[0]
    member = cut.member
    back = sum((design.bar_thickness for end in cut.ends if "mitre" in end), Fraction(0))
    hands = {each.hand for each in group}
    return Part(
        mark=mark,
        work=work,
        kind=member.kind,
        members=tuple(dict.fromkeys(each.member.name for each in group)),
        per_work=len(group),
        how_many=len(group) * how_many,
        long_point=cut.length,
        short_point=cut.length - back,
        thickness=member.thickness,
        depth=member.depth,
        bevel_fall=design.bevel_fall if member.kind is Kind.BAR else Fraction(0),
        ends=cut.ends,
        marks=cut.marks,
        measured=member.kind not in (Kind.BAR, Kind.PLATE),
        # End rails set the line and the square, so they are as fussy as bars.
        needs={Kind.BAR: "bars", Kind.END_RAIL: "bars", Kind.CROSS_RAIL: "rails"}.get(member.kind, "short"),  # type: ignore[arg-type]
        saw_round=SAW_ROUND[member.kind],
        overlap=cut.overlap,
        lap=_lap(design, cut),
        hand=cut.hand if len(hands) == 1 else "",
        order=tuple((each.member.name, each.piece) for each in group if each.piece is not None),
        boards=design.bar_boards if member.kind is Kind.BAR else 1,
    )


def _lap(design: FrameDesign, cut: _Cut) -> Literal["", "front", "back"]:
    return lap_kept(design, level=cut.member.axis == "x") if "half-lap" in cut.ends else ""


def _bored(frame: Frame, member: Member) -> tuple[tuple[Fraction, str], ...]:
    """Where the screws of others pass a member, and from which side: what is bored otherwise has a mark of its own."""
    faces = {member.low: "low", member.high: "high"}
    if member.kind is Kind.BAR:
        # through bar and end rail together
        for rail in frame.of_kind(Kind.END_RAIL):
            if rail.side == member.side:
                faces |= {rail.low: "", rail.high: ""}
    if member.kind in (Kind.BAR, Kind.END_RAIL):
        faces = dict.fromkeys(faces, "")  # only ever from inside
    found = []
    for other in frame.members:
        if (
            other.kind is Kind.BAR
            or other.axis == member.axis
            or not member.start < other.centre < member.stop
        ):
            continue
        found += [
            (other.centre - member.start, faces[end]) for end in (other.start, other.stop) if end in faces
        ]
    return tuple(sorted(found))


def _marks(frame: Frame, member: Member) -> tuple[Mark, ...]:
    """Where other members meet this one's inner faces."""
    found = []
    for other in frame.members:
        if other is member or other.axis == member.axis:
            continue
        if other.kind is Kind.BAR:
            continue
        touches = other.start in (member.low, member.high) or other.stop in (member.low, member.high)
        crosses = other.start < member.low and other.stop > member.high
        if not (touches or crosses):
            continue
        if other.high <= member.start or other.low >= member.stop:
            continue
        found.append(Mark(at=other.low - member.start, covers=other.thickness, what=other.name))
    return tuple(sorted(found, key=lambda mark: (mark.at, mark.what)))
