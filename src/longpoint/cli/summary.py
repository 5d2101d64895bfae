"""A short summary of a plan that a person can act on."""

from __future__ import annotations

from pathlib import Path

from rich.table import Table

from longpoint.cli.speaking import answers
from longpoint.costing.buying import bought
from longpoint.jobs.plan import Plan
from longpoint.units import show_money

_MOST_NAMED = 4
"""Things without a price that are named in the summary; the buying list names all."""


def print_summary(plan: Plan, *, out: Path) -> None:
    """Prints what is made, what is bought, and where the results are."""
    console = answers()
    style, currency = plan.batch.style, plan.batch.currency
    pieces = sum(work.how_many for work in plan.works)
    parts = sum(part.how_many for work in plan.works for part in work.parts)
    made = f"{_counted(pieces, 'work', 'works')}, {parts} parts"
    console.print(f"[bold]{_plain(plan.batch.title)}[/bold]: {made}. Plan {plan.revision}.")
    table = Table(box=None, pad_edge=False, show_edge=False)
    for head in ("", "work", f"face, {style.system}", "bars", "inside", "kg"):
        table.add_column(head, justify="right" if head == "kg" else "left")
    for work in plan.works:
        design = work.designed.design
        inside = []
        if design.cross_rails:
            inside.append(_counted(len(design.cross_rails), "cross rail", "cross rails"))
        if design.middle_pieces:
            inside.append("middle pieces")
        if design.end_rails:
            inside.append(_counted(len(design.end_rails), "end rail", "end rails"))
        name = _plain(work.name) + (f" × {work.how_many}" if work.how_many > 1 else "")
        fine = style.finer()
        table.add_row(
            work.code,
            name,
            f"{style.show(design.width, with_unit=False)} × {style.show(design.height, with_unit=False)}",
            f"{fine.show(design.bar_thickness, with_unit=False)} × {fine.show(design.bar_depth, with_unit=False)}",
            ", ".join(inside) or "nothing",
            f"{work.mass:.1f}",
        )
    console.print(table)
    console.print("[bold]Timber[/bold]")
    for board in plan.boards:
        boards = len(board.plan.boards)
        new = sum(not item.at_hand for item in board.plan.boards)
        cost = (
            f"{float(board.plan.cost):.2f} {currency}".strip()
            if board.priced
            else f"{float(board.plan.cost):.2f} m"
        )
        counted = f"{_counted(boards, 'board', 'boards')} ({new} to buy)"
        console.print(f"  {board.problem.section}: {counted}, {cost}, {board.plan.verdict}", markup=False)
    console.print("[bold]Cloth[/bold]")
    for cloth in plan.cloths:
        for use in cloth.plan.uses:
            bound = (
                "proven least"
                if cloth.plan.proven
                else f"within {cloth.plan.gap * 100:.1f} % of the least possible"
            )
            console.print(f"  {use.roll}: {_metres(use.used, style.system)}, {bound}", markup=False)
    total = bought(plan.buying)
    if total is not None:
        console.print(f"[bold]To buy[/bold] {show_money(total, currency)}")
    missing = plan.cost.missing
    if missing and total is None:
        console.print(
            "No prices are stated, so nothing is costed: give price or per_metre under [[yard]], [[roll]], [[screw]].",
            markup=False,
        )
    elif missing:
        shown = ", ".join(missing[:_MOST_NAMED])
        more = (
            f" and {len(missing) - _MOST_NAMED} more, see the buying list"
            if len(missing) > _MOST_NAMED
            else ""
        )
        console.print(f"  without a price: {shown}{more}", markup=False)
    if plan.cost.total:
        console.print(f"[bold]Cost[/bold]   {show_money(plan.cost.total, currency)} (time is an estimate)")
    console.print(f"Results: {out}/pack.pdf first; drawings, tables and plan.json beside it.", markup=False)


def _metres(length: float, system: str) -> str:
    return f"{length / 914.4:.2f} yd" if system == "in" else f"{length / 1000:.2f} m"


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _plain(text: str) -> str:
    return text.replace("[", "\\[")
