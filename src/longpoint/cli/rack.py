"""``longpoint rack``: what lies in the rack, what comes, goes and is counted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from longpoint.cli.at_store import Data, changing, looking
from longpoint.errors import FaultsError, Where, refuse

if TYPE_CHECKING:
    from longpoint.store.rack.stock import Thing

app = typer.Typer(
    name="rack",
    help="The rack: what lies there, and the journal of it.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Json = Annotated[bool, typer.Option("--json", help="Answer in JSON.")]
Note = Annotated[str, typer.Option(help="A remark for the journal.")]
Unit = Annotated[str, typer.Option(help="Unit of bare numbers: mm, cm, m, in or ft.")]
Own = Annotated[str, typer.Option(help="What is written on it; otherwise the rack gives a number.")]
Stands = Annotated[str, typer.Option(help="Where it stands or lies.")]
Cost = Annotated[str, typer.Option(help="What one cost.")]
Label = Annotated[str, typer.Argument(help="Label of a thing.")]
Labels = Annotated[list[str], typer.Argument(help="Labels of things in the rack.")]


@app.command()
def put(
    lengths: Annotated[list[str], typer.Argument(help="Lengths of the boards; 3x2400 for three alike.")],
    section: Annotated[str, typer.Option(help="Both sides, e.g. 21x44.")],
    timber: Annotated[str, typer.Option(help="Species or strength class.")] = "C16",
    grade: Annotated[str, typer.Option(help="Good for: bars, rails, short or firewood.")] = "bars",
    serves: Annotated[
        str, typer.Option(help="Of offcuts: bar, bevelled bar, rail, middle piece or block.")
    ] = "",
    bevelled: Annotated[bool, typer.Option("--bevelled", help="They have the bevel already.")] = False,
    bow: Annotated[str, typer.Option(help="Bend across the thin way over the whole length.")] = "",
    crook: Annotated[str, typer.Option(help="Bend across the wide way over the whole length.")] = "",
    twist: Annotated[str, typer.Option(help="One corner off the plane of the others.")] = "",
    avoid: Annotated[str, typer.Option(help="Stretches not to be used, e.g. '100-180 knot; 900-950'.")] = "",
    label: Own = "",
    place: Stands = "",
    yard: Annotated[str, typer.Option(help="Where they come from.")] = "",
    cost: Cost = "",
    unit: Unit = "mm",
    note: Note = "",
    data: Data = "",
) -> None:
    """Boards or offcuts come into the rack."""
    sides = section.lower().replace("×", "x").split("x")
    if len(sides) != 2:
        raise refuse(
            "no-section", f"{section!r} is no section.", "Write both sides, e.g. 21x44.", Where("--section")
        )
    rows: list[dict[str, Any]] = []
    for text in lengths:
        many, sign, length = text.partition("x")
        count, each = (many, length) if sign and many.strip().isdigit() else ("1", text)
        rows.append(
            {
                "kind": "offcut" if serves else "board", "thickness": sides[0], "depth": sides[1], "length": each,
                "timber": timber, "grade": grade, "serves": serves, "bevelled": "yes" if bevelled else "", "bow": bow,
                "crook": crook, "twist": twist, "avoid": avoid, "label": label, "place": place, "yard": yard,
                "cost": cost, "how_many": count,
            }
        )  # fmt: skip
    _come(rows, unit=unit, note=note, data=data)


@app.command()
def cloth(
    width: Annotated[str, typer.Argument(help="From selvedge to selvedge.")],
    length: Annotated[str, typer.Argument(help="What is on the roll.")],
    name: Annotated[
        str, typer.Option("--cloth", help="What cloth it is; its tests are kept under that name.")
    ] = "",
    fibre: Annotated[str, typer.Option(help="cotton, linen or polyester.")] = "cotton",
    state: Annotated[str, typer.Option(help="raw, glue-sized, primed or oil-primed.")] = "raw",
    mass: Annotated[str, typer.Option(help="Grams of a square metre.")] = "",
    flaws: Annotated[str, typer.Option(help="Places to avoid along it, e.g. '500-620 weaving fault'.")] = "",
    label: Own = "",
    place: Stands = "",
    cost: Cost = "",
    unit: Unit = "mm",
    note: Note = "",
    data: Data = "",
) -> None:
    """A roll or a remnant of cloth comes into the rack."""
    row = {
        "kind": "roll", "width": width, "length": length, "cloth": name, "fibre": fibre, "state": state, "mass": mass,
        "flaws": flaws, "label": label, "place": place, "cost": cost,
    }  # fmt: skip
    _come([row], unit=unit, note=note, data=data)


@app.command()
def supply(
    what: Annotated[str, typer.Argument(help="What it is, as the batch file names it.")],
    amount: Annotated[str, typer.Argument(help="Pieces, grams of glue, litres of size and primer.")],
    kind: Annotated[str, typer.Option(help="screw, staple, glue, size, primer, hanger or other.")] = "other",
    opened: Annotated[str, typer.Option(help="The day it was opened, e.g. 2026-11-30.")] = "",
    label: Own = "",
    place: Stands = "",
    cost: Cost = "",
    note: Note = "",
    data: Data = "",
) -> None:
    """Hardware, glue, size or primer comes into the rack."""
    row = {
        "kind": "supply", "what": what, "amount": amount, "supply": kind, "opened": opened, "label": label,
        "place": place, "cost": cost,
    }  # fmt: skip
    _come([row], unit="mm", note=note, data=data)


@app.command(name="list")
def list_(
    words: Annotated[str, typer.Argument(help="Part of a label, timber, cloth or place.")] = "",
    kind: Annotated[str, typer.Option(help="board, offcut, roll or supply.")] = "",
    section: Annotated[str, typer.Option(help="Both sides in mm, e.g. 21x44.")] = "",
    at_least: Annotated[float, typer.Option(help="Shortest board, mm.")] = 0.0,
    serves: Annotated[str, typer.Option(help="What an offcut must serve for.")] = "",
    free: Annotated[bool, typer.Option("--free", help="Only what no plan keeps.")] = False,
    gone: Annotated[bool, typer.Option("--gone", help="What is no longer there.")] = False,
    limit: Annotated[int, typer.Option(help="How many at most.")] = 200,
    as_json: Json = False,
    data: Data = "",
) -> None:
    """What lies in the rack."""
    from longpoint.store.rack.stock import Wish, counted, listed

    wish = Wish(
        kind=kind,
        words=words,
        section=_sides(section),
        at_least=at_least,
        serves=serves,
        free=free,
        gone=gone,
    )
    with looking(data) as desk:
        things = listed(desk, wish, limit=limit)
        counts = counted(desk)
    _show(things, as_json)
    if not as_json and len(things) == limit:
        typer.echo(f"… the first {limit}; there are {sum(counts.values())} things in all.")


@app.command()
def show(label: Label, as_json: Json = False, data: Data = "") -> None:
    """One thing, and everything that happened to it."""
    from longpoint.store.rack.facts import amount_words
    from longpoint.store.rack.stock import history, thing

    with looking(data) as desk:
        one, lines = thing(desk, label), history(desk, label)
    if as_json:
        from longpoint.cli.answer_json import say_json

        told = [
            {"at": line.at.isoformat(), "who": line.who, "what": line.happened, "amount": line.amount,
             "plan": line.plan, "facts": dict(line.facts), "note": line.note}
            for line in lines
        ]  # fmt: skip
        say_json({"label": one.label, "kind": one.kind, "facts": dict(one.facts), "history": told})
        return
    typer.echo(f"{one.label}: {one.words}")
    for key, value in one.facts.items():
        typer.echo(f"  {key}: {value}")
    for line in lines:
        much = (
            amount_words(line.kind, one.facts, line.amount)
            if line.happened != "correction"
            else str(dict(line.facts))
        )
        plan = f" for plan {line.plan}" if line.plan else ""
        note = f" ({line.note})" if line.note else ""
        typer.echo(f"  {_local(line.at)}  {line.happened} {much}{plan} by {line.who}{note}")


@app.command()
def take(
    labels: Labels,
    amount: Annotated[
        str, typer.Option(help="Of a roll a length, of a supply a number; left out: all.")
    ] = "",
    note: Note = "",
    data: Data = "",
) -> None:
    """Things are taken out of the rack."""
    from longpoint.store.rack.stock import take as taken

    with changing(data) as desk:
        _say(taken(desk, label, _amount(desk, label, amount), note=note) for label in labels)


@app.command()
def back(
    labels: Labels,
    amount: Annotated[str, typer.Option(help="Of a roll a length, of a supply a number.")] = "",
    note: Note = "",
    data: Data = "",
) -> None:
    """Things that were taken come back."""
    from longpoint.store.rack.stock import give_back

    with changing(data) as desk:
        _say(give_back(desk, label, _amount(desk, label, amount), note=note) for label in labels)


@app.command()
def count(
    label: Label,
    amount: Annotated[str, typer.Argument(help="What is there: 1 or 0 boards, a length of cloth, a number.")],
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Also where plans keep more: they lose it.")
    ] = False,
    note: Note = "",
    data: Data = "",
) -> None:
    """The rack was counted: what was found holds."""
    from longpoint.store.rack.stock import count as counted

    with changing(data) as desk:
        much = _amount(desk, label, amount)
        _say([counted(desk, label, 0 if much is None else much, anyway=anyway, note=note)])


@app.command()
def correct(
    label: Label,
    changed: Annotated[
        list[str], typer.Argument(help="What is other: length=2380 place=door; crook= takes it away.")
    ],
    unit: Unit = "mm",
    note: Note = "",
    data: Data = "",
) -> None:
    """What is stated of a thing was wrong, or is now other."""
    from longpoint.store.rack.files import values_of
    from longpoint.store.rack.stock import correct as corrected

    with changing(data) as desk:
        _say([corrected(desk, label, values_of(changed, unit=unit), note=note)])


@app.command()
def labels(
    named: Labels,
    out: Annotated[Path, typer.Option("-o", "--out", help="New file, .pdf.")],
    language: Annotated[str, typer.Option(help="en or de.")] = "en",
    paper: Annotated[str, typer.Option(help="A4 or Letter.")] = "A4",
    data: Data = "",
) -> None:
    """Prints labels for things in the rack, with a square code."""
    from longpoint.cli.writing import check_file, write_file
    from longpoint.drawing.paper.pages import paper_named
    from longpoint.drawing.words.voice import voice_of
    from longpoint.export.packs.book_pack import rack_labels_pdf
    from longpoint.store.rack.stock import thing

    check_file(out)
    sheet, say = paper_named(paper), voice_of(language)
    with looking(data) as desk:
        things = [thing(desk, label) for label in named]
    made = [
        (
            one.label,
            [one.words, *([say("book.from-board", board=cut)] if (cut := one.facts.get("cut_from")) else [])],
        )
        for one in things
    ]
    write_file(out, rack_labels_pdf(made, say=say, paper=sheet))
    typer.echo(f"{out}: {len(made)} labels.")


@app.command()
def day(
    date: Annotated[str, typer.Argument(help="The day, e.g. 2026-11-30.")],
    as_json: Json = False,
    data: Data = "",
) -> None:
    """The rack as it was at the end of a day, told again by its journal."""
    from longpoint.store.rack.days import rack_at

    try:
        begins = datetime.strptime(date, "%Y-%m-%d").astimezone()
    except ValueError:
        raise refuse("no-day", f"{date!r} is no day.", "Write it as 2026-11-30.") from None
    with looking(data) as desk:
        things = rack_at(desk, begins + timedelta(days=1))
    _show(things, as_json)


@app.command(name="import")
def import_(
    file: Annotated[
        Path, typer.Argument(help="Table of things, CSV or XLSX; its first row names the columns.")
    ],
    yes: Annotated[
        bool, typer.Option("--yes", help="Take it in; otherwise only say what would come.")
    ] = False,
    unit: Unit = "mm",
    data: Data = "",
) -> None:
    """Things from a table come into the rack; first it is said what would come."""
    from longpoint.cli.writing import read_bytes
    from longpoint.store.rack.files import preview, read_table
    from longpoint.store.rack.stock import put as come

    rows = read_table(read_bytes(file), file=file.name)
    with changing(data) as desk:
        found = preview(desk, rows, file=file.name, unit=unit)
        if found.faults:
            raise FaultsError(found.faults)
        counts = ", ".join(f"{number} × {kind}" for kind, number in found.counts.items()) or "nothing"
        if not yes:
            typer.echo(f"Would come: {counts}. Nothing was written; take it in with --yes.")
            return
        labels = come(desk, found.things, note=f"from {file.name}")
    typer.echo(f"Came: {counts}; labels {labels[0]} to {labels[-1]}." if labels else "Came: nothing.")


@app.command()
def export(file: Annotated[Path, typer.Argument(help="New file, .csv or .xlsx.")], data: Data = "") -> None:
    """Writes what lies in the rack as a table that can be read again."""
    from longpoint.cli.writing import check_file, write_file
    from longpoint.export.tables import csv_of
    from longpoint.export.workbook import SheetOf, xlsx_of
    from longpoint.store.rack.files import HEAD, all_rows

    if file.suffix.lower() not in (".csv", ".xlsx"):
        raise refuse(
            "no-kind-of-file", f"{file.name} is neither .csv nor .xlsx.", "Name a file with such an ending."
        )
    check_file(file)
    with looking(data) as desk:
        table = SheetOf("rack", HEAD, all_rows(desk))
    write_file(file, csv_of(table) if file.suffix.lower() == ".csv" else xlsx_of([table]))
    typer.echo(f"{file}: {len(table.rows)} things.")


def _come(rows: Sequence[dict[str, Any]], *, unit: str, note: str, data: str) -> None:
    from longpoint.errors import Fault
    from longpoint.store.rack.files import preview
    from longpoint.store.rack.stock import put as come

    head = list(rows[0])
    with changing(data) as desk:
        found = preview(desk, [head, *([row[key] for key in head] for row in rows)], file="", unit=unit)
        if found.faults:
            raise FaultsError(
                dict.fromkeys(
                    Fault(one.code, one.what, one.remedy, Where(one.where.key)) for one in found.faults
                )
            )
        labels = come(desk, found.things, note=note)
    typer.echo(f"Write on {'it' if len(labels) == 1 else 'them'}: {', '.join(labels)}")


def _show(things: Sequence[Thing], as_json: bool) -> None:
    if as_json:
        from longpoint.cli.answer_json import say_json

        say_json(
            [
                {
                    "label": one.label,
                    "kind": one.kind,
                    "amount": one.amount,
                    "reserved": one.reserved,
                    **one.facts,
                }
                for one in things
            ]
        )
        return
    wide = max((len(one.label) for one in things), default=0)
    for one in things:
        place = f"  [{one.facts['place']}]" if one.facts.get("place") else ""
        typer.echo(f"{one.label:<{wide}}  {one.words}{place}")
    if not things:
        typer.echo("Nothing.")


def _say(things: Iterable[Thing]) -> None:
    for one in list(things):
        typer.echo(f"{one.label}: {one.words}")


def _amount(desk: Any, label: str, text: str) -> int | None:
    """An amount as a person writes it, in the unit of the thing."""
    from longpoint.store.rack.facts import NM, THOUSANDTHS
    from longpoint.store.rack.stock import thing
    from longpoint.units import QuantityError, parse_length

    if not text:
        return None
    kind = thing(desk, label).kind
    try:
        if kind == "roll":
            return 0 if text.strip() == "0" else round(parse_length(text, unit="mm") * NM)
        number = float(text.replace(",", "."))
    except (QuantityError, ValueError):
        number = -1.0
    if not 0 <= number <= 1e6:
        raise refuse("bad-amount", f"{text!r} is no amount of {label}.", "Write a number, of cloth a length.")
    return round(number * (THOUSANDTHS if kind == "supply" else 1))


def _sides(text: str) -> tuple[float, float] | None:
    if not text:
        return None
    try:
        one, other = (float(side) for side in text.lower().replace("×", "x").split("x"))
    except ValueError:
        raise refuse(
            "no-section", f"{text!r} is no section.", "Write both sides in mm, e.g. 21x44."
        ) from None
    return one, other


def _local(at: datetime) -> str:
    return at.astimezone().strftime("%Y-%m-%d %H:%M")
