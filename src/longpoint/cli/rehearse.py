"""``longpoint rehearse``: orders of stapling compared on one work, on its own frame."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longpoint.cli.answer_json import say_json
from longpoint.cli.out import named_folder

if TYPE_CHECKING:
    from longpoint.drawing.words.voice import Voice
    from longpoint.jobs.rehearse import RehearsedWork
    from longpoint.stretching.rehearsal.field import Field


def rehearse(
    batch: Annotated[Path, typer.Argument(help="Batch file, TOML.")],
    work: Annotated[str, typer.Option("--work", help="Name of the work.")],
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", parser=named_folder, metavar="FOLDER", help="Folder for pictures and steps."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON instead of a table.")] = False,
    order: Annotated[
        Path | None, typer.Option(help="An order of your own, TOML: [[run]] with side, staples and pull.")
    ] = None,
    order_to: Annotated[
        Path | None,
        typer.Option(
            "--order-to", help="File for the improved order, best beside the batch file, which may name it."
        ),
    ] = None,
    tension: Annotated[
        float | None,
        typer.Option(help="Mean tension to be left, N/m; otherwise as the batch and its cloth say."),
    ] = None,
    plain: Annotated[bool, typer.Option("--plain", help="Compare only; improve nothing.")] = False,
    by_rule: Annotated[
        bool, typer.Option(help="Rails by the rule of thumb instead of computed, as for plan.")
    ] = False,
) -> None:
    """Rehearse stapling orders: tension left, slack places, tear risk, bars drawn in; and a better order."""
    from longpoint.choosing.by_rule import design_of
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.cli.batch_file import read_batch
    from longpoint.cli.folder import check_folder, rehearsed, write_folder
    from longpoint.cli.progress import progress
    from longpoint.cli.speaking import say_cautions
    from longpoint.cli.together import Together
    from longpoint.cli.writing import check_file, read_bytes, write_file
    from longpoint.drawing.words.voice import voice_of
    from longpoint.errors import Fault, FaultsError
    from longpoint.export.rehearsal_files import folder_of, order_text, rehearsal_document, rehearsal_files
    from longpoint.jobs.rehearse import rehearse_work
    from longpoint.model.order import FILE_ENDING, OrderWish
    from longpoint.model.reading import placed, read_text
    from longpoint.works.draft import index_of

    given = Together()
    found_batch = given.tried(lambda: read_batch(batch))
    if found_batch is not None:
        known = found_batch.batch
        given.tried(lambda: index_of(known, work))
    if tension is not None and not 5 <= tension <= 2000:
        given.faults.append(
            Fault(
                "tension-out-of-range",
                f"--tension {tension:g} N/m is no tension of a canvas.",
                "Give 5 to 2000 N/m; a press test of a good canvas finds about 200.",
            )
        )
    unit = "mm" if found_batch is None else found_batch.batch.unit
    written = (
        None
        if order is None
        else given.tried(lambda: read_text(OrderWish, read_bytes(order), file=order.name, unit=unit))
    )
    if written is not None:
        given.faults += written.faults
    if order_to is not None and plain:
        given.faults.append(
            Fault(
                "nothing-improved",
                "--order-to wants an improved order, --plain improves nothing.",
                "Leave one of the two out.",
            )
        )
    if order_to is not None and order_to.suffix != FILE_ENDING:
        given.faults.append(
            Fault(
                "order-file-name",
                f"{order_to.name} is no name for an order that a batch can name.",
                f"Let it end in {FILE_ENDING}.",
            )
        )
    if out is not None:
        given.tried(lambda: check_folder(out, rehearsed(folder_of(work))))
    if order_to is not None:
        given.tried(lambda: check_file(order_to))
    read = given.needed(found_batch)
    stated = read.batch
    voice = voice_of(stated.language, stated.style)
    with progress() as say:
        try:
            found = rehearse_work(
                stated,
                work,
                choose=design_of if by_rule else ComputedChooser(say),
                written=None if written is None else written.whole(),
                tension_left=None if tension is None else tension / 1000,
                improving=not plain,
                say=say,
            )
        except FaultsError as error:
            of_order = all(fault.where.key.startswith("run") for fault in error.faults)
            if of_order and written is not None and order is not None:
                raise FaultsError(placed(error.faults, written.source, file=order.name)) from None
            raise FaultsError(read.placed(error.faults)) from None
        if out is not None:
            say("Drawing the maps")
            files = rehearsal_files(found, say=voice)
            write_folder(out, rehearsed(folder_of(found.name)), files.items())
        if order_to is not None and found.improved is not None:
            write_file(order_to, order_text(found.improved, voice).encode())
    if as_json:
        say_json(rehearsal_document(found))
    else:
        _show(found, out, stated.cloth_of(stated.work[index_of(stated, work)]).order, voice)
        _say_how_to_name(found, batch, out, order_to, voice)
    say_cautions(found.cautions, voice)


def _show(found: RehearsedWork, out: Path | None, printed: str, say: Voice) -> None:
    """A table, a picture of what the printed order leaves, and whether a better one is known."""
    from longpoint.cli.speaking import answers
    from longpoint.drawing.words.orders import best_beside, cells, figure, heads, percent
    from longpoint.drawing.words.own_words import order_words

    console = answers()
    comparison = found.comparison
    when = say("rehearsal.dry" if found.wetted else "rehearsal.settled")
    told = {"name": found.name, "count": len(comparison.rows), "when": when}
    console.print(say("rehearsal.told", **told), markup=False)
    lines = [heads(say)]
    lines += [cells(row, order_words(row.name, say), comparison.tear_load, say) for row in comparison.rows]
    improved = comparison.improved_row
    if improved is not None:
        lines.append(cells(improved, say("rehearsal.improved"), comparison.tear_load, say))
    widths = [max(len(line[column]) for line in lines) for column in range(len(lines[0]))]
    for line in lines:
        # Not a rich table: that would fold names and figures where the terminal is narrow.
        right = [cell.rjust(width) for cell, width in zip(line[1:], widths[1:], strict=True)]
        console.print("  ".join([line[0].ljust(widths[0]), *right]), markup=False)
    if any("!" in line[-2] for line in lines):
        tear = figure(comparison.tear_load, "N", say)
        console.print(say("rehearsal.over", tear=f"{tear[0]} {tear[1]}"), markup=False)
    shown = next(
        (one for one in comparison.rehearsals if one.order.name == printed), comparison.rehearsals[0]
    )
    _draw(shown.left, order_words(shown.order.name, say), say)
    beside = best_beside(comparison.rows, printed)
    if beside is not None:
        key, now, best = beside
        sentence = say(
            f"rehearsal.{key}",
            printed=order_words(printed, say),
            spread=percent(now.spread, say),
            best=order_words(best.name, say),
            other=percent(best.spread, say),
            key=best.name,
        )
        console.print(sentence, markup=False)
    if out is not None:
        console.print(say("rehearsal.maps", out=out), markup=False)


_TONES = " .:-=+*%#"
"""From slack to tight."""


def _draw(field: Field, order: str, say: Voice) -> None:
    """The mean tension of both ways over the face, a sign for each window of a hand's breadth, seen from the front."""
    from longpoint.cli.speaking import answers
    from longpoint.drawing.views.rehearsal import top_of
    from longpoint.drawing.words.orders import figure

    console = answers()
    top = top_of([field])
    tension, unit = figure(1000 * top, "N/m", say)
    console.print(say("rehearsal.drawn", order=order, tight=f"{tension} {unit}"), markup=False)
    edge = f"  +{'-' * 2 * len(field.x)}+"
    console.print(edge, markup=False)
    for level, upright in zip(field.level[::-1], field.upright[::-1], strict=True):
        shares = ((level + upright) / 2 / top).clip(0.0, 1.0)
        signs = "".join(2 * _TONES[round(share * (len(_TONES) - 1))] for share in shares.tolist())
        console.print(f"  |{signs}|", markup=False)
    console.print(edge, markup=False)


def _say_how_to_name(
    found: RehearsedWork, batch: Path, out: Path | None, order_to: Path | None, say: Voice
) -> None:
    """How the batch names the improved order, so that the plan prints it."""
    import os

    from longpoint.cli.speaking import answers
    from longpoint.export.rehearsal_files import ORDER_FILE, folder_of
    from longpoint.export.results import file_word

    if found.improved is None:
        return
    written = order_to
    if written is None and out is not None:
        written = out / folder_of(found.name) / ORDER_FILE
    console = answers()
    if not found.comparison.improvement or not found.comparison.improvement.changes:
        console.print(say("rehearsal.nothing-better"), markup=False)
        return
    if written is None:
        console.print(say("rehearsal.write-down", file=f"{file_word(found.name)}.toml"), markup=False)
        return
    name = Path(os.path.relpath(written, batch.parent)).as_posix()
    console.print(say("rehearsal.written", file=written, batch=batch.name), markup=False)
    console.print(f'  [work.cloth]\n  order = "{name}"', markup=False)
