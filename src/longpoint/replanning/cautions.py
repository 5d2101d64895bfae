"""What a person should know of a rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from longpoint.cutting.remainder.bench import Bench
from longpoint.cutting.remainder.events import Happened
from longpoint.errors import Caution, gathered
from longpoint.replanning.answer import SectionReplan
from longpoint.replanning.old import (
    OldPlan,
)
from longpoint.replanning.sections import all_parts
from longpoint.replanning.stage import Standing
from longpoint.works.designed import Designed

FAR_OFF = 10_000_000
"""A measure further from the plan than this is worth a second look. [nm] Estimate."""


def longer_parts(
    before: Sequence[Designed], now: Sequence[Designed], old: OldPlan
) -> tuple[tuple[str, float, float], ...]:
    """Parts whose length follows the timber that came: mark, length before and now. [mm]"""
    then = {part.mark: part.long_point for part in all_parts(before, old)}
    return tuple(
        (part.mark, float(then[part.mark]), float(part.long_point))
        for part in all_parts(now, old)
        if part.long_point != then[part.mark]
    )


def cautions_of(
    found: Sequence[SectionReplan], happened: Sequence[Happened], standing: Standing, now: Standing
) -> tuple[Caution, ...]:
    """What a person should know of the rest.

    Args:
        found: The sections, planned again.
        happened: What happened to each.
        standing: How things stood before.
        now: How they stand now.
    """
    cautions: list[Caution] = []
    show = now.batch.style.finer().show
    for section, what, then, since in zip(found, happened, standing.hands, now.hands, strict=True):
        planned = _lengths(then.bench)
        for piece in what.measured:
            off = piece.length - planned[piece.part]
            if abs(off) > FAR_OFF:
                cautions.append(
                    Caution(
                        "measured-off",
                        about=piece.part,
                        facts=(("off", show(Fraction(abs(off), 10**6))), ("sign", "+" if off > 0 else "−")),
                    )
                )
        for pieces in since.bench.pieces:
            off = pieces.part.length - planned.get(pieces.name, pieces.part.length)
            if off and pieces.made and not pieces.measured:
                cautions.append(
                    Caution(
                        "cut-before-measured",
                        about=pieces.name,
                        facts=(
                            ("made", str(pieces.made)),
                            ("off", show(Fraction(abs(off), 10**6))),
                            ("sign", "+" if off > 0 else "−"),
                        ),
                    )
                )
        if not section.again.finished:
            cautions += section.again.plan.cautions
            if what.lost:
                cautions.append(Caution("split-runs-on", about=section.cut.problem.section))
    return gathered(cautions)


def _lengths(bench: Bench) -> Mapping[str, int]:
    return {pieces.name: pieces.part.length for pieces in bench.pieces}
