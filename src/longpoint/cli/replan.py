"""``longpoint replan``: the rest of a plan after something went wrong at the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longpoint.cli.answer_json import say_json
from longpoint.cli.at_store import Data
from longpoint.cli.out import named_folder

if TYPE_CHECKING:
    from rich.console import Console

    from longpoint.cutting.remainder.replan import Replanned
    from longpoint.replanning.answer import Replan


def replan(
    plan: Annotated[
        Path | None, typer.Argument(help="plan.json of a plan, or replan.json of the rest planned last.")
    ] = None,
    events: Annotated[
        Path | None, typer.Argument(help="What was cut and what happened since then, TOML.")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", parser=named_folder, metavar="FOLDER", help="Folder for saw pages and JSON."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON instead of tables.")] = False,
    paper: Annotated[str, typer.Option(help="A4 or Letter; otherwise as the batch says.")] = "",
    rack: Annotated[
        bool,
        typer.Option(
            "--rack", help="With what lies free in the rack now; new boards from there are kept for the rest."
        ),
    ] = False,
    data: Data = "",
    starter: Annotated[
        Path | None, typer.Option(help="Write a file of events with a comment for every key, and stop.")
    ] = None,
) -> None:
    """Plan the rest after a spoiled piece or a bad board: least new timber, nothing cut is moved."""
    from contextlib import nullcontext

    from longpoint.cli.folder import REPLANNED, check_folder, write_folder
    from longpoint.cli.planned_from_store import keeping, say_plan, with_free_boards
    from longpoint.cli.progress import progress
    from longpoint.cli.speaking import say_cautions
    from longpoint.cli.together import Together
    from longpoint.cli.writing import read_bytes
    from longpoint.drawing.paper.pages import paper_named
    from longpoint.drawing.views.boards import in_plain_names
    from longpoint.drawing.words.voice import voice_of
    from longpoint.errors import FaultsError, refuse
    from longpoint.export.replan_files import replan_files, replan_json
    from longpoint.export.rows.replan import read_old_plan
    from longpoint.jobs.replan import replan_after
    from longpoint.model.events import Events
    from longpoint.model.reading import placed, read_text

    if starter is not None:
        _write_starter(starter)
        return
    if plan is None or events is None:
        raise refuse(
            "file-missing",
            "A plan and a file of events are needed.",
            "longpoint replan plan.json events.toml -o out; --starter FILE writes a file of events to fill in.",
        )
    given = Together()
    before = given.tried(lambda: read_old_plan(read_bytes(plan), file=plan.name))
    unit = "mm" if before is None else before.batch.unit
    happened = given.tried(lambda: read_text(Events, read_bytes(events), file=events.name, unit=unit))
    if happened is not None:
        given.faults += happened.faults
    given.tried(lambda: paper_named(paper or "A4"))
    if out is not None:
        given.tried(lambda: check_folder(out, REPLANNED))
    old, stated = given.needed(before), in_plain_names(given.needed(happened).whole())
    sheet = paper_named(paper or old.batch.paper)
    if rack:
        old = with_free_boards(old, data)
    with progress() as say:
        try:
            found = replan_after(old, stated, say=say)
        except FaultsError as error:
            source = given.needed(happened).source
            raise FaultsError(placed(error.faults, source, file=events.name)) from None
        last = keeping(replan_json(found), data) if rack else nullcontext()
        if out is not None:
            say("Drawing the saw pages")
            files = replan_files(found, paper=sheet)
            kept = write_folder(out, REPLANNED, files.items(), last=last)
            document = files[REPLANNED.ledger]
        else:
            document = replan_json(found)
            with last as kept:
                pass
    if as_json:
        say_json(document.decode())
    else:
        _show(found, out)
    say_cautions(found.cautions, voice_of(found.batch.language, found.batch.style))
    if kept is not None:
        say_plan(kept, data)


def _write_starter(file: Path) -> None:
    from longpoint.cli.writing import write_file
    from longpoint.model.events import EVENTS_STARTER

    write_file(file, EVENTS_STARTER.encode())
    typer.echo(f"{file} is written. Say what happened, then: longpoint replan plan.json {file} -o out")


def _show(found: Replan, out: Path | None) -> None:
    from longpoint.cli.speaking import answers

    console = answers()
    console.print(f"The rest of plan {found.revision}: {found.batch.title}", markup=False)
    for mark, before, now in found.longer:
        show = found.batch.style.finer().show
        console.print(f"  {mark}: {show(before)} becomes {show(now)}", markup=False)
    for section in found.sections:
        again = section.again
        if again.finished:
            console.print(f"{again.plan.section}: all is cut.", markup=False)
            continue
        money = f" {found.batch.currency}".rstrip() if section.cut.priced else " m"
        _section(console, again, money)
    if out is not None:
        console.print(f"Saw pages: {out}/replan.pdf; the same as data in replan.json.", markup=False)
        console.print(
            f"If the next thing goes wrong: longpoint replan {out}/replan.json EVENTS, with what happened since.",
            markup=False,
        )


def _section(console: Console, again: Replanned, money: str) -> None:
    from collections import Counter

    from longpoint.cutting.boards.values import millimetres
    from longpoint.drawing.sheets.replan_page import counted

    left = sum(part.how_many for part in again.problem.parts)
    console.print(f"{again.plan.section}: {left} parts left to cut", markup=False, style="bold")
    if again.displaced:
        lost = ", ".join(f"{count} × {name}" if count > 1 else name for name, count in again.displaced)
        console.print(f"  lost their place: {lost}", markup=False)
    boards = Counter((board.board, board.length, board.at_hand) for board in again.to_take)
    if not boards:
        console.print("  to buy: nothing; the boards that are here are enough", markup=False)
    for (name, length, at_hand), count in boards.items():
        words = f"{millimetres(length):g} mm" if name == f"{millimetres(length):g}" else name
        source = "take from the rack" if at_hand else "buy"
        parts = "; ".join(
            counted([cut.part for cut in board.cuts])
            for board in again.to_take
            if (board.board, board.length, board.at_hand) == (name, length, at_hand)
        )
        console.print(f"  {source}: {count} × {words} for {parts}", markup=False)
    if again.to_take:
        verdict = again.plan.verdict
        console.print(f"  new timber: {float(again.plan.cost):.2f}{money}, {verdict}", markup=False)
    changed = [board for board in again.boards if board.changed]
    for board in changed:
        console.print(
            f"  {board.name}: {counted(board.now) or 'nothing more'} "
            f"instead of {counted(board.planned) or 'nothing more'}",
            markup=False,
        )
    others = sum(bool(board.now) and not board.changed for board in again.boards)
    if others:
        on = "board is" if others == 1 else "boards are"
        console.print(f"  {others} {on} cut on as planned", markup=False)
