"""``longpoint book``: plans that were kept, what is ticked and measured of their works."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, get_args

import typer

from longpoint.cli.at_store import Data, changing, looking
from longpoint.errors import refuse

if TYPE_CHECKING:
    from longpoint.store import Desk
    from longpoint.store.book.plans import PlanLine
    from longpoint.store.book.ticks import State, Ticked

app = typer.Typer(
    name="book",
    help="The build book: plans, and what became of their works.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Number = Annotated[int, typer.Argument(help="Number of the batch, as book list says.")]
Copy = Annotated[str, typer.Argument(help="Label of a copy of a work, as W12.")]


@app.command(name="list")
def list_(
    words: Annotated[str, typer.Argument(help="Part of a title or of a work's name.")] = "", data: Data = ""
) -> None:
    """Batches, the newest first."""
    from longpoint.store.book.plans import batches

    with looking(data) as desk:
        found = batches(desk, words=words)
    for one in found:
        states = ", ".join(f"{number} {state}" for state, number in one.copies.items())
        typer.echo(
            f"{one.id}  {one.title}: {one.plans} {'plan' if one.plans == 1 else 'plans'}, {one.state}; {states}"
        )
    if not found:
        typer.echo("Nothing.")


@app.command()
def show(batch: Number, data: Data = "") -> None:
    """One batch: its plans, its works, what is cut."""
    from longpoint.store.book.document import boards_of
    from longpoint.store.book.plans import batch as batch_of
    from longpoint.store.book.plans import document, plans, standing
    from longpoint.store.book.ticks import copies, ticks

    with looking(data) as desk:
        line, told = batch_of(desk, batch), plans(desk, batch)
        works = copies(desk, batch=batch)
        now = standing(desk, batch)
        boards = [] if now is None else boards_of(document(desk, now.id))
        done = set() if now is None else {one.key for one in ticks(desk, now.id, "cut") if one.done}
    typer.echo(f"{line.id}  {line.title}, {line.state}")
    for plan in told:
        note = f" ({plan.note})" if plan.note else ""
        kept = plan.at.astimezone().strftime("%Y-%m-%d %H:%M")
        typer.echo(
            f"  plan {plan.number}: {plan.revision}, {plan.kind}, {plan.state}, {kept} by {plan.who}{note}"
        )
    for board in boards:
        cut = sum(board.cut_key(number) in done for number in range(1, len(board.parts) + 1))
        where = "rack" if board.at_hand else "bought"
        typer.echo(
            f"  {board.section}: {board.board} no. {board.number} ({where}), {cut} of {len(board.parts)} cut"
        )
    for copy in works:
        typer.echo(f"  {copy.label}  {copy.work}, {copy.number} of {copy.of}: {copy.state}")


@app.command()
def add(
    plan: Annotated[Path, typer.Argument(help="plan.json or replan.json.")],
    rack: Annotated[
        bool, typer.Option("--rack", help="Its boards at hand are the rack's, and are kept for it.")
    ] = False,
    batch: Annotated[
        int, typer.Option(help="Number of its batch; otherwise the open one of the same title.")
    ] = 0,
    note: Annotated[str, typer.Option(help="A remark.")] = "",
    data: Data = "",
) -> None:
    """Keeps a plan, or the rest of one planned anew, in the book."""
    import json

    from longpoint.cli.writing import read_bytes
    from longpoint.export.rows.replan import read_old_plan
    from longpoint.store.book.plans import add_plan

    contents = read_bytes(plan)
    read_old_plan(contents, file=plan.name)  # whatever is wrong with it is said by the one who knows
    with changing(data) as desk:
        found = add_plan(desk, json.loads(contents), batch=batch or None, from_rack=rack, note=note)
        say_kept(desk, found)


def say_kept(desk: Desk, found: PlanLine) -> None:
    """Says that a plan stands in the book, and what it keeps."""
    from longpoint.store.book.plans import begun
    from longpoint.store.book.using import short_of
    from longpoint.store.rack.reserving import kept_by

    labels = list(kept_by(desk, found.id))
    keeps = f" It keeps {', '.join(labels)}." if labels else ""
    typer.echo(f"Batch {found.batch}, plan {found.number} ({found.revision}) stands in the book.{keeps}")
    said = begun(desk, found.batch)
    for short in () if said is None else short_of(desk, found.id, found.batch, said):
        typer.echo(f"  {short.words}: it is on the buying list.")


@app.command()
def compare(
    batch: Number,
    first: Annotated[int, typer.Argument(help="Which of its plans; otherwise the last but one.")] = 0,
    second: Annotated[int, typer.Argument(help="Which other; otherwise the last.")] = 0,
    data: Data = "",
) -> None:
    """Two plans of a batch: parts, boards, costs, verdicts that are other."""
    from longpoint.store.book.compare import compared
    from longpoint.store.book.plans import document, plans

    with looking(data) as desk:
        told = {one.number: one for one in plans(desk, batch)}
        if len(told) < 2:
            raise refuse("one-plan", f"batch {batch} has {len(told)} plans.", "There is nothing to compare.")
        pair = (first or max(told) - 1, second or max(told))
        if any(number not in told for number in pair):
            raise refuse("no-such-plan", f"batch {batch} has plans 1 to {max(told)}.", "Name two of them.")
        found = compared(*(document(desk, told[number].id) for number in pair))
    for one in found:
        typer.echo(f"{one.about}  {one.what}: {one.before or 'nothing'} → {one.now or 'nothing'}")
    if not found:
        typer.echo("Nothing is other.")


@app.command()
def cut(
    batch: Number,
    board: Annotated[str, typer.Argument(help="Name of a board in the plan.")],
    number: Annotated[int, typer.Option(help="Which of that name.")] = 1,
    cuts: Annotated[
        int, typer.Option(help="How many parts are off it, from its left end; otherwise all.")
    ] = 0,
    section: Annotated[
        str, typer.Option(help="Of several sections that have such a board: part of its name.")
    ] = "",
    data: Data = "",
) -> None:
    """Ticks cuts of a board; after the last it leaves the rack and its offcut comes back."""
    from longpoint.store.book.document import boards_of
    from longpoint.store.book.plans import document
    from longpoint.store.book.ticks import tick_cut

    with changing(data) as desk:
        plan = _standing(desk, batch)
        boards = [
            one
            for one in boards_of(document(desk, plan.id))
            if (one.board, one.number) == (board, number) and section in one.section
        ]
        if len(boards) != 1:
            what = "no board" if not boards else f"{len(boards)} boards"
            raise refuse(
                "which-board", f"the plan has {what} {board} no. {number}.", "Say its --number and --section."
            )
        found: list[Ticked] = []
        for at in range(1, (cuts or len(boards[0].parts)) + 1):
            found.append(tick_cut(desk, plan.id, boards[0].cut_key(at)))
    taken = "".join(one.taken for one in found)
    offcuts = [label for one in found for label in one.offcuts]
    typer.echo(f"{len(found)} cuts of {board} no. {number} are ticked.")
    if taken:
        typer.echo(f"{taken} has left the rack.")
    if offcuts:
        typer.echo(
            f"Back in the rack: {', '.join(offcuts)}. Labels: longpoint rack labels {' '.join(offcuts)}"
        )


@app.command()
def cloth(
    batch: Number, roll: Annotated[str, typer.Argument(help="Label of a roll.")], data: Data = ""
) -> None:
    """The pieces of cloth of a plan are cut off a roll."""
    from longpoint.store.book.ticks import tick_roll
    from longpoint.store.rack.stock import thing

    with changing(data) as desk:
        tick_roll(desk, _standing(desk, batch).id, roll)
        left = thing(desk, roll)
    typer.echo(f"{left.label}: {left.words}")


@app.command()
def step(
    copy: Copy,
    number: Annotated[int, typer.Argument(help="Number of the step, as on the sheets.")],
    undo: Annotated[bool, typer.Option("--undo", help="Take the tick back.")] = False,
    data: Data = "",
) -> None:
    """Ticks a step of building a work."""
    from longpoint.store.book.ticks import tick_step

    with changing(data) as desk:
        tick_step(desk, copy, number, done=not undo)
    typer.echo(f"{copy}: step {number} {'is open again' if undo else 'is ticked'}.")


@app.command()
def state(
    copy: Copy,
    now: Annotated[str, typer.Argument(help="planned, cut, assembled, stretched, primed, hung or gone.")],
    data: Data = "",
) -> None:
    """Says how far a work is."""
    from longpoint.store.book.ticks import STATES, set_state

    wanted: State | None = next((one for one in STATES if one == now), None)
    if wanted is None:
        raise refuse("no-such-state", f"{now} is no state of a work.", f"Use one of: {', '.join(STATES)}.")
    with changing(data) as desk:
        line = set_state(desk, copy, wanted)
    typer.echo(f"{line.label}  {line.work}, {line.number} of {line.of}: {line.state}")
    for used in line.used:
        typer.echo(f"  taken for it; left of {used}")
    for short in line.short:
        typer.echo(f"  {short}. Count what is there: longpoint rack count.")


@app.command()
def measure(
    of: Annotated[str, typer.Argument(help="Label of a copy, as W12; or the name of a cloth or timber.")],
    what: Annotated[str, typer.Argument(help="bottom, rising, wind, dip, mass, hours join, water tension …")],
    value: Annotated[float, typer.Argument(help="In mm, kg, h, N/m or g, as the value says.")],
    note: Annotated[str, typer.Option(help="A remark.")] = "",
    data: Data = "",
) -> None:
    """Notes a measured value beside the planned one, and says what to do."""
    from longpoint.store.book.values import ABOUT
    from longpoint.store.book.values import measure as measured

    about = what in ABOUT
    with changing(data) as desk:
        found = measured(desk, what, value, label="" if about else of, about=of if about else "", note=note)
    planned = f", planned {found.planned:.4g}" if found.planned is not None else ""
    typer.echo(f"{of}: {what} {found.value:g} {found.unit}{planned}: {found.answer}. {found.do}".rstrip())


@app.command()
def photograph(
    copy: Copy,
    file: Annotated[Path, typer.Argument(help="JPEG, PNG or WebP.")],
    caption: Annotated[str, typer.Option(help="What is said of it.")] = "",
    data: Data = "",
) -> None:
    """Attaches a photograph to a work."""
    from longpoint.cli.writing import read_bytes
    from longpoint.store.book.photographs import attach

    picture = read_bytes(file)
    with changing(data) as desk:
        found = attach(desk, copy, picture, caption=caption)
    typer.echo(f"{copy}: {found.kind}, {found.size / 1e6:.1f} MB, kept as {found.file}")


@app.command()
def file(
    copy: Copy,
    out: Annotated[Path, typer.Option("-o", "--out", help="New file, .pdf or .html.")],
    reader: Annotated[
        str,
        typer.Option("--for", help="painter, buyer or conservator; a buyer is not told what was planned."),
    ] = "painter",
    paper: Annotated[str, typer.Option(help="A4 or Letter; otherwise as the batch says.")] = "",
    data: Data = "",
) -> None:
    """Prints the page for a work's file: how its support was made, what was measured, its photographs."""
    from longpoint.cli.writing import check_file, write_file
    from longpoint.drawing.paper.pages import paper_named
    from longpoint.drawing.sheets.file_page import Reader, file_page
    from longpoint.drawing.words.voice import voice_of
    from longpoint.export.packs.book_pack import file_pdf
    from longpoint.export.page_html import page_html
    from longpoint.store.book.work_file import work_file

    check_file(out)
    whom: Reader | None = next((one for one in get_args(Reader) if one == reader), None)
    if whom is None:
        raise refuse(
            "no-such-reader", f"{reader!r} reads no such page.", f"Say one of: {', '.join(get_args(Reader))}."
        )
    with looking(data) as desk:
        found = work_file(desk, copy, reader=whom)
    say, sheet = voice_of(found.language), paper_named(paper or found.paper)
    if out.suffix.lower() == ".html":
        made = page_html(file_page(found.page, say=say), pictures=found.pictures, language=say.language)
    else:
        made = file_pdf(found.page, pictures=found.pictures, revision=found.revision, say=say, paper=sheet)
    write_file(out, made)
    typer.echo(f"{out}: {found.page.work}, {copy}.")


@app.command()
def learned(data: Data = "") -> None:
    """What was measured here: medians, spreads, counts; used by plan --measured-here."""
    from longpoint.store.book.learned import LEAST, factors_measured
    from longpoint.store.book.learned import learned as told

    with looking(data) as desk:
        found = [*told(desk), *factors_measured(desk).values()]
    for one in found:
        planned = f"; plans said {one.planned:.4g}" if one.planned is not None else ""
        few = "" if one.is_enough else f"; fewer than {LEAST}: not used"
        typer.echo(f"{one.words}{planned}{few}")
    if not found:
        typer.echo("Nothing was measured yet: longpoint book measure.")


@app.command()
def done(batch: Number, data: Data = "") -> None:
    """A batch is done: what its plan kept and did not use is free again."""
    _close(batch, "done", data)


@app.command()
def drop(batch: Number, data: Data = "") -> None:
    """A batch is dropped: what its plan kept is free again."""
    _close(batch, "dropped", data)


def _close(batch: int, state: str, data: str) -> None:
    from longpoint.store.book.plans import close_batch

    with changing(data) as desk:
        freed = close_batch(desk, batch, state)
    free = f" Free again: {', '.join(freed)}." if freed else ""
    typer.echo(f"Batch {batch} is {state}.{free}")


def _standing(desk: Desk, batch: int) -> PlanLine:
    from longpoint.store.book.plans import standing

    found = standing(desk, batch)
    if found is None:
        raise refuse(
            "no-plan", f"batch {batch} has no plan that holds.", "longpoint book list shows what there is."
        )
    return found
