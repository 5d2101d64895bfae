"""The computed choice of a design: what is on sale, held against every limit, the first that passes taken.

Where nothing on sale passes, the work is still planned, with the nearest miss, a loud caution, and what would
meet the limit; only where a limit that the user stated themself cannot be met is the batch refused, since then
the user has to decide which of the two gives way. A frame whose inside and bars are all stated is computed as it
stands and never refused: it gets its verdicts, and cautions for what it misses.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import pairwise

from longpoint.drawing.strength_words import (
    design_words,
    miss_words,
    price_words,
    remedy_words,
    small_length,
)
from longpoint.drawing.voice import Voice, voice_of
from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.frame.members import derive_frame
from longpoint.frame.parts import parts_of
from longpoint.jobs.build import build_of
from longpoint.jobs.choose_candidates import (
    Buildable,
    Price,
    candidate_of,
    candidates_of,
    corners_held,
    price_of,
)
from longpoint.jobs.choose_remedies import neighbours_of
from longpoint.jobs.designs import Designed, design_of
from longpoint.jobs.strength import Makes, makes_of, strength_case
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.choice import Candidate, Choice, Tried, choose
from longpoint.strength.quick_bounds import bare_winding_bound, rigid_ended_pull_in
from longpoint.strength.verdict import OwnLimits, Remedy, Verdict, passes_design
from longpoint.strength.verdict_cases import AllCases, Look, WorkCase, all_cases, first_look
from longpoint.strength.verdict_winding import lift_verdict
from longpoint.strength.verdicts import all_verdicts, first_verdicts
from longpoint.strength.winding import free_corner_sag
from longpoint.tables import limit

UNBUILDABLE = "cannot be screwed together"
MOST_REMEDIES = 14
"""Most changes tried for one work that misses a limit."""


@dataclass(frozen=True, slots=True)
class Other:
    """A design beside the chosen one.

    Attributes:
        option: The design with its timber.
        more: What it costs more than the chosen one; None where nothing is priced.
        timber: Timber it takes more. [m]
        mass: Of its timber. [kg]
        pulled_in: Now. [mm]
        passes: Whether it keeps every limit.
        misses: The limit it overruns most; None where it passes or could not be solved.
        broken: Why it could not be solved or built; "" where it could.
    """

    option: Buildable
    more: float | None
    timber: float
    mass: float
    pulled_in: float
    passes: bool
    misses: Verdict | None
    broken: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WorkStrength:
    """What was computed for one work.

    Attributes:
        case: The work in plain values.
        cases: The computed cases.
        verdicts: Every verdict, with remedies where one is missed.
        option: The design with its timber.
        price: What it takes.
        stated: Whether everything was stated, so that nothing was chosen.
        passes: Whether every limit of a design is kept.
        decided: The limit that decided the choice; None where the first design passed.
        rivals: The two nearest rivals.
        unbeaten: Designs that hold and that no other beats in cost, mass and pull-in, this one among them.
        solved: How many designs were solved.
    """

    case: WorkCase
    cases: AllCases
    verdicts: tuple[Verdict, ...]
    option: Buildable
    price: Price
    stated: bool
    passes: bool
    decided: Verdict | None
    rivals: tuple[Other, ...]
    unbeaten: tuple[Other, ...]
    solved: int


@dataclass(frozen=True, slots=True, eq=False)
class ChosenDesign(Designed):
    """A design with what was computed for it.

    Attributes:
        strength: What was computed.
        cautions: What a person should know of it.
    """

    strength: WorkStrength
    cautions: tuple[Caution, ...]


class ComputedChooser:
    """Settles the designs of a batch by computing them; equal works are computed once.

    Args:
        say: Told what is being done.
    """

    def __init__(self, say: Callable[[str], None] = lambda _text: None) -> None:
        self._say = say
        self._done: dict[object, ChosenDesign | tuple[Fault, ...]] = {}

    def __call__(self, batch: Batch, index: int) -> Designed | tuple[Fault, ...]:
        """The design of one work, or everything that stands against it."""
        work = batch.work[index]
        key = (
            work.width,
            work.height,
            work.strings,
            batch.bars_of(work),
            batch.inside_of(work),
            batch.cloth_of(work),
        )
        if key not in self._done:
            self._done[key] = _chosen(batch, index, self._say)
        found = self._done[key]
        if isinstance(found, ChosenDesign):
            return replace(
                found, cautions=tuple(replace(caution, about=work.name) for caution in found.cautions)
            )
        return tuple(found)


def computed_design(batch: Batch, index: int) -> Designed | tuple[Fault, ...]:
    """Settles one work by computing it; see `ComputedChooser` for a whole batch."""
    return ComputedChooser()(batch, index)


def own_limits(batch: Batch) -> OwnLimits:
    """The user's limits as the verdicts take them."""
    stated = batch.limits
    return OwnLimits(
        pulled_in=None if stated.pulled_in is None else float(stated.pulled_in),
        hollow=None if stated.hollow is None else float(stated.hollow),
        turning_in=stated.turning_in,
        winding_factor=stated.winding_factor,
        tension_low=stated.tension_low,
        touch=stated.touch,
        mass=stated.mass,
        people=batch.shop.people,
    )


class _Bench:
    """Computes designs of one work, each once."""

    def __init__(self, batch: Batch, index: int) -> None:
        self.batch, self.index, self.work = batch, index, batch.work[index]
        self.own = own_limits(batch)
        self.looks: dict[str, Look] = {}
        self.cases: dict[str, AllCases] = {}
        self.verdicts: dict[str, tuple[Verdict, ...]] = {}

    def makes(self, option: Buildable) -> Makes:
        rails = (option.rails or option.bars).wood
        return makes_of(self.batch, self.work, bars=option.bars.wood, rails=rails)

    def case(self, candidate: Candidate[Buildable]) -> WorkCase:
        option = candidate.design
        makes = self.makes(option)
        area = float(self.work.width * self.work.height) * 1e-6
        mass = candidate.mass + area * makes.settled.areal_mass * 1e6
        return strength_case(self.batch, self.work, derive_frame(option.design), makes, mass=mass)

    def look(self, candidate: Candidate[Buildable]) -> tuple[tuple[Verdict, ...], str]:
        """Verdicts of one solve; a design that would pass must also go together with the screws there are."""
        try:
            look = first_look(self.case(candidate))
        except FaultsError as error:
            return (), error.faults[0].what
        self.looks[candidate.name] = look
        verdicts = first_verdicts(look, self.own)
        if passes_design(verdicts) and not self.goes_together(candidate.design):
            return verdicts, UNBUILDABLE
        return verdicts, ""

    def goes_together(self, option: Buildable) -> bool:
        frame = derive_frame(option.design)
        parts = parts_of(frame, work=self.work.name, code="A", how_many=1)
        return not build_of(self.batch, self.index, frame=frame, parts=parts, bars=option.bars).faults

    def judge(self, candidate: Candidate[Buildable]) -> tuple[Verdict, ...]:
        if candidate.name not in self.verdicts:
            look = self.looks.get(candidate.name) or first_look(self.case(candidate))
            self.looks[candidate.name] = look
            cases = all_cases(look)
            self.cases[candidate.name] = cases
            self.verdicts[candidate.name] = all_verdicts(cases, self.own)
        return self.verdicts[candidate.name]

    def bound(self, candidate: Candidate[Buildable]) -> str:
        """A limit that this design cannot keep, seen before anything is solved."""
        design = candidate.design.design
        longest = max(_bays(candidate.design), key=lambda pair: pair[0])
        case = self.case(candidate)
        bar = case.pieces.members[0]
        span = limit("pulled in, of span").value * longest[0]
        most = min(self.own.pulled_in or limit("pulled in, now").value, span)
        least = rigid_ended_pull_in(
            case=case,
            inertia=_with_end_rail(candidate.design, bar.section.moment_across),
            modulus=bar.timber.modulus,
            span=longest[0],
            across=longest[1],
        )
        if least > most:
            return "pulled-in-now"
        if not design.has_rails:
            torsion = bar.timber.shear_modulus * bar.section.torsion_constant / (1 + bar.timber.creep)
            wanted = self.own.winding_factor or limit("winding factor").value
            if bare_winding_bound(case=case, torsion=torsion) < wanted:
                return "winding"
        return ""


def _bays(option: Buildable) -> list[tuple[float, float]]:
    """Clear lengths of the bays of all bars, each with the canvas across."""
    design = option.design
    length, breadth = float(design.length), float(design.breadth)
    thick, rail = float(design.bar_thickness), float(design.rail_thickness)
    edges = [thick, *(float(centre) for centre in design.cross_rails), length - thick]
    bays = [(b - a - rail, breadth) for a, b in pairwise(edges)]
    clear = breadth - 2 * thick
    bays.append(((clear - rail) / 2 - float(design.shift) if design.middle_pieces else clear, length))
    return bays


def _with_end_rail(option: Buildable, inertia: float) -> float:
    """The bar's second moment, as if every bar had an end rail glued on fully: never too low."""
    design = option.design
    if not design.end_rails:
        return inertia
    return float(design.bar_depth * (design.bar_thickness + design.rail_thickness) ** 3) / 12


def _chosen(batch: Batch, index: int, say: Callable[[str], None]) -> ChosenDesign | tuple[Fault, ...]:
    work = batch.work[index]
    plain = design_of(batch, index)
    against = _tension_faults(batch, index)
    candidates, faults = candidates_of(batch, work, index)
    if not candidates:
        found = faults or (plain if not isinstance(plain, Designed) else ())
        return (*found, *against)
    if against:
        return against
    bench = _Bench(batch, index)
    stated = len(candidates) == 1
    first = batch.limits.choose
    count = 0

    def look(candidate: Candidate[Buildable]) -> tuple[tuple[Verdict, ...], str]:
        nonlocal count
        count += 1
        say(f"Computing {work.name}: design {count}")
        return bench.look(candidate)

    choice = choose(
        candidates,
        bound=(lambda _c: "") if stated else bench.bound,
        look=look,
        judge=bench.judge,
        first=first,
    )
    if not choice.chosen.verdicts:
        return (_gives_way(batch, index, choice.chosen.broken),)
    return _settled(batch, index, bench, choice, stated=stated, say=say)


def _settled(
    batch: Batch,
    index: int,
    bench: _Bench,
    choice: Choice[Buildable],
    *,
    stated: bool,
    say: Callable[[str], None],
) -> ChosenDesign | tuple[Fault, ...]:
    work = batch.work[index]
    chosen = choice.chosen.candidate
    verdicts = bench.judge(chosen)
    missed = [v for v in verdicts if v.judge == "design" and v.passes is False]
    if missed:
        say(f"Computing {work.name}: what would meet the limits")
        verdicts = _with_remedies(batch, bench, chosen, verdicts)
        missed = [v for v in verdicts if v.judge == "design" and v.passes is False]
    own = [v for v in missed if v.tag == "yours"]
    if own and not stated:
        english = voice_of("en", batch.style)
        return tuple(_own_limit_fault(batch, index, v, chosen.design, english) for v in own)
    cases = bench.cases[chosen.name]
    with suppress(FaultsError):  # a frame that winds up by itself: the winding verdict says so
        verdicts = (*verdicts, lift_verdict(free_corner_sag(cases.likely.system, cases.likely.state)))
    price = price_of(batch, chosen.design)
    strength = WorkStrength(
        case=cases.likely.case,
        cases=cases,
        verdicts=verdicts,
        option=chosen.design,
        price=price,
        stated=stated,
        passes=not missed,
        decided=choice.decided,
        rivals=tuple(_other(batch, t, price) for t in choice.rivals),
        unbeaten=tuple(_other(batch, t, price) for t in choice.unbeaten),
        solved=choice.solved,
    )
    say_it = voice_of(batch.language, batch.style)
    return ChosenDesign(
        design=chosen.design.design,
        bars=chosen.design.bars,
        rails=chosen.design.rails,
        reason=reason_of(strength, batch, work, say_it),
        strength=strength,
        cautions=_cautions(strength, batch, say_it),
    )


def _other(batch: Batch, tried: Tried[Buildable], base: Price) -> Other:
    price = price_of(batch, tried.candidate.design)
    both = price.money is not None and base.money is not None
    worst = tried.worst
    return Other(
        option=tried.candidate.design,
        more=(price.money or 0.0) - (base.money or 0.0) if both else None,
        timber=price.timber - base.timber,
        mass=price.mass,
        pulled_in=tried.pulled_in,
        passes=tried.passes,
        misses=None if tried.passes or worst is None or worst.passes else worst,
        broken=tried.broken,
    )


def _with_remedies(
    batch: Batch,
    bench: _Bench,
    chosen: Candidate[Buildable],
    verdicts: tuple[Verdict, ...],
) -> tuple[Verdict, ...]:
    """Every missed verdict with the cheapest single or double change that meets it."""
    open_keys = {v.key for v in verdicts if v.judge == "design" and v.passes is False}
    found: dict[str, Remedy] = {}
    base = price_of(batch, chosen.design)
    for tried, change in enumerate(neighbours_of(batch, bench.index, chosen.design)):
        if not open_keys - found.keys() or tried >= MOST_REMEDIES:
            break
        candidate = candidate_of(batch, change.option)
        try:
            after = {v.key: v for v in bench.judge(candidate)}
        except FaultsError:
            continue
        price = price_of(batch, change.option)
        priced = price.money is not None and base.money is not None and change.on_sale
        for key in sorted(open_keys - found.keys()):
            if key in after and after[key].passes:
                found[key] = Remedy(
                    what=change.what,
                    value=after[key].value,
                    price=(price.money or 0.0) - (base.money or 0.0) if priced else None,
                    timber=price.timber - base.timber,
                    numbers=change.numbers,
                )
    return tuple(replace(v, remedy=found.get(v.key)) for v in verdicts)


def _tension_faults(batch: Batch, index: int) -> tuple[Fault, ...]:
    """A tension left that the cloth cannot take without being hurt."""
    work = batch.work[index]
    left = batch.cloth_of(work).tension_left / 1000
    makes = makes_of(batch, work, bars="C16", rails="C16")
    row = makes.raw_state
    most = row.strain_limit * min(row.warp, row.weft)
    if left <= most:
        return ()
    return (
        Fault(
            "tension-beyond-cloth",
            f"{work.name}: {1000 * left:.0f} N/m is more than this cloth takes as it is stretched ({row.name}: about "
            f"{1000 * most:.0f} N/m, estimate).",
            "Ask for less tension_left (200 N/m is usual), or stretch the cloth raw.",
            Where(f"work[{index + 1}].cloth.tension_left"),
        ),
    )


def _gives_way(batch: Batch, index: int, why: str) -> Fault:
    work = batch.work[index]
    return Fault(
        "frame-gives-way",
        f"{work.name}: {why or 'the frame gives way under the canvas.'}",
        "Allow rails or thicker bars, or ask for less tension_left.",
        Where(f"work[{index + 1}].bars"),
    )


def _own_limit_fault(batch: Batch, index: int, verdict: Verdict, option: Buildable, say: Voice) -> Fault:
    keys = {"pulled": "pulled_in", "winding": "winding_factor", "touch": "touch", "tension": "tension_low"}
    key = keys.get(verdict.key.split("-")[0], verdict.key.replace("-", "_"))
    remedy = say("remedy.none")
    if verdict.remedy is not None:
        remedy = remedy_words(verdict.remedy, verdict, say, currency=batch.currency)
    nearest = design_words(option.design, say)
    return Fault(
        "limit-out-of-reach",
        f"{batch.work[index].name}: nothing on sale keeps your limit. The nearest miss is {nearest}: "
        f"{miss_words(verdict, say)}.",
        f"{remedy} Or ease the limit.",
        Where(f"limits.{key}"),
    )


def _cautions(strength: WorkStrength, batch: Batch, say: Voice) -> tuple[Caution, ...]:
    found = []
    for verdict in strength.verdicts:
        if verdict.passes is False and verdict.judge in ("design", "wish"):
            remedy = ""
            if verdict.remedy is not None:
                remedy = remedy_words(verdict.remedy, verdict, say, currency=batch.currency)
            elif verdict.judge == "design":
                remedy = say("remedy.none")
            words = say("mind.fails", miss=_capital(miss_words(verdict, say)), remedy=remedy).strip()
            found.append(Caution(f"misses-{verdict.key}", words))
    return tuple(found)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def reason_of(strength: WorkStrength, batch: Batch, work: Work, say: Voice) -> str:
    """Why the design is as it is: what was looked for first, the limit that decided, and why there are end rails."""
    words = _deciding(strength, batch, say)
    design = strength.option.design
    bare = replace(design, end_rails=())
    if batch.inside_of(work).end_rails == "auto" and corners_held(design) and not corners_held(bare):
        words += " " + say("reason.end-rails-for-corners")
    return words


def _deciding(strength: WorkStrength, batch: Batch, say: Voice) -> str:
    words = design_words(strength.option.design, say)
    currency = batch.currency
    first = say(f"reason.{batch.limits.choose}")
    if batch.limits.choose == "cheapest" and strength.price.money is None:
        first = say("reason.least-timber")
    if strength.stated:
        return say("reason.fixed", design=words)
    if not strength.passes:
        worst = max(
            (v for v in strength.verdicts if v.passes is False and v.judge == "design"), key=lambda v: v.use
        )
        remedy = say("remedy.none")
        if worst.remedy is not None:
            remedy = remedy_words(worst.remedy, worst, say, currency=currency)
        return say("reason.missed", design=words, miss=miss_words(worst, say), remedy=remedy)
    if strength.decided is None:
        return say("reason.only", design=words, first=first)
    before = strength.rivals[0]
    less = ""
    if batch.limits.choose == "cheapest":
        gap = price_words(
            None if before.more is None else -before.more, -before.timber, say, currency=currency
        )
        worth = -before.timber if before.more is None else -before.more
        less = say("reason.less", price=gap) if worth > 0.005 else ""
    rival = design_words(before.option.design, say)
    if before.broken == UNBUILDABLE:
        return say("reason.chosen-unbuildable", design=words, first=first, rival=rival, less=less)
    if before.broken:
        return say("reason.chosen-broken", design=words, first=first, rival=rival, less=less)
    return say(
        "reason.chosen",
        design=words,
        first=first,
        rival=rival,
        less=less,
        miss=miss_words(strength.decided, say),
    )


def rival_words(other: Other, say: Voice, *, currency: str = "") -> str:
    """A rival in one line: what it is, what it costs more or less, and why it was not taken."""
    amount = other.timber if other.more is None else other.more
    shown = price_words(
        None if other.more is None else abs(other.more), abs(other.timber), say, currency=currency
    )
    price = (
        say("reason.price-same")
        if abs(amount) < 0.005
        else say("reason.price-more" if amount > 0 else "reason.price-less", price=shown)
    )
    rival = design_words(other.option.design, say)
    if other.broken:
        key = "reason.rival-unbuildable" if other.broken == UNBUILDABLE else "reason.rival-broken"
        return say(key, rival=rival, price=price)
    if other.misses is not None:
        return say("reason.rival-fails", rival=rival, price=price, miss=miss_words(other.misses, say))
    return say("reason.rival-passes", rival=rival, price=price, pull=small_length(other.pulled_in, say))
