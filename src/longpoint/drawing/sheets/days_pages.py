"""What is done on which day and what waits for what; and the tools, clamps and jigs to have ready."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import Beside, Block, Column, Heading, Page, Paragraph, Table
from longpoint.drawing.words.voice import Voice
from longpoint.needs.days import BenchDays, DayTask, Wait
from longpoint.needs.tools import Tool


def days_page(plan: BenchDays, *, hours_a_day: float, say: Voice) -> Page:
    """The plan of the days.

    Args:
        plan: The days.
        hours_a_day: Hours of a day. [h]
        say: How the sheet speaks.
    """
    square = 10.7639 if say.lengths.system == "in" else 1.0  # square feet in a square metre
    table = Table(
        (
            Column(say("days.day"), strong=True),
            Column(say("days.what"), share=1.0),
            Column(say("days.hours"), "end"),
            Column(say("days.flat", unit="ft²" if square > 1 else "m²"), "end"),
        ),
        tuple(
            (
                str(day.first) if day.first == day.last else f"{day.first}–{day.last}",
                " ".join(_task(task, say) for task in day.tasks),
                say.number(day.minutes / 60, places=1),
                say("days.lying", count=day.lying, area=say.number(day.area * square, places=1))
                if day.lying
                else "–",
            )
            for day in plan.days
        ),
        close=True,
    )
    blocks: list[Block] = [table]
    if plan.waits:
        blocks += [
            Heading(say("days.waits"), 2),
            Table(
                (
                    Column(say("days.after"), share=1.0),
                    Column(say("days.before"), share=0.8),
                    Column(say("days.wait"), "end", strong=True),
                ),
                tuple(_wait(wait, say) for wait in plan.waits),
                close=True,
            ),
        ]
    said = [] if plan.open_minutes is None else [say("days.open", minutes=say.number(plan.open_minutes))]
    said.append(say("days.floor", floor=say.face(*plan.floor)))
    blocks.append(Paragraph(" ".join(said), "small"))
    return Page(
        "days",
        say("section-name.start"),
        say("days.title"),
        tuple(blocks),
        lead=say(
            "days.lead",
            day=say.number(hours_a_day, places=0 if hours_a_day == int(hours_a_day) else 1),
            hours=say.number(plan.hours),
            ready=plan.ready,
        ),
        flows=True,
    )


def _task(task: DayTask, say: Voice) -> str:
    what = say(f"days.{task.kind}", coat=task.coat, name=_coating(task.coating, say))
    what = what[:1].upper() + what[1:]
    if not task.works:
        return f"**{what}**."
    works = ", ".join(code if count == 1 else f"{code} × {count}" for code, count in task.works)
    return f"**{what}:** {works}."


def _coating(name: str, say: Voice) -> str:
    key = "coating." + name.replace(" ", "-")
    return say(key) if say.has(key) else name


def _wait(wait: Wait, say: Voice) -> tuple[str, str, str]:
    key = wait.after if wait.after != "coat" else "coat-last" if wait.last else "coat-between"
    before = say("days.before-paint") if key == "coat-last" else say(f"days.before-{key}")
    return (
        say(f"days.after-{key}", name=_coating(wait.coating, say)),
        before,
        duration(wait.low, wait.high, say),
    )


def duration(low: float, high: float, say: Voice) -> str:
    """A time to wait, in minutes, hours or days."""
    for key, hours, enough in (("days", 24.0, 48.0), ("hours", 1.0, 2.0)):
        if high >= enough:
            ends = (say.number(low / hours), say.number(high / hours))
            return say(f"canvas.{key}", **{key: ends[0] if ends[0] == ends[1] else f"{ends[0]}–{ends[1]}"})
    return say("days.minutes", minutes=say.number(60 * low))


def tools_page(tools: Sequence[Tool], *, say: Voice) -> Page:
    """The list of tools, clamps and jigs.

    Args:
        tools: In the order of the work.
        say: How the sheet speaks.
    """
    rows = [(str(tool.count) if tool.count else "", _tool(tool, say)) for tool in tools]
    half = -(-len(rows) // 2)
    columns = (Column(say("tool.count"), "end", strong=True), Column(say("tool.what"), share=1.0))
    tables = (
        Table(columns, tuple(some), tick=True, close=True) for some in (rows[:half], rows[half:]) if some
    )
    return Page(
        "tools",
        say("section-name.start"),
        say("tool.title"),
        (Beside(tuple((table,) for table in tables)),),
        lead=say("tool.lead"),
        flows=True,
    )


_ROUGH = frozenset(("tape", "clamps"))
"""Tools whose size need only be large enough."""


def _tool(tool: Tool, say: Voice) -> str:
    shown = say.whole if tool.key in _ROUGH else say.fine
    sizes = ", ".join(dict.fromkeys(shown(size) for size in tool.sizes))
    return say(
        f"tool.{tool.key}",
        sizes=f"{sizes} {say.unit}" if sizes else "",
        masses=", ".join(say.number(mass, places=2) for mass in tool.masses),
    )
