"""``longpoint rehearse``: orders of stapling compared on one work, on its own frame."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longpoint.cli.answer_json import say_json
from longpoint.cli.out import named_folder

if TYPE_CHECKING:
    from longpoint.jobs.rehearse import RehearsedWork
    from longpoint.stretching.rehearsal.compare import OrderRow


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
            files = rehearsal_files(found, say=voice_of(stated.language, stated.style))
            write_folder(out, rehearsed(folder_of(found.name)), files.items())
        if order_to is not None and found.improved is not None:
            write_file(order_to, order_text(found.improved).encode())
    if as_json:
        say_json(rehearsal_document(found))
    else:
        _show(found, out)
        _say_printed(found, stated.cloth_of(stated.work[index_of(stated, work)]).order)
        _say_how_to_name(found, batch, out, order_to)
    say_cautions(found.cautions)


_HEADS = (
    "order",
    "stapled",
    "level",
    "upright",
    "spread",
    "windows",
    "at corners",
    "slack",
    "staple",
    "bent",
    "drawn in",
)


def _show(found: RehearsedWork, out: Path | None) -> None:
    from longpoint.cli.speaking import answers

    console = answers()
    columns, rows = found.elements
    console.print(
        f"{found.name}: cloth {found.cloth_state}, {columns} × {rows} elements, pull {found.hand.force:.0f} N at "
        f"{found.hand.jaw:.0f} mm jaws, {found.hand.at_lip:.0f} N of it at the lip; estimates throughout.",
        markup=False,
    )
    if found.wetted:
        console.print(
            "Pulled only snug, then tightened as water-borne size or primer shrinks it; how far is a wide estimate, "
            "the likely middle is taken.",
            markup=False,
        )
    console.print(
        f"Tension in N/m: stapled, mean and spread with the last staple in; the rest once "
        f"{'dry' if found.wetted else 'settled'} ({1000 * found.tension:.0f} wished); windows of about 90 mm; drawn in "
        f"and bent in mm. The long bars give {found.give:.2f} mm for 100 N in their middle.",
        markup=False,
    )
    lines = [_HEADS, *(_cells(row, row.name) for row in found.comparison.rows)]
    improved = found.comparison.improved_row
    if improved is not None:
        lines.append(_cells(improved, f"improved: {improved.name}"))
    widths = [max(len(line[column]) for line in lines) for column in range(len(_HEADS))]
    for line in lines:
        # Not a rich table: that would fold names and figures where the terminal is narrow.
        cells = [cell.rjust(width) for cell, width in zip(line[1:], widths[1:], strict=True)]
        console.print("  ".join([line[0].ljust(widths[0]), *cells]), markup=False)
    console.print(
        f"staple: greatest load at any time, and that over the {found.comparison.tear_load:.0f} N at which cloth "
        "may tear.",
        markup=False,
    )
    console.print(found.comparison.corners, markup=False)
    _say_improved(found)
    if out is not None:
        console.print(f"Maps and steps: {out}", markup=False)


def _say_printed(found: RehearsedWork, printed: str) -> None:
    """Whether the plan prints the best of the usual orders, and how to print that."""
    from longpoint.cli.speaking import answers
    from longpoint.model.order import USUAL_ORDERS

    rows = {row.name: row for row in found.comparison.rows}
    usual = [row for row in found.comparison.rows if row.name in USUAL_ORDERS]
    if printed not in rows or not usual:
        return
    best, now = usual[0], rows[printed]
    told = f"The plan prints {printed}, spread {100 * now.spread:.0f} %"
    if best.name == printed:
        words = f"{told}: the best of the usual orders on this frame."
    elif best.spread < now.spread - 0.01:
        words = (
            f'{told}; {best.name} leaves {100 * best.spread:.0f} %: say order = "{best.name}" under [cloth].'
        )
    else:
        words = (
            f"{told}: no usual order is better by more than one in a hundred, which is less than is known."
        )
    first = found.comparison.rows[0].name
    if first not in (printed, best.name):
        words += (
            f" {first} ranks above it, for comparison only; --order-to writes an order that can be printed."
        )
    answers().print(words, markup=False)


def _say_how_to_name(found: RehearsedWork, batch: Path, out: Path | None, order_to: Path | None) -> None:
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
    if written is None:
        console.print(
            f"To print the improved order, write it down: --order-to {file_word(found.name)}.toml",
            markup=False,
        )
        return
    name = Path(os.path.relpath(written, batch.parent)).as_posix()
    console.print(
        f"The improved order: {written}. To print it, say under this work in {batch.name}:", markup=False
    )
    console.print(f'  [work.cloth]\n  order = "{name}"', markup=False)


def _cells(row: OrderRow, name: str) -> tuple[str, ...]:
    return (
        name,
        f"{_per_metre(row.stapled)}, {100 * row.stapled_spread:.0f} %",
        _per_metre(row.mean_level),
        _per_metre(row.mean_upright),
        f"{100 * row.spread:.0f} %",
        f"{_per_metre(row.lowest)} to {_per_metre(row.highest)}",
        f"{_per_metre(row.corner_lowest)} to {_per_metre(row.corner_highest)}",
        f"{100 * row.slack:.0f} %",
        f"{row.peak_load:.0f} N, {100 * row.tear:.0f} %",
        f"{row.bent:.1f}",
        f"{row.pulled_in:.2f}",
    )


def _per_metre(tension: float) -> str:
    """N/mm as N/m; slack cloth does not push, what is below nothing is a residue."""
    return f"{max(0, round(1000 * tension))}"


def _say_improved(found: RehearsedWork) -> None:
    from longpoint.cli.speaking import answers

    improvement, row = found.comparison.improvement, found.comparison.improved_row
    if improvement is None or row is None:
        return
    console = answers()
    if not improvement.changes:
        console.print(improvement.told, markup=False)
        return
    console.print(
        f"The improved order: {improvement.told} Full pull {improvement.hand.force:.0f} N at the pliers.",
        markup=False,
    )
    for where, pull in improvement.pulls:
        console.print(f"  {where}: {pull}", markup=False)
    console.print(f"  tried and kept: {', '.join(improvement.changes) or 'nothing'}", markup=False)
