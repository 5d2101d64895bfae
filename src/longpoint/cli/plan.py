"""``longpoint plan``: the main job, from a batch file to a folder of results."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Annotated

import typer

from longpoint.cli.at_store import Data
from longpoint.cli.out import beside, named_folder


def plan(
    batch: Annotated[Path, typer.Argument(help="Batch file, TOML.")],
    out: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--out",
            parser=named_folder,
            metavar="FOLDER",
            help="Folder for the results; otherwise one beside the batch, named like it.",
        ),
    ] = None,
    paper: Annotated[str, typer.Option(help="A4 or Letter; otherwise as the batch says.")] = "",
    measured: Annotated[
        str,
        typer.Option(
            help="What the check bars of a full-size page measured on your print, across and up, "
            "e.g. '179.2 mm, 180 mm'; full-size pages then come out true."
        ),
    ] = "",
    sheets: Annotated[
        str,
        typer.Option(
            help="Sheets written once more by themselves, as sheets.pdf: kinds of sheet and names of works, parted by "
            "semicolons, e.g. 'saw; build' or 'Reeds'."
        ),
    ] = "",
    handouts: Annotated[
        str,
        typer.Option(
            help="Names of people, parted by semicolons: a handout each, with their name on every sheet, of the works "
            "named by --sheets or of all."
        ),
    ] = "",
    offer: Annotated[
        bool,
        typer.Option(
            "--offer", help="Write an offer for a client and your own table of prices: offer.pdf, prices.pdf."
        ),
    ] = False,
    by_rule: Annotated[
        bool,
        typer.Option(help="Rails by the rule of thumb instead of computed; nothing is said of strength."),
    ] = False,
    as_stated: Annotated[
        bool,
        typer.Option(
            "--as-stated",
            help="Plan what the batch says and nothing else: no other corner joint, depth or timber where it does "
            "not hold or cannot be built.",
        ),
    ] = False,
    rack: Annotated[
        bool,
        typer.Option(
            "--rack",
            help="With what lies free in the rack instead of [[rack]]; its boards are then kept for this plan.",
        ),
    ] = False,
    measured_here: Annotated[
        bool,
        typer.Option(
            "--measured-here",
            help="With what was measured here where the batch states nothing; each is said.",
        ),
    ] = False,
    data: Data = "",
    unrehearsed: Annotated[
        bool,
        typer.Option(
            "--unrehearsed",
            help="Print the staple maps without rehearsing their order on the screen; quicker.",
        ),
    ] = False,
) -> None:
    """Plan a batch: checked frames, cutting plans, buying list, cost, and sheets for the bench."""
    from contextlib import nullcontext
    from dataclasses import replace

    from longpoint.choosing.by_rule import design_of
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.cli.batch_file import read_batch
    from longpoint.cli.folder import PLANNED, check_folder, write_folder
    from longpoint.cli.planned_from_store import from_store, keeping, say_plan
    from longpoint.cli.progress import progress
    from longpoint.cli.rehearsals import side_by_side
    from longpoint.cli.speaking import aside, say_cautions, say_early
    from longpoint.cli.summary import print_end, print_summary
    from longpoint.cli.together import Together
    from longpoint.drawing.paper.pages import paper_named
    from longpoint.drawing.words.remarks import GRAVE, rank_of
    from longpoint.drawing.words.voice import voice_of
    from longpoint.errors import Fault, FaultsError
    from longpoint.export.packs.chosen import check_wanted
    from longpoint.export.results import result_files
    from longpoint.export.rows.plan import plan_json
    from longpoint.jobs.plan import plan_batch
    from longpoint.jobs.possible import with_things_to_buy
    from longpoint.jobs.prices import has_prices, price_table

    given = Together()
    found = given.tried(lambda: read_batch(batch))
    given.tried(lambda: paper_named(paper or "A4"))
    unit = "mm" if found is None else found.batch.show
    bars = given.tried(lambda: _bars(measured, unit=unit)) if measured else None
    wanted = [word for each in sheets.split(";") if (word := each.strip())]
    people = [word for each in handouts.split(";") if (word := each.strip())]
    if found is not None:
        works = [work.name for work in found.batch.work]
        given.tried(lambda: check_wanted(wanted, works))
        if offer and not has_prices(found.batch):
            what = "an offer is asked for, and nothing in the file has a price."
            remedy = "State prices of timber and cloth, per_hour under [shop.rates] or a rate under [price]."
            given.faults.append(Fault("no-prices", what, remedy))
    folder = out or beside(batch)
    given.tried(lambda: check_folder(folder, PLANNED))
    read = given.needed(found)
    stated = read.batch.model_copy(update={"as_stated": True}) if as_stated else read.batch
    if rack or measured_here:
        stated, more = from_store(stated, rack=rack, measured_here=measured_here, data=data)
    else:
        more = ()
    say_early(stated)
    with progress() as say:
        try:
            planned = plan_batch(
                stated,
                choose=design_of if by_rule else ComputedChooser(say),
                rehearsing=not unrehearsed,
                rehearse=side_by_side,
                say=say,
            )
            sizes = price_table(stated, say=say) if offer else None
        except FaultsError as error:
            raise FaultsError(read.placed(with_things_to_buy(stated, error.faults, say=say))) from None
        planned = replace(planned, cautions=(*planned.cautions, *more))
        say("Drawing and writing the sheets")
        counts: dict[str, int] = {}
        files = result_files(planned, paper=paper, measured=bars, wanted=wanted, people=people, sizes=sizes)
        last = keeping(plan_json(planned), data) if rack else nullcontext()
        kept = write_folder(folder, PLANNED, _counted(files, counts), last=last)
    print_summary(planned, out=folder, sheets=counts)
    # what does not hold was said first
    rest = [caution for caution in planned.cautions if rank_of(caution) not in GRAVE]
    say_cautions(rest, voice_of(stated.language, stated.style))
    print_end(planned, aside())
    if kept is not None:
        say_plan(kept, data)


def _counted(files: Iterable[tuple[str, bytes]], counts: dict[str, int]) -> Iterator[tuple[str, bytes]]:
    """Passes files on and notes how many sheets each document has."""
    from longpoint.export.typeset.pdf import sheets_in

    for path, contents in files:
        if path.endswith(".pdf"):
            counts[path] = sheets_in(contents)
        yield path, contents


def _bars(text: str, *, unit: str) -> tuple[float, float]:
    """Two lengths, parted by a comma and a gap or by a semicolon. [mm]

    Raises:
        FaultsError: If it is not two lengths, or further off than a printer can be.
    """
    from longpoint.drawing.sheets.full_size import BAR, correction_from
    from longpoint.errors import refuse
    from longpoint.units import QuantityError, parse_length

    pieces = text.split(";") if ";" in text else text.split(", ")
    if len(pieces) != 2:
        raise refuse(
            "not-two-lengths",
            f"--measured {text!r} is not two lengths.",
            "Give what the bars measure across and up, e.g. --measured '179.2 mm, 180 mm'.",
        )
    try:
        across, up = (float(parse_length(piece, unit=unit)) for piece in pieces)
    except QuantityError as error:
        raise refuse("bad-quantity", f"--measured: {error}.") from None
    correction_from(across=across, up=up, bar=BAR["in" if unit == "in" else "mm"])
    return across, up
