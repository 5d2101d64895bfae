"""Verdicts: what the computed cases mean to a person, each number beside its limit and where the limit comes from.

A verdict holds numbers only; its sentence is made where sheets and screens are made. Each is judged by somebody:
*design* (a rail or a thicker bar changes it), *wish* (the tension asked for), *bench* (how straight the timber
is and how flat it is glued), or by nobody, when it only tells what to expect.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, pi, sqrt
from typing import Literal

import numpy as np

from longpoint.strength.answer import JointForces, joint_forces, member_forces
from longpoint.strength.verdict_cases import AllCases, Bay, CaseAnswer, Look, WorkCase
from longpoint.strength.verdict_touch import HARDEST, touching_load
from longpoint.strength.winding import Winding, equal_bars_critical_tension, find_winding
from longpoint.tables import Limit, Tag, limit

Judge = Literal["design", "wish", "bench", "nobody"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """A change that would meet a limit.

    Attributes:
        what: Short stable names of what is changed, e.g. ``middle-pieces``.
        value: What the judged number becomes.
        price: What it costs more; None where nothing is priced.
        timber: Timber it takes more, all sections together. [m]
        numbers: What the sentence needs besides.
    """

    what: tuple[str, ...]
    value: float
    price: float | None
    timber: float
    numbers: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One result and what it is held against.

    Attributes:
        key: Short stable name, e.g. ``pulled-in-now``.
        value: The judged number.
        unit: Its unit: mm, N/mm, 1, deg, N, kg.
        low: Least of all cases; the same as ``value`` where there is one case.
        high: Greatest of all cases.
        limit: What it is held against; None where nothing is.
        sense: "at most" or "at least".
        source: Where the limit comes from.
        tag: How far the limit can be trusted: read, from memory, computed, estimate, common practice, yours.
        judge: Who can change it.
        numbers: Further numbers the sentence needs.
        place: Name of the bar, member or bay it is about; "" for the whole.
        remedy: What would meet the limit; None where it is met or nothing found does.
    """

    key: str
    value: float
    unit: str
    low: float
    high: float
    limit: float | None
    sense: str
    source: str
    tag: str
    judge: Judge
    numbers: tuple[tuple[str, float], ...] = ()
    place: str = ""
    remedy: Remedy | None = None

    @property
    def use(self) -> float:
        """How much of the limit is used up; above 1 it is not kept, 0 where there is no limit. [1]"""
        if self.limit is None:
            return 0.0
        if self.sense == "at most":
            return abs(self.value) / self.limit
        return self.limit / self.value if self.value > 1e-12 else 1e6

    @property
    def passes(self) -> bool | None:
        """Whether the limit is kept; None where nothing is judged."""
        return None if self.limit is None else self.use <= 1.0 + 1e-9

    def number(self, name: str) -> float:
        """One of the further numbers."""
        return dict(self.numbers)[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLimits:
    """Limits the user stated; None leaves the table's.

    Attributes:
        pulled_in: Now; the limits for the long run and for a hard pull follow in proportion. [mm]
        hollow: [mm]
        turning_in: [deg]
        winding_factor: [1]
        tension_low: Least share of the mean that the lowest tension may be. [1]
        touch: For bars and rails. [N]
        mass: [kg]
        people: How many lift together.
    """

    pulled_in: float | None = None
    hollow: float | None = None
    turning_in: float | None = None
    winding_factor: float | None = None
    tension_low: float | None = None
    touch: float | None = None
    mass: float | None = None
    people: int = 1


def first_verdicts(look: Look, own: OwnLimits) -> tuple[Verdict, ...]:
    """What one solve already tells: enough to throw a design out, not enough to keep it.

    Args:
        look: The likely case now.
        own: The user's limits.
    """
    answer = look.answer
    return (
        *_pulled_in(look.case, {"now": answer}, (answer,), own),
        *_tension(look.case, answer, (answer,), own)[1:],
        _turning(answer, (answer,), own),
        _hollow(answer, (answer,), own),
        *_corner(look),
        _buckling(look),
        _timber(look),
        _mass(look.case, own),
    )


def winding_verdict(case: WorkCase, now: Winding, later: Winding, look: Look, own: OwnLimits) -> Verdict:
    """How far the frame is from winding itself up, at the highest tension of the year, years on.

    Args:
        case: The work.
        now: As stretched.
        later: Years on.
        look: The likely case years on, for its tension.
        own: The user's limits.
    """
    highest = max(case.year[1], 1.0) * look.answer.mean[0]
    value = later.critical_tension / highest
    fresh = now.critical_tension / (max(case.year[1], 1.0) * case.tension_left)
    bound = limit("winding factor")
    most, tag, source = _own(bound, own.winding_factor)
    names = [member.name for member in look.system.model.members]
    return Verdict(
        key="winding",
        value=value,
        unit="1",
        low=value * case.weak,
        high=max(value, fresh),
        limit=most,
        sense="at least",
        source=source,
        tag=tag,
        judge="design",
        numbers=(
            ("critical", later.critical_tension * 1000),
            ("highest", highest * 1000),
            ("winds", 1.0 if later.is_propeller() else 0.0),
        ),
        place=names[int(np.argmax(later.shares))],
    )


def all_verdicts(cases: AllCases, own: OwnLimits) -> tuple[Verdict, ...]:
    """Every verdict of one work.

    Args:
        cases: The computed cases.
        own: The user's limits.

    Returns:
        The verdicts, in the order a person asks.
    """
    case, likely = cases.likely.case, cases.likely
    by_time = {
        "now": cases.at("likely", "now"),
        "later": cases.at("likely", "later"),
        "hard": cases.at("hard", "now"),
    }
    winding = winding_verdict(case, cases.winding, cases.winding_later, cases.later, own)
    return (
        *_pulled_in(case, by_time, cases.answers, own),
        *_tension(case, likely.answer, cases.answers, own),
        winding,
        _wind(case, winding),
        _turning(likely.answer, cases.answers, own),
        _hollow(likely.answer, cases.answers, own),
        *_touching(case, likely, own),
        *_corner(likely),
        _buckling(likely),
        _timber(likely),
        _year(case),
        _mass(case, own),
    )


def varied_verdicts(now: Look, later: Look, own: OwnLimits) -> tuple[Verdict, ...]:
    """What a study counts of one varied case: everything that its own two solves tell.

    Args:
        now: As stretched.
        later: Years on.
        own: The user's limits.
    """
    case = now.case
    winding = winding_verdict(
        case, find_winding(now.system, now.state), find_winding(later.system, later.state), later, own
    )
    pulled = _pulled_in(case, {"now": now.answer, "later": later.answer}, (now.answer, later.answer), own)
    return (
        *pulled,
        *_tension(case, now.answer, (now.answer,), own)[1:],
        winding,
        _wind(case, winding),
        _turning(now.answer, (now.answer,), own),
        _hollow(now.answer, (now.answer,), own),
        *_corner(now),
        _buckling(now),
        _timber(now),
    )


def passes_design(verdicts: tuple[Verdict, ...]) -> bool:
    """Whether every limit is kept that a design can keep."""
    return all(
        verdict.passes for verdict in verdicts if verdict.judge == "design" and verdict.limit is not None
    )


def worst_of(verdicts: tuple[Verdict, ...]) -> Verdict:
    """The verdict of the design that uses most of its limit."""
    return max((v for v in verdicts if v.judge == "design"), key=lambda v: (v.use, v.key))


def _own(row: Limit, stated: float | None, *, factor: float = 1.0) -> tuple[float, str, str]:
    """A limit with its tag and source: the user's where there is one, else the table's."""
    if stated is not None:
        return stated * factor, "yours", ""
    return row.value, str(Tag(row.source.tag)), row.source.text


def _pulled_in(
    case: WorkCase, by_time: dict[str, CaseAnswer], answers: tuple[CaseAnswer, ...], own: OwnLimits
) -> list[Verdict]:
    found = []
    base = limit("pulled in, now").value
    for time, row_name in (
        ("now", "pulled in, now"),
        ("later", "pulled in, long run"),
        ("hard", "pulled in, hard"),
    ):
        if time not in by_time:
            continue
        answer, row = by_time[time], limit(row_name)
        most, tag, source = _own(row, own.pulled_in, factor=row.value / base)
        index = int(np.argmax(np.abs(answer.bays)))
        bay = case.bays[index]
        if time == "now":
            spread = [a.bays[index] for a in answers]
        elif time == "later":
            spread = [a.bays[index] for a in answers if a.when == "later"]
        else:
            spread = [a.bays[index] for a in answers if a.case == "hard"]
        bow = case.natural_bow * _bar_length(case, bay) ** 2
        found.append(
            Verdict(
                key=f"pulled-in-{time}",
                value=float(answer.bays[index]),
                unit="mm",
                low=float(min(spread)),
                high=float(max(spread)),
                limit=most,
                sense="at most",
                source=source,
                tag=tag,
                judge="design",
                numbers=(
                    ("bay", bay.number),
                    ("of", bay.of),
                    ("length", bay.length),
                    ("bow", bow),
                    ("with_bow", float(answer.bays[index]) - bow),
                ),
                place=bay.bar,
            )
        )
    answer, row = by_time["now"], limit("pulled in, of span")
    shares = [abs(value) / bay.length for value, bay in zip(answer.bays, case.bays, strict=True)]
    index = int(np.argmax(shares))
    bay = case.bays[index]
    found.append(
        Verdict(
            key="pulled-in-span",
            value=float(abs(answer.bays[index])),
            unit="mm",
            low=float(min(abs(a.bays[index]) for a in answers)),
            high=float(max(abs(a.bays[index]) for a in answers)),
            limit=row.value * bay.length,
            sense="at most",
            source=row.source.text,
            tag=str(Tag(row.source.tag)),
            judge="design",
            numbers=(("bay", bay.number), ("of", bay.of), ("length", bay.length), ("share", 1 / row.value)),
            place=bay.bar,
        )
    )
    return found


def _bar_length(case: WorkCase, bay: Bay) -> float:
    return case.width if bay.bar.startswith(("bottom", "top")) else case.height


def _tension(
    case: WorkCase, likely: CaseAnswer, answers: tuple[CaseAnswer, ...], own: OwnLimits
) -> list[Verdict]:
    low, high = limit("tension left, from"), limit("tension left, to")
    row = high if case.tension_left * case.tension_left > low.value * high.value else low
    least = limit("least tension anywhere")
    spread = limit("tension spread")
    stated = None if own.tension_low is None else own.tension_low * likely.mean[0]
    lowest, tag, source = _own(least, stated)
    return [
        Verdict(
            key="tension-left",
            value=likely.mean[0],
            unit="N/mm",
            low=min(a.mean[0] for a in answers),
            high=max(a.mean[0] for a in answers),
            limit=row.value,
            sense=row.sense,
            source=row.source.text,
            tag=str(Tag(row.source.tag)),
            judge="wish",
            numbers=(("along_x", likely.mean[1] * 1000), ("along_y", likely.mean[2] * 1000)),
        ),
        Verdict(
            key="tension-lowest",
            value=likely.lowest,
            unit="N/mm",
            low=min(a.lowest for a in answers),
            high=max(a.lowest for a in answers),
            limit=lowest,
            sense="at least",
            source=source,
            tag=tag,
            judge="design",
        ),
        Verdict(
            key="tension-spread",
            value=(likely.highest - likely.lowest) / likely.mean[0],
            unit="1",
            low=min((a.highest - a.lowest) / a.mean[0] for a in answers),
            high=max((a.highest - a.lowest) / a.mean[0] for a in answers),
            limit=spread.value,
            sense="at most",
            source=spread.source.text,
            tag=str(Tag(spread.source.tag)),
            judge="design",
            numbers=(("lowest", likely.lowest * 1000), ("highest", likely.highest * 1000)),
        ),
    ]


def natural_wind(case: WorkCase) -> float:
    """Wind that a frame glued of sighted boards brings along before any canvas, root mean square. [mm]

    Boards twist either way, evenly spread up to the stated natural twist; glued together they share it by their
    stiffness in torsion. An estimate.
    """
    stiff = np.array(
        [m.timber.shear_modulus * m.section.torsion_constant * m.length for m in case.pieces.members]
    )
    share = float(np.sqrt(np.sum(stiff**2)) / np.sum(stiff))
    return float(case.width * case.height * case.natural_twist / sqrt(3) * share)


def _wind(case: WorkCase, winding: Verdict) -> Verdict:
    row = limit("wind")
    natural = natural_wind(case)
    growth = 1 / (1 - 1 / winding.value) if winding.value > 1 else float("inf")
    worst = 1 / (1 - 1 / winding.low) if winding.low > 1 else float("inf")
    return Verdict(
        key="wind",
        value=min(natural * growth, 1e6),
        unit="mm",
        low=natural,
        high=min(natural * worst, 1e6),
        limit=row.value,
        sense="at most",
        source=row.source.text,
        tag=str(Tag(row.source.tag)),
        judge="bench",
        numbers=(
            ("natural", natural),
            ("growth", min(growth, 1e6)),
            ("allowed", row.value / growth if growth < 1e6 else 0.0),
            ("twist", degrees(case.natural_twist) * 1000),
        ),
    )


def _turning(likely: CaseAnswer, answers: tuple[CaseAnswer, ...], own: OwnLimits) -> Verdict:
    row = limit("turning in")
    most, tag, source = _own(row, own.turning_in)
    return Verdict(
        key="turning-in",
        value=degrees(likely.turning_in),
        unit="deg",
        low=min(degrees(a.turning_in) for a in answers),
        high=max(degrees(a.turning_in) for a in answers),
        limit=most,
        sense="at most",
        source=source,
        tag=tag,
        judge="design",
    )


def _hollow(likely: CaseAnswer, answers: tuple[CaseAnswer, ...], own: OwnLimits) -> Verdict:
    row = limit("hollow")
    most, tag, source = _own(row, own.hollow)
    return Verdict(
        key="hollow",
        value=likely.hollow,
        unit="mm",
        low=min(a.hollow for a in answers),
        high=max(a.hollow for a in answers),
        limit=most,
        sense="at most",
        source=source,
        tag=tag,
        judge="design",
    )


def _touching(case: WorkCase, likely: Look, own: OwnLimits) -> list[Verdict]:
    found = []
    turned = abs(likely.answer.turning_in)
    for what in ("bar", "rail"):
        edges = [edge for edge in case.low_edges if edge.what == what]
        if not edges:
            continue
        # canvas gives most far from its edges and where it lies nearest
        edge = min(edges, key=lambda e: (e.clearance, -e.inset))
        # turning in drops the low edge back, away from the canvas
        clearance = edge.clearance + (edge.inset * np.tan(turned) if what == "bar" else 0.0)
        load = touching_load(
            width=case.width,
            height=case.height,
            inset=edge.inset,
            clearance=round(float(clearance), 2),
            tension=case.tension_left,
            cloth=case.settled,
        )
        row = limit("touching load" if what == "bar" else "touching load, rail")
        least, tag, source = _own(row, own.touch)
        found.append(
            Verdict(
                key=f"touch-{what}",
                value=load,
                unit="N",
                low=load,
                high=load,
                limit=least,
                sense="at least",
                source=source,
                tag=tag,
                judge="design",
                numbers=(
                    ("clearance", edge.clearance),
                    ("never", 1.0 if load >= HARDEST else 0.0),
                ),
            )
        )
    return found


def _corners(look: Look) -> list[JointForces]:
    bars = set(look.system.bars)
    return [j for j in joint_forces(look.system, look.state) if j.first in bars and j.second in bars]


def _corner(look: Look) -> list[Verdict]:
    case, face = look.case, look.case.corner
    uses = []
    for joint in _corners(look):
        bending = abs(joint.in_plane) / (face.depth * face.width**2 / 6)
        bending += abs(joint.out_of_plane) / (face.width * face.depth**2 / 6)
        # a rectangle's greatest shear stress from torsion: about T / (0.23 long short²) between 1 : 1 and 2 : 1
        small, large = sorted((face.width, face.depth))
        shear = abs(joint.torsion) / (0.23 * large * small**2)
        shear += float(np.hypot(joint.force[1], joint.force[2])) / (face.width * face.depth)
        uses.append((case.peak * (bending + shear) / face.strength, joint))
    use, worst = max(uses, key=lambda pair: pair[0])
    row, opening = limit("use of a joint"), limit("opening of a corner")
    open_by = max(abs(j.opening) for _, j in uses) * face.width * case.peak
    per_screw = case.peak * float(np.linalg.norm(worst.force)) / max(face.screws, 1)
    return [
        Verdict(
            key="corner-use",
            value=use,
            unit="1",
            low=use / case.peak,
            high=use * case.hard_tension / case.tension_left,
            limit=row.value,
            sense="at most",
            source=row.source.text,
            tag=str(Tag(row.source.tag)),
            judge="design",
            numbers=(
                ("moment", case.peak * abs(worst.in_plane) / 1000),
                ("torsion", case.peak * abs(worst.torsion) / 1000),
                ("screw", per_screw),
                ("strength", face.strength),
            ),
        ),
        Verdict(
            key="corner-opening",
            value=open_by,
            unit="mm",
            low=open_by / case.peak,
            high=open_by * case.hard_tension / case.tension_left,
            limit=opening.value,
            sense="at most",
            source=opening.source.text,
            tag=str(Tag(opening.source.tag)),
            judge="design",
        ),
    ]


def _buckling(look: Look) -> Verdict:
    row = limit("buckling factor")
    name, least, thrust = "", 1e6, 0.0
    for member, factor, force in _buckling_factors(look):
        if factor < least:
            name, least, thrust = member, factor, force
    factor = min(least / look.case.peak, 1e6)
    return Verdict(
        key="buckling",
        value=factor,
        unit="1",
        low=factor * look.case.weak,
        high=factor * look.case.peak,
        limit=row.value,
        sense="at least",
        source=row.source.text,
        tag=str(Tag(row.source.tag)),
        judge="design",
        numbers=(("thrust", look.case.peak * thrust),),
        place=name,
    )


def _buckling_factors(look: Look) -> list[tuple[str, float, float]]:
    """Per member its Euler factor and thrust; a bar and the end rail glued along it count as one.

    Bent together, one of the two is pressed and the other pulled: that is bending, not thrust. What could bend
    them away is the sum of both, against the section of both.
    """
    forces = member_forces(look.system, look.state)
    seams = {seam.first: seam.second for seam in look.case.pieces.seams}
    members = {member.name: member for member in look.system.model.members}
    found = []
    for name in sorted(forces):
        if name in seams.values():
            continue
        if name not in seams:
            found.append((name, forces[name].buckling_factor, float(-forces[name].axial.min())))
            continue
        bar, rail = members[name], members[seams[name]]
        at = forces[name].places.mean(axis=1)
        shift = 0.5 * (bar.length - rail.length)
        other = np.interp(
            at - shift, forces[rail.name].places.mean(axis=1), forces[rail.name].axial.mean(axis=1), 0.0, 0.0
        )
        thrust = float(-(forces[name].axial.mean(axis=1) + other).min())
        if thrust <= 1e-9:
            continue
        a, b = bar.section.area, rail.section.area
        apart = abs(float(np.subtract(rail.start, bar.start) @ np.asarray(bar.across)))
        inertia = bar.section.moment_across + rail.section.moment_across + a * b / (a + b) * apart**2
        front = bar.section.moment_front + rail.section.moment_front
        critical = bar.timber.modulus * pi**2 * min(inertia, front) / bar.length**2
        found.append((name, critical / thrust, thrust))
    return found


def _timber(look: Look) -> Verdict:
    row = limit("use of timber")
    case = look.case
    worst, place = 0.0, ""
    every = member_forces(look.system, look.state)
    for member in look.system.model.members:
        forces, section = every[member.name], member.section
        outline = np.array(section.outline) - section.centroid
        across, front = np.abs(outline).max(axis=0)
        stress = (
            np.abs(forces.axial) / section.area
            + np.abs(forces.moment_in_plane) * across / section.moment_across
            + np.abs(forces.moment_front) * front / section.moment_front
        )
        if float(stress.max()) > worst:
            worst, place = float(stress.max()), member.name
    use = case.peak * worst / case.bending_strength
    return Verdict(
        key="timber-use",
        value=use,
        unit="1",
        low=use / case.peak,
        high=use * case.hard_tension / case.tension_left,
        limit=row.value,
        sense="at most",
        source=row.source.text,
        tag=str(Tag(row.source.tag)),
        judge="design",
        numbers=(("stress", case.peak * worst), ("strength", case.bending_strength)),
        place=place,
    )


def _year(case: WorkCase) -> Verdict:
    row = limit("tension left, to")
    high = case.tension_left * case.year[1]
    return Verdict(
        key="year",
        value=high,
        unit="N/mm",
        low=case.tension_left * case.year[0],
        high=high,
        limit=row.value,
        sense="at most",
        source=row.source.text,
        tag=str(Tag(row.source.tag)),
        judge="wish",
    )


def _mass(case: WorkCase, own: OwnLimits) -> Verdict:
    row = limit("weight one person carries")
    most, tag, source = _own(row, own.mass)
    if own.mass is None:
        most *= own.people
    return Verdict(
        key="mass",
        value=case.mass,
        unit="kg",
        low=case.mass,
        high=case.mass,
        limit=most,
        sense="at most",
        source=source,
        tag=tag,
        judge="design",
        numbers=(("people", float(own.people)),),
    )


def lift_verdict(sag: float) -> Verdict:
    """How far the free corner sinks when the finished work is held level by the other three: told, not judged.

    Args:
        sag: From `longpoint.strength.winding.free_corner_sag`. [mm]
    """
    return Verdict(
        key="corner-lift",
        value=sag,
        unit="mm",
        low=sag,
        high=sag,
        limit=None,
        sense="at most",
        source="",
        tag="computed",
        judge="nobody",
    )


def rigid_ended_pull_in(
    *, case: WorkCase, inertia: float, modulus: float, span: float, across: float
) -> float:
    """A pull-in that no layout with this bay can go below, before anything is solved.

    The bay's ends neither move nor turn; the canvas slackens as two opposite bars give way alike (a bar on an
    elastic foundation). Four fifths of it are taken, since cloth slackens less evenly than that.

    Args:
        case: The work, for cloth and tension.
        inertia: Second moment of the bar in the canvas plane. [mm⁴]
        modulus: Stiffness along the grain. [MPa]
        span: Of the bay, clear. [mm]
        across: Canvas from this bar to the opposite one. [mm]

    References:
        Hetényi's finite beam on an elastic foundation with fixed ends, from memory.
    """
    soft = max(case.raw.warp_stiffness, case.raw.weft_stiffness)
    foundation = 2 * soft / across
    u = (foundation / (4 * modulus * inertia)) ** 0.25 * span
    if u < 0.3:
        return float(0.8 * case.tension_left * span**4 / (384 * modulus * inertia))
    half = u / 2
    share = 2 * (np.sinh(half) * np.cos(half) + np.cosh(half) * np.sin(half)) / (np.sinh(u) + np.sin(u))
    return float(0.8 * case.tension_left / foundation * (1 - share))


def bare_winding_bound(*, case: WorkCase, torsion: float) -> float:
    """Winding factor that four bars alone cannot exceed: stiff but for torsion, corners rigid in plane.

    Args:
        case: The work.
        torsion: G J of a bar years on. [N mm²]
    """
    critical = equal_bars_critical_tension(
        width=case.width, height=case.height, torsion=torsion, corners_rigid_in_plane=True
    )
    return critical / (case.tension_left * max(case.year[1], 1.0))
