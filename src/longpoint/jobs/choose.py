"""The computed choice of a design: what is on sale, held against every limit, the first that passes taken.

Where nothing on sale passes, the work is still planned, with the nearest miss, a loud caution, and what would
meet the limit; only where a limit that the user stated themself cannot be met is the batch refused, since then
the user has to decide which of the two gives way. A frame whose inside and bars are all stated is computed as it
stands and never refused: it gets its verdicts, and cautions for what it misses.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from longpoint.drawing.voice import voice_of
from longpoint.errors import Fault, FaultsError
from longpoint.jobs.by_rule import design_of
from longpoint.jobs.choose_answer import ChosenDesign, Other, WorkStrength
from longpoint.jobs.choose_bench import Bench
from longpoint.jobs.choose_candidates import Buildable, Price, candidate_of, candidates_of, price_of
from longpoint.jobs.choose_remedies import neighbours_of
from longpoint.jobs.choose_words import cautions_of, gives_way, own_limit_fault, reason_of, tension_faults
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.choice import Candidate, Choice, Tried, choose, holds
from longpoint.strength.verdicts.verdict import Remedy, Verdict
from longpoint.strength.verdicts.winding import lift_verdict
from longpoint.strength.winding import free_corner_sag
from longpoint.works.designed import Designed
from longpoint.works.sections import bar_choices

MOST_REMEDIES = 14
"""Most changes tried for one work that misses a limit."""


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


def _chosen(batch: Batch, index: int, say: Callable[[str], None]) -> ChosenDesign | tuple[Fault, ...]:
    work = batch.work[index]
    plain = design_of(batch, index)
    against = tension_faults(batch, index)
    candidates, faults = candidates_of(batch, work, index)
    if not candidates:
        found = faults or (plain if not isinstance(plain, Designed) else ())
        return (*found, *against)
    if against:
        return against
    bench = Bench(batch, index)
    stated = _all_stated(batch, work)
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
        judge=bench.weigh,
        together=bench.goes_together,
        first=first,
    )
    unmade = bench.faults_of_build(choice.chosen.candidate)
    if unmade:
        return unmade
    if not choice.chosen.verdicts:
        return (gives_way(batch, index, choice.chosen.broken),)
    return _settled(batch, index, bench, choice, stated=stated, say=say)


def _all_stated(batch: Batch, work: Work) -> bool:
    """Whether the file leaves nothing of the inside open, nor which timber the bars are of."""
    inside = batch.inside_of(work)
    open_ones = inside.cross_rails, inside.middle_pieces, inside.end_rails
    return "auto" not in open_ones and len(bar_choices(batch, work)) == 1


def _settled(
    batch: Batch,
    index: int,
    bench: Bench,
    choice: Choice[Buildable],
    *,
    stated: bool,
    say: Callable[[str], None],
) -> ChosenDesign | tuple[Fault, ...]:
    work = batch.work[index]
    chosen = choice.chosen.candidate
    verdicts = bench.judge(chosen)
    missed = [v for v in verdicts if not holds(v)]
    if missed:
        say(f"Computing {work.name}: what would meet the limits")
        verdicts = _with_remedies(batch, bench, chosen, verdicts)
        missed = [v for v in verdicts if not holds(v)]
    own = [v for v in missed if v.tag == "yours"]
    if own and not stated:
        english = voice_of("en", batch.style)
        return tuple(own_limit_fault(batch, index, v, chosen.design, english) for v in own)
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
        tensions=bench.tensions(cases.likely),
    )
    say_it = voice_of(batch.language, batch.style)
    return ChosenDesign(
        design=chosen.design.design,
        bars=chosen.design.bars,
        rails=chosen.design.rails,
        reason=reason_of(strength, batch, work, say_it),
        strength=strength,
        cautions=cautions_of(strength, batch, say_it),
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
    bench: Bench,
    chosen: Candidate[Buildable],
    verdicts: tuple[Verdict, ...],
) -> tuple[Verdict, ...]:
    """Every missed verdict with the cheapest single or double change that meets it."""
    open_keys = {v.key for v in verdicts if not holds(v)}
    found: dict[str, Remedy] = {}
    base = price_of(batch, chosen.design)
    neighbours = neighbours_of(batch, bench.index, chosen.design, missed=frozenset(open_keys))
    for tried, change in enumerate(neighbours):
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
