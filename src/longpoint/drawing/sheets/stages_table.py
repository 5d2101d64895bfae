"""The tensions of works at each stage, as one table wherever they are printed."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import Column, Table
from longpoint.drawing.words.voice import Voice
from longpoint.works.tension import Tensions


def rough(tension: float, say: Voice) -> str:
    """A tension in N/m from N/mm. Cloth is known to a factor, so no more than its tens are printed, anywhere."""
    value = max(1000 * tension, 0.0)
    return say.number(round(value, -1) if value >= 20 else round(value))


def stage_lines(tensions: Tensions, say: Voice) -> tuple[str, ...]:
    """The same of one work in lines, for a screen."""
    lines = [
        say(
            "stage.line",
            when=say(f"stage.{stage.name.replace(' ', '-')}"),
            least=rough(stage.tension.low, say),
            likely=rough(stage.tension.middle, say),
            most=rough(stage.tension.high, say),
        )
        for stage in tensions.stages
    ]
    whence = say("stage.rehearsed" if tensions.rehearsed else "stage.estimated")
    return (f"{say('stage.title')} ({whence})", *lines)


def stages_table(works: Sequence[tuple[str, Tensions]], say: Voice) -> Table:
    """Tensions at each stage, least, likely and most; works for which they print alike share their lines.

    Args:
        works: Marks of the works, "" for a page of one work, with their tensions.
        say: How the sheet speaks.
    """
    alike: dict[tuple[tuple[str, ...], ...], list[str]] = {}
    for mark, tensions in works:
        lines = tuple(
            (
                say(f"stage.{stage.name.replace(' ', '-')}"),
                *(
                    rough(value, say)
                    for value in (stage.tension.low, stage.tension.middle, stage.tension.high)
                ),
                say(f"stage.{stage.whence}"),
            )
            for stage in tensions.stages
        )
        alike.setdefault(lines, []).append(mark)
    marked = any(mark for mark, _ in works)
    rows = []
    for lines, marks in alike.items():
        for number, line in enumerate(lines):
            first = (", ".join(marks) if number == 0 else "",) if marked else ()
            rows.append((*first, *line))
    columns = [
        Column(say("stage.when"), share=1.0),
        Column(say("stage.least"), "end"),
        Column(say("stage.likely"), "end", strong=True),
        Column(say("stage.most"), "end"),
        Column(say("stage.whence")),
    ]
    if marked:
        columns.insert(0, Column(say("start.mark"), strong=True))
    return Table(tuple(columns), tuple(rows), size="small")
