"""``longpoint check``: does it hold and stay flat, work by work, and what would help."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.table import Table

from longpoint.cli.answer_json import say_json

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rich.console import Console

    from longpoint.drawing.words.voice import Voice
    from longpoint.jobs.check import Checked
    from longpoint.model.batch import Batch
    from longpoint.strength.study import StudyResult
    from longpoint.strength.verdicts.verdict import Verdict


MARKS = {"holds": "✓", "unless": "?", "not": "✗", None: "·"}
"""Before a verdict: holds, holds unless, does not hold, told."""


def check(
    batch: Annotated[Path, typer.Argument(help="Batch file, TOML.")],
    work: Annotated[list[str] | None, typer.Option(help="Only this work; may be repeated.")] = None,
    sentences: Annotated[
        bool, typer.Option("--sentences", help="Each limit in a sentence with its source.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Everything, as JSON.")] = False,
    study: Annotated[
        bool,
        typer.Option(help="Vary timber, joints, cloth and pull: how often each limit is kept, and why not."),
    ] = False,
    cases: Annotated[int, typer.Option(help="Cases of the study, rounded up to a power of two.")] = 128,
    seed: Annotated[int, typer.Option(help="Seed of the study.")] = 1,
    processes: Annotated[
        int, typer.Option(help="Processes of the study; 0: as many as there are cores.")
    ] = 0,
    cluster: Annotated[
        str,
        typer.Option(help="Address of a dask scheduler for the study: tls://..., or tcp:// on this machine."),
    ] = "",
) -> int:
    """Compute each work of a batch and say what holds, by how much, and what would meet a limit that is missed.

    Ends with exit code 1 where a limit is missed.
    """
    from longpoint.cli.batch_file import read_batch
    from longpoint.cli.progress import progress
    from longpoint.cli.together import Together
    from longpoint.errors import FaultsError
    from longpoint.export.check_json import checked_json
    from longpoint.jobs.check import check_batch, unknown_works
    from longpoint.jobs.study import study_faults, study_works

    given = Together()
    found = given.tried(lambda: read_batch(batch))
    if study:
        given.faults += study_faults(cases=cases, processes=processes, cluster=cluster)
    if found is not None:
        given.faults += unknown_works(found.batch, tuple(work or ()))
    read = given.needed(found)
    stated = read.batch
    with progress() as say:
        try:
            checked = check_batch(stated, works=tuple(work or ()), say=say)
        except FaultsError as error:
            raise FaultsError(read.placed(error.faults)) from None
        studies = {}
        if study:
            from longpoint.cli.check_spread import spread

            with spread(processes=processes, cluster=cluster) as run:
                studies = study_works(stated, checked, cases=cases, seed=seed, run=run, say=say)
    if as_json:
        say_json(checked_json(stated, checked, studies))
    else:
        _print(stated, checked, studies, sentences=sentences)
    # Exit code 1: computed, and something does not hold.
    return 0 if all(item.chosen.strength.passes for item in checked) else 1


def _print(
    batch: Batch, checked: tuple[Checked, ...], studies: Mapping[str, StudyResult], *, sentences: bool
) -> None:
    from longpoint.cli.speaking import answers
    from longpoint.drawing.sheets.stages_table import stage_lines
    from longpoint.drawing.words.choice import reason_words, rival_words, to_buy
    from longpoint.drawing.words.pounds import with_pounds
    from longpoint.drawing.words.strength import (
        answer_words,
        check_lines,
        kept_words,
        limit_words,
        study_words,
        verdict_name,
        verdict_sentence,
        way_out_words,
    )
    from longpoint.drawing.words.voice import voice_of

    console = answers()
    say = voice_of(batch.language, batch.style)

    def told(text: str) -> str:
        return _plain(with_pounds(text, say))

    for item in checked:
        strength = item.chosen.strength
        console.print()
        console.print(f"[bold]{_plain(item.name)}[/bold]  {say.face(item.width, item.height)}")
        console.print(f"[bold]{told(answer_words(strength.verdicts, say))}[/bold]")
        console.print(told(kept_words(strength.verdicts, say)))
        reason = reason_words(item.chosen, batch, batch.work[item.index], say)
        console.print(told(reason.replace("**", "")))
        if not sentences:
            for line in _table(strength.verdicts, say):
                console.print(line, markup=False)
        otherwise = to_buy(strength, batch.currency, say)
        for verdict in strength.verdicts:
            if not sentences and verdict.answer in ("holds", None):
                continue  # the table has its figures
            mark = MARKS[verdict.answer]
            name, words = verdict_name(verdict, say), verdict_sentence(verdict, say)
            held = (
                say("limit.held-against", limit=limit_words(verdict, say))
                if verdict.limit is not None
                else ""
            )
            _hanging(console, mark, f"[bold]{told(name)}.[/bold] {told(words)} [dim]{told(held)}[/dim]")
            if verdict.remedy is not None or (verdict.answer == "not" and verdict.judge == "design"):
                _hanging(
                    console,
                    " ",
                    told(way_out_words(verdict, say, currency=batch.currency, otherwise=otherwise)),
                )
        for line in () if not sentences else stage_lines(strength.tensions, say):
            console.print(f"  {told(line)}")
        for line in check_lines(strength.verdicts, say):
            _hanging(console, "→", told(line.replace("`", "")))
        if strength.rivals and sentences:
            console.print(say("strength.rivals-title"), style="bold")
        for rival in strength.rivals if sentences else ():
            console.print(f"  {rival_words(rival, say, currency=batch.currency)}", markup=False)
        for line in study_words(studies[item.name], say) if item.name in studies else ():
            console.print(f"  {told(line)}")
    console.print()
    if not sentences:
        console.print(say("strength.table-note"), markup=False)
    console.print(say("strength.estimate").replace("**", ""), markup=False)


def _table(verdicts: Sequence[Verdict], say: Voice) -> list[str]:
    """Every verdict in a line of its own, in columns that line up."""
    from longpoint.drawing.words.pounds import with_pounds
    from longpoint.drawing.words.strength import verdict_rows

    rows = [
        (verdict, tuple(with_pounds(cell, say, alone=True) for cell in cells))
        for verdict, cells in verdict_rows(verdicts, say)
    ]
    head = tuple(say(f"strength.table-{key}") for key in ("what", "likely", "range", "limit"))
    wide = [max(len(cells[k]) for cells in (head, *(cells for _, cells in rows))) for k in range(4)]

    def line(mark: str, cells: tuple[str, ...]) -> str:
        what, likely, spread, held = (cell.ljust(wide[k]) for k, cell in enumerate(cells))
        return f"{mark} {what}  {likely.rjust(wide[1])}  {spread}  {held}".rstrip()

    return [line(" ", head), *(line(MARKS[verdict.answer], cells) for verdict, cells in rows)]


def _hanging(console: Console, mark: str, words: str) -> None:
    """A mark, and words that wrap beside it on a screen; one line each where the answer goes into a file."""
    if not console.is_terminal:
        console.print(f"{mark} {words}")
        return
    row = Table.grid(padding=(0, 1))
    row.add_column(width=1)
    row.add_column()
    row.add_row(mark, words)
    console.print(row)


def _plain(text: str) -> str:
    return text.replace("[", "\\[")
