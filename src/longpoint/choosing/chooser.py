"""The computed choice of a design: what is on sale, held against every limit, the first that passes taken.

Where none of the usual designs holds, other ways are looked at: corner joints that hold more, bars of another depth
that is on sale, crossings halved. Where nothing on sale holds, bars glued from two boards of it, or the least timber
that an ordinary yard has besides, is planned, whichever holds and costs less, and what was changed is said; where that
does not hold either, the nearest miss is planned, marked as not holding. A frame whose inside and bars are all stated
is computed as it stands: it gets its verdicts, cautions for what it misses, and the shortest list of timber to buy that
would make it hold.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace

from longpoint.choosing.answer import ChosenDesign, Other, WorkStrength
from longpoint.choosing.bench import Bench
from longpoint.choosing.by_rule import design_of
from longpoint.choosing.candidates import (
    Buildable,
    Price,
    bought_groups_of,
    candidate_of,
    candidates_of,
    edge_candidates_of,
    glued_candidates_of,
    name_of,
    price_of,
    wider_candidates_of,
)
from longpoint.choosing.parted import whole_or_parted
from longpoint.choosing.refusals import gives_way, tension_faults
from longpoint.choosing.remedies import neighbours_of
from longpoint.errors import Fault, FaultsError
from longpoint.strength.choice import UNBUILDABLE, Candidate, Choice, Tried, any_holds, choose, holds
from longpoint.strength.verdicts.verdict import Remedy, Verdict
from longpoint.strength.verdicts.winding import lift_verdict
from longpoint.strength.winding import free_corner_sag
from longpoint.threads import on_one_thread
from longpoint.works.brief import Brief
from longpoint.works.designed import Designed
from longpoint.works.stock import Section, Stock

MOST_REMEDIES = 14
"""Most changes tried for one work that misses a limit."""


FAR_OFF = 3.0
"""Use of the nearest miss's worst limit from which on another joint or crossing is not looked for. [1] Estimate."""

OTHER_JOINTS_ON = 12
"""Nearest misses on which other corner joints and halved crossings are tried."""

FEW = 3
"""Missed limits up to which each is given a change of its own, beside what would have to be bought."""

PROBES = 2
"""Dearest designs of each timber to be bought that tell whether it can hold at all."""


class ComputedChooser:
    """Settles the designs of a batch by computing them; equal works are computed once.

    Args:
        say: Told what is being done.
    """

    def __init__(self, say: Callable[[str], None] = lambda _text: None) -> None:
        self._say = say
        self._stock: Stock | None = None
        self._done: dict[object, tuple[Brief, Designed | tuple[Fault, ...]]] = {}

    @on_one_thread
    def __call__(self, brief: Brief) -> Designed | tuple[Fault, ...]:
        """The design of one work, or everything that stands against it."""
        work, wishes = brief.work, (brief.bars, brief.inside, brief.cloth)
        # a wish that is stated is not left to the program, even where it says what would be taken anyway
        key = (
            work.width,
            work.height,
            work.strings,
            *((wish, frozenset(wish.model_fields_set)) for wish in wishes),
        )
        if brief.stock is not self._stock:
            self._stock, self._done = brief.stock, {}
        if key not in self._done:
            self._done[key] = brief, whole_or_parted(brief, lambda one: _chosen(one, self._say))
        whose, found = self._done[key]
        if isinstance(found, ChosenDesign) and whose is not brief:
            return replace(found, built=None)
        return found


def computed_design(brief: Brief) -> Designed | tuple[Fault, ...]:
    """Settles one work by computing it; see `ComputedChooser` for a whole batch."""
    return ComputedChooser()(brief)


def _chosen(brief: Brief, say: Callable[[str], None]) -> ChosenDesign | tuple[Fault, ...]:
    stock = brief.stock
    against = tension_faults(brief)
    bench = Bench(brief)
    candidates, faults = candidates_of(brief)
    if not candidates and not stock.as_stated:
        candidates = _first_to_build(brief, bench)
    if not candidates:
        plain = design_of(brief)
        found = faults or (plain if not isinstance(plain, Designed) else ())
        return (*found, *against)
    if against:
        return against
    stated = _all_stated(brief)
    count = 0

    def look(candidate: Candidate[Buildable]) -> tuple[tuple[Verdict, ...], str]:
        nonlocal count
        count += 1
        of = f"{brief.index + 1} of {stock.works}"
        most = f" of at most {len(candidates)}" if count <= len(candidates) else ", other ways"
        say(f"Computing {brief.work.name}, {of}: design {count}{most}")
        return bench.look(candidate)

    def chosen_of(candidates: Sequence[Candidate[Buildable]]) -> Choice[Buildable]:
        return choose(
            candidates,
            bound=(lambda _c: "") if stated else bench.bound,
            look=look,
            judge=bench.weigh,
            together=bench.goes_together,
            first=brief.limits.choose,
        )

    choice = chosen_of(candidates)
    looked = possible = {candidate.name for candidate in candidates}
    would_hold: Choice[Buildable] | None = None
    if not choice.passes and not stock.as_stated and _near(choice):
        near = _nearest_layouts(choice)
        bars = {bars for bars, _ in near}

        laid_out: set[str] = set()

        def wanted(option: Buildable) -> bool:
            laid_out.add(name_of(option))
            return _layout(option) in near or option.bars not in bars

        wider = [c for c in wider_candidates_of(brief, wanted=wanted) if c.name not in looked]
        looked, possible = looked | {c.name for c in wider}, possible | laid_out
        if wider:
            choice = _nearer(choice, chosen_of(wider), bench)
    if not choice.passes and (edge := edge_candidates_of(brief)):
        on_edge = chosen_of(edge)
        looked, possible = (names | {c.name for c in edge} for names in (looked, possible))
        choice = on_edge if on_edge.passes else choice  # flat was wished: it is left only for what holds
    if not choice.passes and not stock.as_stated:
        by_glue: Choice[Buildable] | None = None
        if glued := glued_candidates_of(brief):
            by_glue = chosen_of(glued)
            looked, possible = (names | {c.name for c in glued} for names in (looked, possible))
            by_glue = by_glue if by_glue.passes else None
        would_hold = _bought(
            brief,
            chosen_of,
            below=by_glue.chosen.candidate.cost if by_glue else None,
            hold=lambda some: any_holds(
                some, bound=bench.bound, look=look, judge=bench.weigh, together=bench.goes_together
            ),
        )
        would_hold = would_hold or by_glue
    unmade = bench.faults_of_build(choice.chosen.candidate)
    if unmade and would_hold is None and not stock.as_stated:
        some = _first_to_build(brief, bench)
        would_hold = chosen_of(some) if some else None
    if unmade and would_hold is None:
        return unmade
    instead: Tried[Buildable] | None = None
    if would_hold is not None and (unmade or not stated):  # planned, and what was changed is said
        instead, choice, would_hold = choice.chosen, would_hold, None
    if not choice.chosen.verdicts:
        return (gives_way(brief, choice.chosen.broken),)
    return _settled(
        brief,
        bench,
        choice,
        stated=stated,
        looked=(len(looked), len(possible)),
        helps=would_hold.chosen if would_hold else None,
        instead=instead,
        say=say,
    )


def _near(choice: Choice[Buildable]) -> bool:
    worst = choice.chosen.worst
    return bool(choice.chosen.broken) or worst is None or worst.use <= FAR_OFF


def _nearest_layouts(choice: Choice[Buildable]) -> set[tuple[Section, object]]:
    """Layouts of the usual designs that miss by least: joints are changed on these, not on all."""
    solved = sorted(
        (tried for tried in choice.tried if tried.worst is not None),
        key=lambda tried: tried.worst.use if tried.worst else 0.0,
    )
    if all(
        tried.bound == UNBUILDABLE for tried in choice.tried[:-1]
    ):  # screws may fit other joints of any of them
        return {_layout(tried.candidate.design) for tried in choice.tried}
    return {_layout(tried.candidate.design) for tried in solved[:OTHER_JOINTS_ON]}


def _layout(option: Buildable) -> tuple[Section, object]:
    """A design but for its corners and crossings."""
    design = option.design
    inside = design.cross_rails, design.middle_pieces, design.end_rails, design.drop
    return option.bars, (option.rails, inside)


def _nearer(one: Choice[Buildable], other: Choice[Buildable], bench: Bench) -> Choice[Buildable]:
    """The choice that holds; if neither does, the one that can be built and misses by less."""
    if other.passes:
        return other

    def far(choice: Choice[Buildable]) -> tuple[bool, float]:
        worst = choice.chosen.worst
        unmade = bool(bench.faults_of_build(choice.chosen.candidate))
        return unmade, worst.use if worst is not None else float("inf")

    return min(one, other, key=far)


def _bought(
    brief: Brief,
    chosen_of: Callable[[Sequence[Candidate[Buildable]]], Choice[Buildable]],
    *,
    hold: Callable[[Sequence[Candidate[Buildable]]], bool],
    below: float | None,
) -> Choice[Buildable] | None:
    """The cheapest design that holds with the fewest kinds of timber bought besides; None where none is found.

    Args:
        brief: What the design starts from.
        chosen_of: Chooses among designs.
        hold: Whether any of some designs holds.
        below: What it must cost less than; None for anything.
    """
    for group in bought_groups_of(brief):
        some = group if below is None else tuple(one for one in group if one.cost < below)
        if some and hold(some[-PROBES:]):
            return chosen_of(some)
    return None


def _first_to_build(brief: Brief, bench: Bench) -> tuple[Candidate[Buildable], ...]:
    """Designs that can be built with the fewest kinds of timber bought besides; none where none can be built."""
    for group in bought_groups_of(brief):
        if some := tuple(candidate for candidate in group if bench.goes_together(candidate)):
            return some
    return ()


def _all_stated(brief: Brief) -> bool:
    """Whether the file leaves nothing of the inside open, nor which timber the bars are of."""
    inside = brief.inside
    open_ones = inside.cross_rails, inside.middle_pieces, inside.end_rails
    return "auto" not in open_ones and len(brief.sections) == 1


def _settled(
    brief: Brief,
    bench: Bench,
    choice: Choice[Buildable],
    *,
    stated: bool,
    looked: tuple[int, int],
    helps: Tried[Buildable] | None,
    instead: Tried[Buildable] | None,
    say: Callable[[str], None],
) -> ChosenDesign:
    chosen = choice.chosen.candidate
    verdicts = bench.judge(chosen)
    missed = [v for v in verdicts if not holds(v)]
    if missed and (stated or helps is None or len(missed) <= FEW):
        say(f"Computing {brief.work.name}: what would meet the limits")
        verdicts = _with_remedies(brief, bench, chosen, verdicts)
        missed = [v for v in verdicts if not holds(v)]
    cases = bench.cases(chosen)
    with suppress(FaultsError):  # a frame that winds up by itself: the winding verdict says so
        verdicts = (*verdicts, lift_verdict(free_corner_sag(cases.likely.system, cases.likely.state)))
    price = price_of(brief, chosen.design)
    strength = WorkStrength(
        case=cases.likely.case,
        cases=cases.settled(),
        verdicts=verdicts,
        option=chosen.design,
        price=price,
        stated=stated,
        passes=not missed,
        decided=choice.decided,
        led=choice.led,
        rivals=tuple(_other(brief, t, price) for t in choice.rivals),
        unbeaten=tuple(_other(brief, t, price) for t in choice.unbeaten),
        solved=choice.solved,
        looked=looked[0],
        possible=looked[1],
        would_hold=None if helps is None else _other(brief, helps, price),
        instead=None if instead is None else _other(brief, instead, price),
        tensions=bench.tensions(cases.likely),
    )
    return ChosenDesign(
        design=chosen.design.design,
        bars=chosen.design.bars,
        rails=chosen.design.rails,
        strength=strength,
        built=bench.build(chosen),
    )


def _other(brief: Brief, tried: Tried[Buildable], base: Price) -> Other:
    price = price_of(brief, tried.candidate.design)
    both = price.money is not None and base.money is not None
    return Other(
        option=tried.candidate.design,
        more=(price.money or 0.0) - (base.money or 0.0) if both else None,
        timber=price.timber - base.timber,
        mass=price.mass,
        pulled_in=tried.pulled_in,
        passes=tried.passes,
        misses=tried.missed,
        broken=tried.broken,
    )


def _with_remedies(
    brief: Brief,
    bench: Bench,
    chosen: Candidate[Buildable],
    verdicts: tuple[Verdict, ...],
) -> tuple[Verdict, ...]:
    """Every missed verdict with the cheapest single or double change that meets it."""
    open_keys = {v.key for v in verdicts if not holds(v)}
    found: dict[str, Remedy] = {}
    base = price_of(brief, chosen.design)
    neighbours = neighbours_of(brief, chosen.design, missed=frozenset(open_keys))
    for tried, change in enumerate(neighbours):
        if not open_keys - found.keys() or tried >= MOST_REMEDIES:
            break
        candidate = candidate_of(brief, change.option)
        try:
            after = bench.values(candidate, open_keys - found.keys())
        except FaultsError:
            continue
        price = price_of(brief, change.option)
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
