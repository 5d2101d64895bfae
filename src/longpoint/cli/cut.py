"""``longpoint cut``: the least cost of cutting a list of parts out of a list of boards."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import typer

from longpoint.cli.answer_json import say_json
from longpoint.errors import FaultsError, Where, refuse


def cut(
    file: Annotated[Path, typer.Argument(help="Lists of boards and parts, JSON; - for standard input.")],
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON instead of a table.")] = False,
) -> None:
    """Cuts a list of parts out of boards: least cost, with its lower bound."""
    from longpoint.cli.progress import progress
    from longpoint.cutting.boards.lists import cut_list, parse_cut_list

    name = "standard input" if str(file) == "-" else str(file)
    given = parse_cut_list(_read(file, name), file=name)
    begun = time.perf_counter()
    try:
        with progress() as say:
            say("Cutting")
            answer = cut_list(given)
    except FaultsError as error:
        raise FaultsError(
            replace(fault, where=replace(fault.where, file=name)) for fault in error.faults
        ) from None
    answer["seconds"] = round(time.perf_counter() - begun, 3)
    if "refused" in answer:
        _tell(answer["refused"])
    if as_json:
        say_json(answer)
    else:
        _show(answer, str(given.get("unit", "mm")))


def _tell(refused: dict[str, Any]) -> None:
    """Says that the plan found first did not pass our own check, and writes the case that can be sent to us."""
    case = Path("longpoint-case.json")
    try:
        case.write_text(refused["case"], encoding="utf-8")
        where = f"Please send us {case}, which is written here."
    except OSError:
        where = "Please send us your list."
    typer.echo(
        f"The plan found first did not pass our own check: {refused['faults'][0]} That is a fault of this program. "
        f"A plan that passes was taken instead; it may cost more than it must. {where}",
        err=True,
    )


def _read(file: Path, name: str) -> str:
    try:
        raw = typer.get_binary_stream("stdin").read() if str(file) == "-" else file.read_bytes()
    except OSError as error:
        reason = (error.strerror or "it is not there").lower()
        raise refuse(
            "cannot-read",
            f"The file cannot be read: {reason}.",
            "State the path of a JSON file.",
            Where(file=name),
        ) from error
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise refuse(
            "not-utf-8", "The file is not UTF-8 text.", "Save it again as UTF-8.", Where(file=name, line=line)
        ) from error


def _show(answer: dict[str, Any], unit: str) -> None:
    boards = answer["boards"]
    same: dict[tuple[Any, ...], int] = {}
    for board in boards:
        key = (board["from"], tuple(board["parts"]), board["used"], board["remains"])
        same[key] = same.get(key, 0) + 1
    typer.echo(f"{'boards':>6}  {'from':<12} {'used':>10} {'remains':>10}  parts, left to right ({unit})")
    for (source, parts, used, remains), count in same.items():
        runs: list[tuple[str, int]] = []
        for part in parts:
            if runs and runs[-1][0] == part:
                runs[-1] = (part, runs[-1][1] + 1)
            else:
                runs.append((part, 1))
        shown = ", ".join(f"{times} × {part}" if times > 1 else part for part, times in runs)
        typer.echo(f"{count:>5} ×  {source:<12} {used:>10g} {remains:>10g}  {shown}")
    known = "proven least" if answer["proven"] else f"no plan costs less than {answer['at_least']:.10g}"
    plural = "board" if len(boards) == 1 else "boards"
    typer.echo(f"{len(boards)} {plural}, cost {answer['cost']:.10g}: {known}. {answer['seconds']:.2f} s.")
