"""``longpoint square``: measured sides and diagonals in, which corner to push how far out."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

import typer

from longpoint.cli.answer_json import say_json


def square(
    bottom: Annotated[str, typer.Option(help="Near side, long point to long point, as it lies before you.")],
    left: Annotated[str, typer.Option(help="Left side.")],
    rising: Annotated[str, typer.Option(help="Diagonal from near left to far right.")],
    falling: Annotated[str, typer.Option(help="Diagonal from far left to near right.")],
    top: Annotated[str, typer.Option(help="Far side; left out: as long as the near one.")] = "",
    right: Annotated[str, typer.Option(help="Right side; left out: as long as the left one.")] = "",
    width: Annotated[str, typer.Option(help="What bottom and top should be, by the plan.")] = "",
    height: Annotated[str, typer.Option(help="What left and right should be, by the plan.")] = "",
    accept: Annotated[str, typer.Option(help="Difference of the diagonals that is good enough.")] = "",
    thickness: Annotated[str, typer.Option(help="Of the bars, seen from the front.")] = "",
    unit: Annotated[str, typer.Option(help="Unit of bare numbers: mm, cm, m, in or ft.")] = "mm",
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
) -> None:
    """Square up a frame before its glue sets: measure four sides and two diagonals, be told where to push."""
    from longpoint.cli.measures import Reader
    from longpoint.errors import FaultsError
    from longpoint.joinery.square import MeasuredFrame, check_square

    read = Reader(unit)
    sides = {"bottom": read.needed(bottom, "bottom"), "left": read.needed(left, "left")}
    sides["top"] = read.wished(top, "top") or sides["bottom"]
    sides["right"] = read.wished(right, "right") or sides["left"]
    diagonals = {"rising": read.needed(rising, "rising"), "falling": read.needed(falling, "falling")}
    planned = {"width": read.wished(width, "width"), "height": read.wished(height, "height")}
    accepted = read.wished(accept, "accept")
    bar = read.wished(thickness, "thickness")
    if read.faults:
        raise FaultsError(read.faults)
    answer = check_square(
        MeasuredFrame(**sides, **diagonals),
        planned_width=planned["width"],
        planned_height=planned["height"],
        accepted=accepted,
        bar_thickness=bar,
        style=read.style,
        reading=read.reading,
    )
    if as_json:
        say_json(_rounded(asdict(answer)))
        return
    from longpoint.cli.speaking import answers

    console = answers()
    for line in answer.said:
        console.print(line, markup=False)


def _rounded(value: Any) -> Any:
    """Lengths in mm to a hundredth and angles to a millionth, so that the same input prints the same text."""
    if isinstance(value, dict):
        return {key: round(each, 6) if key == "skew" else _rounded(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(each) for each in value]
    return round(value, 2) if isinstance(value, float) else value
