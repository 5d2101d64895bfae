"""``longpoint compare``: up to five batches side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longpoint.cli.batch_file import BatchFile
    from longpoint.drawing.words.voice import Voice
    from longpoint.jobs.compare import Side, WorkSide


def compare(
    batches: Annotated[
        list[Path], typer.Argument(help="Batch files, two to five.", metavar="BATCH BATCH...")
    ],
    by_rule: Annotated[
        bool, typer.Option(help="Rails by the rule of thumb; quicker, and nothing is said of strength.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Everything, as JSON.")] = False,
) -> None:
    """Plan batches and put them side by side: cost, hours, mass, pull-in, what holds, boards. Writes nothing."""
    from longpoint.choosing.by_rule import design_of
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.cli.answer_json import say_json
    from longpoint.cli.batch_file import read_batch
    from longpoint.cli.progress import progress
    from longpoint.cli.together import Together
    from longpoint.errors import Fault, FaultsError
    from longpoint.export.rows.sides import sides_json
    from longpoint.jobs.compare import MOST, side_of
    from longpoint.jobs.plan import plan_batch

    given = Together()
    if not 2 <= len(batches) <= MOST:
        what = f"{len(batches)} batch{'' if len(batches) == 1 else 'es'} cannot be put side by side."
        given.faults.append(Fault("not-side-by-side", what, f"Name two to {MOST} batch files."))
    found: list[BatchFile] = []
    for path in batches:
        read = given.tried(lambda path=path: read_batch(path))  # type: ignore[misc]
        if read is not None:
            found.append(read)
    given.needed(found)
    sides: list[Side] = []
    faults: list[Fault] = []
    with progress() as say:
        for path, read in zip(batches, found, strict=True):
            say(f"Planning {path.name}")
            try:
                plan = plan_batch(read.batch, choose=design_of if by_rule else ComputedChooser(say), say=say)
            except FaultsError as error:
                faults += read.placed(error.faults)
                continue
            sides.append(side_of(plan, path.stem))
    if faults:
        raise FaultsError(faults)
    if as_json:
        say_json(sides_json(sides))
    else:
        _print(sides, found)


def _print(sides: Sequence[Side], found: Sequence[BatchFile]) -> None:
    from rich.table import Table

    from longpoint.cli.speaking import answers
    from longpoint.drawing.words.voice import voice_of

    say = voice_of(found[0].batch.language, found[0].batch.style)
    table = Table(box=None, pad_edge=False, show_edge=False)
    table.add_column("")
    for side in sides:
        table.add_column(_plain(side.name), justify="right")
    lines = [_side(side, say) for side in sides]
    for key in lines[0]:
        if any(line[key] for line in lines):
            table.add_row(_plain(key), *(line[key] for line in lines))
    names = dict.fromkeys(work.name for side in sides for work in side.works)
    for name in names:
        mine = [next((work for work in side.works if work.name == name), None) for side in sides]
        table.add_row(f"[bold]{_plain(name)}[/bold]")
        rows = [_work(work, side, say) for work, side in zip(mine, sides, strict=True)]
        for key in next(row for row in rows if row):
            if any(row.get(key) for row in rows):
                table.add_row(f"  {_plain(key)}", *(row.get(key) or "–" for row in rows))
    console = answers()
    console.print(table)
    console.print(say("compare.estimate"), markup=False)


def _side(side: Side, say: Voice) -> dict[str, str]:
    hours = side.hours
    holds = ", ".join(
        say(f"compare.{key}", count=count)
        for key, count in zip(("holds", "unless", "not"), side.holding, strict=True)
        if count
    )
    return {
        say("compare.pieces"): str(side.pieces),
        say("compare.cost"): say.money(side.cost, side.currency) if side.cost else "",
        say("compare.price"): say.money(side.price, side.currency) if side.price else "",
        say("compare.to-buy"): "" if side.paid is None else say.money(side.paid, side.currency),
        say("compare.hours"): say(
            "compare.spread",
            **{end: say.number(getattr(hours, end), places=1) for end in ("low", "middle", "high")},
        ),
        say("compare.mass"): say.mass(side.mass, unit=True),
        say("compare.pulled-in", unit=say.unit): "" if side.pulled_in is None else say.small(side.pulled_in),
        say("compare.verdict"): holds,
        say("compare.boards"): str(side.boards) + (f" + {side.from_rack}" if side.from_rack else ""),
        say("compare.cloth"): say.run(side.cloth, cloth=True),
        say("compare.ready"): str(side.ready),
    }


def _work(work: WorkSide | None, side: Side, say: Voice) -> dict[str, str]:
    if work is None:
        return {}
    return {
        say("compare.pieces"): str(work.pieces),
        say("compare.cost-one"): say.money(work.cost, side.currency) if work.cost else "",
        say("compare.price-one"): say.money(work.price, side.currency) if work.price else "",
        say("compare.hours-one"): say.number(work.hours, places=1),
        say("compare.mass-one"): say.mass(work.mass, unit=True),
        say("compare.pulled-in", unit=say.unit): "" if work.pulled_in is None else say.small(work.pulled_in),
        say("compare.verdict"): "" if work.answer is None else say(f"start.holds-{work.answer}"),
    }


def _plain(text: str) -> str:
    return text.replace("[", "\\[")
