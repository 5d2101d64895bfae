"""``longpoint lay``: the shortest lay on a roll for a list of rectangles."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import typer

from longpoint.cli.answer_json import say_json
from longpoint.errors import FaultsError, Where, refuse


def lay(
    file: Annotated[Path, typer.Argument(help="List of rectangles, JSON; - for standard input.")],
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON instead of a table.")] = False,
) -> None:
    """Lays a list of rectangles on a roll: least length, straight cuts, with its lower bound."""
    from longpoint.cli.progress import progress
    from longpoint.cutting.lay.list import lay_list

    name = "standard input" if str(file) == "-" else str(file)
    try:
        stated = _read(file, name)
        begun = time.perf_counter()
        with progress() as say:
            say("Laying")
            answer = lay_list(stated)
    except FaultsError as error:
        raise FaultsError(
            replace(fault, where=replace(fault.where, file=name)) for fault in error.faults
        ) from None
    answer["seconds"] = round(time.perf_counter() - begun, 3)
    if not answer["refereed"]["passed"]:
        _refused(answer)
    if as_json:
        say_json(answer)
    else:
        _show(answer)


def _refused(answer: dict[str, Any]) -> None:
    """Say that our own check refused something, and write the list so that it can be sent."""
    case = Path("lay-case.json")
    number = 1
    while case.exists():
        number += 1
        case = Path(f"lay-case-{number}.json")
    case.write_text(answer["refereed"]["case"], encoding="utf-8")
    instead = {
        "by-hand": "Plain rows were taken instead; a shorter lay may exist.",
        "claims-dropped": "The lay can be cut as it stands; what was said about its being the shortest is taken back.",
    }[answer["refereed"]["instead"]]
    typer.echo(
        f"The answer found first did not pass our own check: {' '.join(answer['refereed']['faults'])} That is a fault "
        f"of this program, not of yours. {instead} Please send us {case}.",
        err=True,
    )


def _read(file: Path, name: str) -> Any:
    try:
        raw = typer.get_binary_stream("stdin").read() if str(file) == "-" else file.read_bytes()
    except OSError as error:
        reason = (error.strerror or "it is not there").lower()
        what = f"The file cannot be read: {reason}."
        raise refuse("cannot-read", what, "State the path of a JSON file.", Where(file=name)) from error
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise refuse(
            "not-utf-8", "The file is not UTF-8 text.", "Save it again as UTF-8.", Where(file=name, line=line)
        ) from error
    try:
        return json.loads(text, object_pairs_hook=_once)
    except json.JSONDecodeError as error:
        what = f"The file is not JSON: {error.msg.lower()} at column {error.colno}."
        raise refuse(
            "not-json", what, "Mind quotes and commas.", Where(file=name, line=error.lineno)
        ) from error
    except RecursionError as error:
        remedy = "Take the brackets away."
        raise refuse("not-json", "The file is nested too deeply.", remedy, Where(file=name)) from error
    except ValueError as error:
        what = "A number in the file has thousands of digits."
        raise refuse("not-json", what, "Shorten it.", Where(file=name)) from error


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, value in pairs:
        if key in made:
            raise refuse("repeated-key", f'The key "{key}" is stated twice.', "State it once.", Where(key))
        made[key] = value
    return made


def _show(answer: dict[str, Any]) -> None:
    from rich.table import Table

    from longpoint.cli.speaking import answers

    unit = answer["unit"]
    console = answers()
    if answer["proven"]:
        proof = "proven least"
    else:
        gap = 100 * (answer["length"] - answer["at_least"]) / answer["length"]
        proof = f"at least {_number(answer['at_least'])} {unit} are needed: within {gap:.2f} % of the least possible"
    console.print(f"Length {_number(answer['length'])} {unit}; {proof}.", markup=False)
    console.print(_BOUND_BY[answer["bound_by"]], style="dim", markup=False)
    table = Table("piece", box=None, pad_edge=False)
    for head in ("from left edge", "from free end", "across", "along"):
        table.add_column(f"{head} [{unit}]".replace("[", r"\["), justify="right")
    table.add_column("")
    for placed in answer["placed"]:
        table.add_row(
            placed["name"].replace("[", r"\["),
            *(_number(placed[key]) for key in ("x", "y", "across", "along")),
            "turned" if placed["turned"] else "",
        )
    console.print(table)
    console.print(f"{answer['seconds']:.1f} s", style="dim")


_BOUND_BY = {
    "arithmetic": "The bound follows from sizes and areas; checked in whole numbers by a second program.",
    "listing": "A second program has listed every way to part the pieces by straight cuts and found none shorter.",
}


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
