"""Rows of ``plan.json`` about the bench: the days of a batch, what waits for what, and the tools to have ready."""

from __future__ import annotations

from pydantic import Field

from longpoint.export.rows.row import Row, mm
from longpoint.needs.days import BenchDays, Day, Wait
from longpoint.needs.tools import Tool


class TaskRow(Row):
    """What is done on a day in one go."""

    kind: str = Field(description="saw, join, corners, halves, inside, stretch or coat.")
    coating: str = Field(description='What is brushed on; "" where nothing is.')
    coat: int = Field(description="Which coat of it, from 1; 0 where nothing is brushed on.")
    works: dict[str, int] = Field(
        description="Letters of the works and how many copies; empty for all boards."
    )


class DayRow(Row):
    """A day, or days on which the same is done."""

    first: int
    last: int
    tasks: list[TaskRow]
    hours: float = Field(description="At work, on all of them together; estimate.")
    lying: int = Field(description="Most works that lie flat at once.")
    area: float = Field(description="What those cover at most, m².")


class WaitRow(Row):
    """What must pass between two stages."""

    after: str = Field(description="join, corners, frame or coat.")
    coating: str
    last: bool = Field(description="Whether that was its last coat.")
    low: float = Field(description="At least, hours.")
    high: float = Field(description="Better, hours.")


class DaysRow(Row):
    """The days of a batch for one pair of hands."""

    days: list[DayRow]
    waits: list[WaitRow]
    hours: float = Field(description="At work in all.")
    ready: int = Field(description="The day from which everything can be painted.")
    floor: list[float] = Field(description="Free floor to turn the largest frame over, width and height, mm.")


class ToolRow(Row):
    """A thing to have ready."""

    key: str
    count: int = Field(description="How many; 0 where the sizes say it.")
    sizes: list[float] = Field(description="mm.")
    masses: list[float] = Field(description="kg.")


def days_row(days: BenchDays) -> DaysRow:
    """The days as a row."""
    return DaysRow(
        days=[_day(day) for day in days.days],
        waits=[_wait(wait) for wait in days.waits],
        hours=round(days.hours, 1),
        ready=days.ready,
        floor=[mm(side) for side in days.floor],
    )


def tool_row(tool: Tool) -> ToolRow:
    """A tool as a row."""
    return ToolRow(
        key=tool.key,
        count=tool.count,
        sizes=[mm(size) for size in tool.sizes],
        masses=[round(mass, 3) for mass in tool.masses],
    )


def _day(day: Day) -> DayRow:
    return DayRow(
        first=day.first,
        last=day.last,
        tasks=[
            TaskRow(kind=task.kind, coating=task.coating, coat=task.coat, works=dict(task.works))
            for task in day.tasks
        ],
        hours=round(day.minutes / 60, 1),
        lying=day.lying,
        area=round(day.area, 2),
    )


def _wait(wait: Wait) -> WaitRow:
    return WaitRow(after=wait.after, coating=wait.coating, last=wait.last, low=wait.low, high=wait.high)
