"""From a frame to its joints: every meeting, the screw chosen for it, and every screw moved clear of the others."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.members import Frame
from longpoint.joinery.joints.corners import DRAWS, Meeting, corner_meetings
from longpoint.joinery.joints.inner import inner_meetings
from longpoint.joinery.joints.joint import Fixing, Joint, JointKind, ScrewSize
from longpoint.joinery.joints.long_bars import glued_up_meetings, join_meetings
from longpoint.joinery.screws.clash import Clash, Movable, in_grain, move_apart, wedge_together
from longpoint.joinery.screws.place import (
    Choice,
    Place,
    bit_reach,
    bored_for,
    choose_for,
    fixing_at,
    missing_screw,
)
from longpoint.joinery.screws.strength import Wood, checks_of, is_counted
from longpoint.model.shop import Drill
from longpoint.units import LengthStyle

BETWEEN_IN_LINE = 5
"""Between screws along one line of grain, in diameters, pre-drilled: EN 1995-1-1 Table 8.2."""

BARE_UP_TO = Fraction(700)
"""Longest side up to which plain mitres are trusted with the canvas's pull. [mm] Estimate; studies are built so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joints:
    """The joints of one frame.

    Attributes:
        joints: Every meeting of parts: corners, then end rails along bars, then rail ends, then crossings, then
            bars joined in length.
        cautions: What a person should know.
        faults: What makes the frame impossible to screw together; its joints then lack those screws.
    """

    joints: tuple[Joint, ...]
    cautions: tuple[Caution, ...]
    faults: tuple[Fault, ...]

    @property
    def fixings(self) -> tuple[Fixing, ...]:
        """Every screw of the frame."""
        return tuple(fixing for joint in self.joints for fixing in joint.fixings)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shop:
    """What joints are made with, and how messages speak."""

    drill: Drill
    wood: Wood
    style: LengthStyle
    work: str
    key: str


def joints_of(
    frame: Frame,
    *,
    sizes: tuple[ScrewSize, ...],
    drill: Drill,
    wood: Wood,
    style: LengthStyle,
    work: str,
    key: str,
    kept: Fraction = Fraction(0),
    along: int | None = None,
) -> Joints:
    """Every joint of a frame.

    Where screws meet and cannot be moved apart, the thickest of those that meet are left out of the choice and it is
    tried again.

    Args:
        frame: The frame as it is built.
        sizes: Screws on sale.
        drill: The drill and driver.
        wood: What the joints are made in.
        style: How lengths are shown in messages.
        work: Name of the work, for messages.
        key: Path of the work in the batch file.
        kept: Wood at the back that staples need. [mm]
        along: Screws along an end rail; None: as its length asks.

    Returns:
        The joints. The same inputs give the same joints.
    """
    shop = _Shop(drill=drill, wood=wood, style=style, work=work, key=key)
    meetings = _meetings(frame, drill=drill, kept=kept, along=along)
    first, clashes = _attempt(frame, meetings, sizes, shop)
    found, left = first, sizes
    while clashes:
        meet = {name for clash in clashes for name in (clash.first, clash.second)}
        thickest = max(fixing.screw.diameter for fixing in found.fixings if fixing.name in meet)
        left = tuple(size for size in left if size.diameter < thickest)
        found, clashes = _attempt(frame, meetings, left, shop, below=thickest)
        if len(found.faults) > len(first.faults):
            return first
        if not clashes and len(found.faults) < len(first.faults):
            caution = Caution("thinner-screws", about=work, facts=(("size", style.finer().show(thickest)),))
            return replace(found, cautions=(*found.cautions, caution))
    return first


def lacks_screws(
    frame: Frame,
    *,
    sizes: tuple[ScrewSize, ...],
    drill: Drill,
    kept: Fraction,
    along: int | None,
    fits: dict[tuple[object, ...], bool],
) -> bool:
    """Whether some place that cannot do without a screw takes none of those on sale: `joints_of` then finds a fault.

    Where screws meet, thick ones are left out and the choice is made again among fewer; what takes none of all takes
    none of those either. So what this says before any screw is placed holds for every attempt.

    Args:
        frame: The frame as it is built.
        sizes: Screws on sale.
        drill: The drill and driver.
        kept: Wood at the back that staples need. [mm]
        along: Screws along an end rail; None: as its length asks.
        fits: Which places take one of these sizes, by what they ask; filled.
    """
    for meeting in _meetings(frame, drill=drill, kept=kept, along=along):
        for group in meeting.places:
            if group[0].optional:
                continue
            place = _hardest(group)
            if place.asks not in fits:
                choice = choose_for(place, sizes)
                fits[place.asks] = choice.size is not None or bored_for((), sizes, place)[1].size is not None
            if not fits[place.asks]:
                return True
    return False


def _meetings(frame: Frame, *, drill: Drill, kept: Fraction, along: int | None) -> tuple[Meeting, ...]:
    return (
        *corner_meetings(frame, kept=kept),
        *inner_meetings(frame, drill=drill, along=along),
        *join_meetings(frame),
        *glued_up_meetings(frame),
    )


def _attempt(
    frame: Frame,
    meetings: tuple[Meeting, ...],
    sizes: tuple[ScrewSize, ...],
    shop: _Shop,
    *,
    below: Fraction | None = None,
) -> tuple[Joints, tuple[Clash, ...]]:
    """The joints with the best of some sizes, and the screws that then meet; ``below``: gauges that met before."""
    faults: list[Fault] = []
    cautions: list[Caution] = []
    movable: list[Movable] = []
    lacks: dict[tuple[JointKind, Fraction, Fraction], Fault] = {}
    short: set[str] = set()
    optional: set[str] = set()
    choices: dict[tuple[object, ...], Choice] = {}  # many places of a frame ask the same
    for number, meeting in enumerate(meetings, start=1):
        name = f"J{number}"
        before = len(movable)
        for group in meeting.places:  # one size for all places of a group: the most demanding decides
            hardest = _hardest(group)
            if hardest.asks not in choices:
                choices[hardest.asks] = choose_for(hardest, sizes)
            choice = choices[hardest.asks]
            if choice.size is None:
                group, choice = bored_for(group, sizes, hardest)
            if choice.size is not None:
                movable += [
                    Movable(
                        fixing=fixing_at(
                            place,
                            choice,
                            name=name + _letters(len(movable) - before + at),
                            joint=name,
                            wood=shop.wood.kind,
                            bit_length=shop.drill.bit,
                        ),
                        slides=place.slides,
                        rank=place.rank,
                    )
                    for at, place in enumerate(group)
                ]
                if group[0].optional:
                    optional.add(name)
                if not choice.full and not group[0].kept_short:
                    short.add(name)
            elif group[0].optional:
                cautions.append(_clamped("no-screw-clamp", meeting.kind, shop.work))
            else:
                # Joints made alike lack the same screw: it is said once.
                lacks.setdefault(
                    (meeting.kind, group[0].passed, group[0].middle_of),
                    missing_screw(
                        group[0],
                        sizes,
                        kind=meeting.kind,
                        style=shop.style,
                        where=Where("hardware.screws"),
                        work=shop.work,
                        below=below,
                    ),
                )
    for one in movable:
        answer = bit_reach(
            one.fixing,
            bit_length=shop.drill.bit,
            style=shop.style,
            where=Where("shop.drill.bit_length"),
            work=shop.work,
        )
        if isinstance(answer, Fault) and not faults:
            faults.append(answer)
        elif isinstance(answer, Caution):
            cautions.append(answer)
    kinds = {f"J{number}": meeting.kind for number, meeting in enumerate(meetings, 1)}
    fixings, clashes = move_apart(movable)
    if crowded := _crowded(fixings, kinds):
        movable = [one for one in movable if one.fixing.name not in crowded]
        fixings, clashes = move_apart(movable)
    evened = _evened(movable, fixings, kinds)
    if evened != movable:
        again, less = move_apart(evened)
        if len(less) <= len(clashes) and not _crowded(again, kinds):
            movable, fixings, clashes = evened, again, less
    if spared := _spared(clashes, fixings, optional=optional):
        cautions += [_clamped("no-room-clamp", kinds[joint], shop.work) for joint in spared.values()]
        fixings, clashes = move_apart(one for one in movable if one.fixing.name not in spared)
    faults = [*lacks.values(), *faults]
    faults += [_clash_fault(clash, fixings, shop=shop) for clash in clashes]
    joints = tuple(
        _joint(
            frame,
            meeting,
            name=f"J{number}",
            fixings=tuple(each for each in fixings if each.joint == f"J{number}"),
            wood=shop.wood,
        )
        for number, meeting in enumerate(meetings, start=1)
    )
    cautions += _cautions(frame, joints, short, style=shop.style, work=shop.work)
    return Joints(joints=joints, cautions=_once(cautions), faults=tuple(faults)), clashes


def _spared(clashes: tuple[Clash, ...], fixings: tuple[Fixing, ...], *, optional: set[str]) -> dict[str, str]:
    """Screws that meet others, only draw a joint together, and that it can do without; with their joints."""
    meet = {name for clash in clashes for name in (clash.first, clash.second)}
    return {
        fixing.name: fixing.joint
        for fixing in fixings
        if fixing.name in meet and fixing.joint in optional and fixing.duty == DRAWS
    }


def _clamped(code: str, kind: JointKind, work: str) -> Caution:
    return Caution(code, about=work, facts=(("joint", kind.value),))


def _crowded(fixings: tuple[Fixing, ...], kinds: dict[str, JointKind]) -> set[str]:
    """Screws between the outermost two of a short end rail that stand so near the next that both wedge its fibres."""
    found: set[str] = set()
    grain = [in_grain(fixing) for fixing in fixings]
    for joint, kind in kinds.items():
        own = [fixing for fixing in fixings if fixing.joint == joint]
        if kind is not JointKind.ALONG or len(own) < 3:
            continue
        way = 1 if own[0].axis[0] else 0
        own.sort(key=lambda fixing: fixing.start[way])
        kept = own[0]
        for fixing in own[1:-1]:
            least = BETWEEN_IN_LINE * fixing.screw.diameter
            if min(fixing.start[way] - kept.start[way], own[-1].start[way] - fixing.start[way]) < least:
                found.add(fixing.name)
            else:
                kept = fixing
        # One that another part's screw cannot keep clear of: the rail holds by its glue; one screw at least draws it.
        others = [one for fixing, one in zip(fixings, grain, strict=True) if fixing.joint != joint]
        for fixing in own:
            stands = in_grain(fixing)
            if sum(one.name not in found for one in own) > 1 and any(
                wedge_together(stands, one) for one in others
            ):
                found.add(fixing.name)
    return found


def _evened(
    movable: list[Movable], fixings: tuple[Fixing, ...], kinds: dict[str, JointKind]
) -> list[Movable]:
    """Screws along end rails spread evenly anew between the outermost two, where those had to give way."""
    found = list(movable)
    for joint, kind in kinds.items():
        own = [at for at, one in enumerate(movable) if one.fixing.joint == joint]
        if kind is not JointKind.ALONG or len(own) < 2:
            continue
        first, last = fixings[own[0]], fixings[own[-1]]
        way = movable[own[0]].slides[0].way
        axis = 0 if way[0] else 1
        begin, end = (movable[at].fixing.start[axis] for at in (own[0], own[-1]))
        # the same from both ends, as a person marks two facing rails
        inset = max(first.start[axis] - begin, end - last.start[axis])
        if inset <= 0 or end - begin - 2 * inset < 40 * (len(own) - 1):
            continue
        for number, at in enumerate(own):
            old = movable[at].fixing
            place = list(old.start)
            place[axis] = begin + inset + (end - begin - 2 * inset) * number / (len(own) - 1)
            found[at] = replace(movable[at], fixing=replace(old, start=(place[0], place[1], place[2])))
    return found


def _letters(index: int) -> str:
    """One letter up to z, then aa, ab and so on."""
    high, low = divmod(index, 26)
    return (_letters(high - 1) if high else "") + chr(ord("a") + low)


def _hardest(group: tuple[Place, ...]) -> Place:
    """The most demanding of places that take one size."""
    return max(group, key=lambda place: (place.passed, -place.room))


def _joint(frame: Frame, meeting: Meeting, *, name: str, fixings: tuple[Fixing, ...], wood: Wood) -> Joint:
    checks = checks_of(frame, meeting.kind, fixings, wood=wood)
    held = is_counted(meeting.kind, fixings, checks)
    why = meeting.why
    duty = meeting.duty
    if duty == "counted on for strength" and not held:
        duty = "draws together while the glue sets"
        broken = ", ".join(sorted({check.what for check in checks if not check.holds}))
        why = f"{meeting.why} Here the rule is not kept ({broken or 'thread too short'}): glue carries, screws press."
    fixings = tuple(
        replace(fixing, duty=duty) if fixing.duty == "counted on for strength" and not held else fixing
        for fixing in fixings
    )
    return Joint(
        name=name,
        kind=meeting.kind,
        members=meeting.members,
        at=meeting.at,
        duty=duty,
        why=why,
        fixings=fixings,
        glue=meeting.glue,
        checks=checks,
        note=meeting.note,
        extra=meeting.extra,
    )


def _clash_fault(clash: Clash, fixings: tuple[Fixing, ...], *, shop: _Shop) -> Fault:
    show = shop.style.finer().show
    joints = {fixing.name: fixing for fixing in fixings}
    first, second = joints[clash.first], joints[clash.second]
    return Fault(
        "screws-meet",
        f"{shop.work}: screws {first.name} (into the {first.into}) and {second.name} (into the {second.into}) come "
        f"within {show(max(clash.apart, 0.0))} of each other and cannot be moved apart; "
        f"{show(clash.wanted)} should lie between.",
        "Use shorter or thinner screws, deeper rails or another drop, or leave one of the parts out.",
        Where(f"{shop.key}.inside"),
    )


def _cautions(
    frame: Frame,
    joints: tuple[Joint, ...],
    short: set[str],
    *,
    style: LengthStyle,
    work: str,
) -> list[Caution]:
    show = style.finer().show
    design = frame.design
    found: list[Caution] = []
    # Joints of one kind with the same screw are said together.
    shallow: dict[tuple[JointKind, str, Fraction], list[Fixing]] = {}
    for joint in joints:
        for fixing in joint.fixings[:1] if joint.name in short else ():
            if fixing.grain == "end grain":
                shallow.setdefault((joint.kind, fixing.screw.name, fixing.thread), []).append(fixing)
    for (kind, screw, thread), fixings in shallow.items():
        into = ", ".join(dict.fromkeys(fixing.into for fixing in fixings))
        found.append(
            Caution(
                "short-thread",
                about=work,
                facts=(
                    ("joint", kind.value),
                    ("screw", screw),
                    ("thread", show(thread)),
                    ("into", into),
                    ("rule", show(10 * fixings[0].screw.diameter)),
                ),
            )
        )
    bored: dict[tuple[str, Fraction], Fixing] = {}
    for fixing in (fixing for joint in joints for fixing in joint.fixings if fixing.bored):
        bored.setdefault((fixing.screw.name, fixing.bored), fixing)
    found += [
        Caution(
            "counterbored",
            about=work,
            facts=(
                ("screw", screw),
                ("wide", show(fixing.countersink)),
                ("deep", show(deep)),
                ("passed", show(fixing.passed)),
            ),
        )
        for (screw, deep), fixing in bored.items()
    ]
    along = [joint for joint in joints if joint.kind is JointKind.ALONG]
    loose = [joint for joint in along if joint.duty != "counted on for strength"]
    if loose:
        broken = _broken(loose[0], style=style)
        found.append(Caution("glue-carries", about=work, facts=(("short", broken),)))
    bare = [joint for joint in joints if joint.kind is JointKind.MITRE]
    strung = set(design.start_sides) <= set(design.end_rails) or set(design.flank_sides) <= set(
        design.end_rails
    )
    if bare and not strung and design.length > BARE_UP_TO:
        found.append(Caution("bare-mitre", about=work))
    if (
        design.middle_pieces
        and not design.cross_rails
        and short_bars_bow_outwards(length=float(design.length), breadth=float(design.breadth))
    ):
        found.append(Caution("pulled-apart", about=work))
    if design.corner == "keyed mitre" and design.has_rails:
        found.append(Caution("keyed-with-rails", about=work))
    gap = design.gap if design.has_rails else design.bar_depth
    if design.has_rails and gap < 3:
        found.append(
            Caution("gap-small", about=work, facts=(("gap", show(gap)),)),
        )
    return found


def short_bars_bow_outwards(*, length: float, breadth: float) -> bool:
    """Whether the middle of the short bars moves outwards under an even pull, with corners that hold.

    Closed frame, equal bars, corner moment w(a² − ab + b²)/12: the short bar's middle moves by
    5wb⁴/(384 EI) − M b²/(8 EI), outwards once a² − ab > b²/4, which is from a/b = 1.21 on.

    Args:
        length: Of the long bars. [mm]
        breadth: Of the short bars. [mm]
    """
    return 5.0 * breadth**2 / 384.0 < (length**2 - length * breadth + breadth**2) / 96.0


def _broken(joint: Joint, *, style: LengthStyle) -> str:
    show = style.finer().show
    for check in joint.checks:
        if not check.holds:
            word = "at most" if check.at_most else "at least"
            value, limit = f"{check.value:.0f} {check.unit}", f"{check.limit:.0f}"
            if check.unit == "mm" and style.system == "in":
                value, limit = show(check.value), show(check.limit)
            return f"{check.what} {value}, {word} {limit} asked by {check.rule}"
    return "thread too short"


def _once(cautions: list[Caution]) -> tuple[Caution, ...]:
    seen: dict[object, Caution] = {}
    for caution in cautions:
        seen.setdefault((caution.code, caution.facts), caution)
    return tuple(seen.values())
