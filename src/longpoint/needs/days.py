"""The days of a batch for one pair of hands: what is done when, what dries meanwhile, how much floor lies under it.

Of the stages that are ready, the one is begun whose copy has the longest way still to go, waits counted; where
two are alike, the work that stands first in the batch file. So frames are glued while others set, and nothing
waits for what could have been done before. All boards are sawn first, since they are shared between works.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.model.batch import Batch
from longpoint.needs.hours import Stage, StageKind, cure_minutes, set_up_of, stages_of
from longpoint.needs.planned import PlannedWork

_NIGHT_TO_NIGHT = 24 * 60.0
_LEAST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class DayTask:
    """What is done on a day in one go.

    Attributes:
        kind: What.
        coating: What is brushed on; "" where nothing is.
        coat: Which coat of it, from 1.
        works: Letters of the works with how many copies; () for all boards at the saw.
    """

    kind: StageKind
    coating: str = ""
    coat: int = 0
    works: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day, or days on which the same is done.

    Attributes:
        first: Number of the first, from 1.
        last: Of the last.
        tasks: What is done, in order.
        minutes: At work, on all of them together; estimate. [min]
        clamped: Most frames that lie in clamps at once.
        lying: Most works that lie flat at once.
        area: What those cover at most. [m²]
    """

    first: int
    last: int
    tasks: tuple[DayTask, ...]
    minutes: float
    clamped: int
    lying: int
    area: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """What must pass between two stages.

    Attributes:
        after: What was done: join, corners, frame, or a coat.
        coating: What was brushed on; "" where nothing was.
        last: Whether that was its last coat.
        low: At least. [h]
        high: Better. [h]
    """

    after: str
    coating: str = ""
    last: bool = False
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchDays:
    """The days of a batch.

    Attributes:
        days: In order, without days on which nothing is done.
        waits: What waits for what, in the order of the work.
        hours: At work in all; estimate. [h]
        ready: The day from which everything can be painted.
        floor: Free floor to turn the largest frame over, width and height. [mm]
        open_minutes: Open time of the glue; None where nothing is glued. [min]
    """

    days: tuple[Day, ...]
    waits: tuple[Wait, ...]
    hours: float
    ready: int
    floor: tuple[float, float]
    open_minutes: float | None


@dataclass(slots=True)
class _Copy:
    """One copy on its way."""

    order: int
    code: str
    area: float
    stages: Sequence[Stage]
    at: int = 0
    ready: float = 0.0

    @property
    def ahead(self) -> float:
        """What it still takes, waits counted. [min]"""
        return sum(stage.minutes + stage.wait for stage in self.stages[self.at :])


@dataclass(frozen=True, slots=True)
class _Done:
    """A stage done, from when to when; until when it lies."""

    start: float
    end: float
    free: float
    stage: Stage
    copy: _Copy | None


TURNING = 600.0
"""Free floor round a frame that is turned over. [mm] Estimate."""


def days_of(batch: Batch, works: Sequence[PlannedWork]) -> BenchDays:
    """The days of a batch.

    Args:
        batch: For the hours of a day and the glue.
        works: The works.
    """
    day = 60 * float(batch.shop.hours_a_day)
    made = [
        (order, work, stages_of(batch.shop, batch.glue, work, copy=copy))
        for order, work in enumerate(works)
        for copy in range(1, work.how_many + 1)
    ]
    sawing = set_up_of(batch.shop).minutes.middle + sum(stages[0].minutes for _, _, stages in made)
    copies = [
        _Copy(order, work.code, float(work.frame.design.width * work.frame.design.height) / 1e6, stages[1:])
        for order, work, stages in made
    ]
    done = _walked(copies, sawing, day)
    largest = max((work.frame.design for work in works), key=lambda design: design.width * design.height)
    glued = any(work.build.glue_grams for work in works)
    return BenchDays(
        days=_days(done),
        waits=_waits(batch, works, glued=glued),
        hours=sum(one.end - one.start for one in done) / 60,
        ready=1 + int(max(copy.ready for copy in copies) // _NIGHT_TO_NIGHT),
        floor=(float(largest.width) + 2 * TURNING, float(largest.height) + 2 * TURNING),
        open_minutes=float(batch.glue.open_minutes) if glued else None,
    )


def _walked(copies: Sequence[_Copy], sawing: float, day: float) -> list[_Done]:
    """Every stage with its time. Days begin at whole multiples of a day and night; sawing may go on the day after."""
    done: list[_Done] = []
    now = 0.0
    while sawing > _LEAST:
        piece = min(sawing, day - now % _NIGHT_TO_NIGHT)
        done.append(_Done(now, now + piece, now + piece, Stage(kind="saw", minutes=piece), None))
        sawing -= piece
        now += piece
        if sawing > _LEAST:
            now = _next_day(now)
    waiting = list(copies)
    while waiting:
        left = day - now % _NIGHT_TO_NIGHT
        fresh = now % _NIGHT_TO_NIGHT == 0
        able = [
            copy
            for copy in waiting
            if copy.ready <= now + _LEAST and (fresh or copy.stages[copy.at].minutes <= left + _LEAST)
        ]
        if not able:
            soonest = min(copy.ready for copy in waiting)
            today = now < soonest < now + left
            now = soonest if today else _next_day(now)
            continue
        copy = min(able, key=lambda one: (-round(one.ahead, 3), one.order))
        stage = copy.stages[copy.at]
        end = now + stage.minutes
        done.append(_Done(now, end, end + (stage.wait if stage.lies else 0.0), stage, copy))
        copy.at += 1
        copy.ready = end + stage.wait
        now = end if end % _NIGHT_TO_NIGHT < day - _LEAST and end - done[-1].start < day else _next_day(end)
        if copy.at == len(copy.stages):
            waiting.remove(copy)
    return done


def _next_day(now: float) -> float:
    return (now // _NIGHT_TO_NIGHT + 1) * _NIGHT_TO_NIGHT


def _days(done: Sequence[_Done]) -> tuple[Day, ...]:
    """Days with what is done on them; neighbours on which the same kinds of thing are done stand together."""
    by_day: dict[int, list[_Done]] = {}
    for one in done:
        by_day.setdefault(int(one.start // _NIGHT_TO_NIGHT), []).append(one)
    runs: list[list[int]] = []
    for number, today in by_day.items():
        before = runs[-1] if runs else []
        if before and before[-1] == number - 1 and _kinds(by_day[before[-1]]) == _kinds(today):
            before.append(number)
        else:
            runs.append([number])
    return tuple(_day(run, [one for number in run for one in by_day[number]], done) for run in runs)


def _kinds(today: Sequence[_Done]) -> list[tuple[str, str, int]]:
    return list(dict.fromkeys((one.stage.kind, one.stage.coating, one.stage.coat) for one in today))


def _day(run: Sequence[int], today: Sequence[_Done], done: Sequence[_Done]) -> Day:
    tasks: dict[tuple[StageKind, str, int], dict[str, int]] = {}
    for one in today:
        key = (one.stage.kind, one.stage.coating, one.stage.coat)
        codes = tasks.setdefault(key, {})
        if one.copy is not None:
            codes[one.copy.code] = codes.get(one.copy.code, 0) + 1
    begins = [*(_NIGHT_TO_NIGHT * number for number in run), *(one.start for one in today)]
    lying = [[one for one in done if one.start <= at < one.free and one.stage.lies] for at in begins]
    return Day(
        first=run[0] + 1,
        last=run[-1] + 1,
        tasks=tuple(
            DayTask(kind=kind, coating=coating, coat=coat, works=tuple(codes.items()))
            for (kind, coating, coat), codes in tasks.items()
        ),
        minutes=sum(one.end - one.start for one in today),
        clamped=max(sum(one.stage.clamped for one in some) for some in lying),
        lying=max(len(some) for some in lying),
        area=max(sum(one.copy.area for one in some if one.copy is not None) for some in lying),
    )


def _waits(batch: Batch, works: Sequence[PlannedWork], *, glued: bool) -> tuple[Wait, ...]:
    found: dict[tuple[str, str, bool], Wait] = {}

    def add(wait: Wait) -> None:
        found.setdefault((wait.after, wait.coating, wait.last), wait)

    cure, clamped = cure_minutes() / 60, float(batch.glue.set_minutes) / 60
    if any(work.frame.design.bar_boards > 1 for work in works):
        add(Wait(after="glue-up", low=cure, high=cure))
    if any(work.frame.design.joins for work in works):
        add(Wait(after="join", low=cure, high=cure))
    if glued:
        add(Wait(after="corners", low=clamped, high=clamped))
        add(Wait(after="frame", low=cure, high=cure))
    for work in works:
        steps = () if work.canvas.priming is None else work.canvas.priming.steps
        for number, step in enumerate(steps, start=1):
            last = number == len(steps) or steps[number].name != step.name
            add(Wait(after="coat", coating=step.name, last=last, low=step.wait[0], high=step.wait[1]))
    return tuple(found.values())
