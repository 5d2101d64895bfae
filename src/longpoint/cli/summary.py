"""A short summary of a plan that a person can act on, in the batch's language."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from rich.console import Console
from rich.table import Table

from longpoint.cli.speaking import answers
from longpoint.costing.buying import bought
from longpoint.drawing.words.own_words import caution_words, product_words, section_words, thing_words
from longpoint.drawing.words.remarks import GRAVE, rank_of
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.jobs.plan import Plan
from longpoint.needs.planned import PlannedWork

_MOST_NAMED = 4
"""Things without a price that are named in the summary; the buying list names all."""


def print_summary(plan: Plan, *, out: Path | None, sheets: Mapping[str, int] | None = None) -> None:
    """Prints what is made, what is bought, and where the results are."""
    console = answers()
    say = voice_of(plan.batch.language, plan.batch.style)
    pieces = sum(work.how_many for work in plan.works)
    parts = sum(part.how_many for work in plan.works for part in work.parts)
    title = f"[bold]{_plain(plan.batch.title)}[/bold]"
    works = _counted(say, "work", pieces)
    console.print(say("summary.made", title=title, works=works, parts=parts, revision=plan.revision))
    for caution in plan.cautions:
        if rank_of(caution) in GRAVE:
            console.print(caution_words(caution, say), style="bold", markup=False)
    console.print(_works(plan, say))
    _print_timber(console, plan, say)
    _print_cloth(console, plan, say)
    _print_money(console, plan, say)
    if out is not None:
        console.print(say("summary.results", out=out), markup=False)
    if sheets:
        listed = ", ".join(f"{path} {count}" for path, count in sheets.items())
        console.print(say("summary.sheets", listed=listed), markup=False)


def print_end(plan: Plan, console: Console) -> None:
    """The last line: how many works do not hold as planned; nothing where all do."""
    say = voice_of(plan.batch.language, plan.batch.style)
    names = [work.name for work in plan.works if work.strength is not None and work.strength.answer == "not"]
    if names:
        key = "summary.end-not-1" if len(names) == 1 else "summary.end-not"
        words = say(key, count=len(names), works=len(plan.works), names=", ".join(names))
        console.print(words, style="bold", markup=False)


def _works(plan: Plan, say: Voice) -> Table:
    table = Table(box=None, pad_edge=False, show_edge=False)
    table.add_column("")
    for key in ("work", "face", "bars", "inside"):
        table.add_column(say(f"summary.{key}", unit=say.unit))
    table.add_column(say.mass_unit, justify="right")
    for work in plan.works:
        design = work.designed.design
        name = _plain(work.name) + (f" × {work.how_many}" if work.how_many > 1 else "")
        table.add_row(
            work.code,
            name,
            f"{say.length(design.width)} × {say.length(design.height)}",
            f"{say.fine(design.bar_thickness)} × {say.fine(design.bar_depth)}",
            _inside(work, say),
            say.mass(work.mass),
        )
    return table


def _inside(work: PlannedWork, say: Voice) -> str:
    design = work.designed.design
    inside = []
    if design.cross_rails:
        inside.append(_counted(say, "cross-rail", len(design.cross_rails)))
    if design.middle_pieces:
        inside.append(say("summary.middle-pieces"))
    if design.end_rails:
        inside.append(_counted(say, "end-rail", len(design.end_rails)))
    return ", ".join(inside) or say("summary.nothing")


def _print_timber(console: Console, plan: Plan, say: Voice) -> None:
    console.print(say("summary.timber"), style="bold")
    for board in plan.boards:
        boards = sum(board.boards_taken.values())
        # Where nothing is priced the plan counts metres.
        unit = plan.batch.currency if board.priced else "ft" if plan.batch.style.system == "in" else "m"
        cost = say.number(
            float(board.plan.cost) / (0.3048 if unit == "ft" and not board.priced else 1), places=2
        )
        words = say(
            "summary.boards-1" if boards == 1 else "summary.boards",
            section=section_words(board.problem.section, say),
            count=boards,
            new=board.to_buy,
            cost=f"{cost} {unit}".strip(),
            verdict=_verdict(say, proven=board.plan.proven, gap=board.plan.gap),
        )
        console.print(f"  {words}", markup=False)


def _print_cloth(console: Console, plan: Plan, say: Voice) -> None:
    console.print(say("summary.cloth"), style="bold")
    for cloth in plan.cloths:
        verdict = _verdict(say, proven=cloth.plan.proven, gap=cloth.plan.gap)
        for use in cloth.plan.uses:
            inch = plan.batch.style.system == "in"
            length = say.number(use.used / (914.4 if inch else 1000.0), places=2) + (" yd" if inch else " m")
            words = say("summary.roll", roll=product_words(use.roll, say), length=length, verdict=verdict)
            console.print(f"  {words}", markup=False)


def _print_money(console: Console, plan: Plan, say: Voice) -> None:
    currency = plan.batch.currency
    total = bought(plan.buying)
    if total is not None:
        amount = f"{say.number(float(total), places=2)} {currency}".strip()
        console.print(f"[bold]{say('summary.to-buy')}[/bold] {_plain(amount)}")
    missing = [thing_words(what, say) for what in plan.cost.missing]
    if missing and total is None:
        rate = "per_foot" if say.lengths.system == "in" else "per_metre"
        console.print(say("summary.no-prices", rate=rate), markup=False)
    elif missing:
        more = len(missing) - _MOST_NAMED
        key = "summary.unpriced-more" if more > 0 else "summary.unpriced"
        console.print("  " + say(key, what=", ".join(missing[:_MOST_NAMED]), count=more), markup=False)
    if plan.cost.total:
        amount = f"{say.number(float(plan.cost.total), places=2)} {currency}".strip()
        console.print(f"[bold]{say('summary.cost')}[/bold]   {_plain(amount)} {say('summary.estimate')}")


def _verdict(say: Voice, *, proven: bool, gap: Fraction | float) -> str:
    """How near the least possible; a gap is rounded up, so that no rounding makes it nought."""
    if proven:
        return say("summary.least")
    return say("summary.within", gap=say.number(math.ceil(gap * 10_000) / 100, places=2))


def _counted(say: Voice, key: str, number: int) -> str:
    return say(f"summary.{key}-1") if number == 1 else say(f"summary.{key}s", count=number)


def _plain(text: str) -> str:
    return text.replace("[", "\\[")
