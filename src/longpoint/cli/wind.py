"""``longpoint wind``: the lift of one corner in, what it means on the wall and how far to pack out."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import typer

from longpoint.cli.answer_json import say_json


def wind(
    width: Annotated[str, typer.Option(help="Of the frame.")],
    height: Annotated[str, typer.Option(help="Of the frame.")],
    lift: Annotated[str, typer.Option(help="Of one corner, when the other three lie on a flat bench.")],
    corner: Annotated[
        str, typer.Option(help="Which one lifts: bottom left, bottom right, top right or top left, as seen.")
    ] = "top right",
    glue: Annotated[str, typer.Option(help="The glue: open, setting or set.")] = "setting",
    accept: Annotated[str, typer.Option(help="Lift that is good enough.")] = "",
    unit: Annotated[str, typer.Option(help="Unit of bare numbers: mm, cm, m, in or ft.")] = "mm",
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
) -> None:
    """Frame in wind: what the lift of one corner means, and how far to pack while the glue gives."""
    from longpoint.cli.measures import Reader
    from longpoint.errors import FaultsError
    from longpoint.joinery.wind import NEIGHBOURS, OVER, check_wind

    read = Reader(unit)
    sizes = {"width": read.needed(width, "width"), "height": read.needed(height, "height")}
    lifted = read.needed(lift, "lift", zero=True)
    accepted = read.wished(accept, "accept")
    corner_seen = next((name for name in NEIGHBOURS if name == corner.strip().lower()), None)
    if corner_seen is None:
        read.fault("corner", f"{corner!r} is not a corner.", f"Use one of: {', '.join(NEIGHBOURS)}.")
    glue_now = glue.strip().lower()
    if glue_now not in OVER:
        read.fault("glue", f"{glue!r} says nothing about the glue.", f"Use one of: {', '.join(OVER)}.")
    if read.faults:
        raise FaultsError(read.faults)
    assert corner_seen is not None
    assert glue_now in ("open", "setting", "set")
    answer = check_wind(
        **sizes,
        lift=lifted,
        corner=corner_seen,
        glue=glue_now,  # type: ignore[arg-type]
        accepted=accepted,
        style=read.style,
    )
    if as_json:
        plain = {
            key: round(value, 6 if key in ("between_bars", "per_metre") else 2)
            if isinstance(value, float)
            else value
            for key, value in asdict(answer).items()
        }
        say_json(plain)
        return
    from longpoint.cli.speaking import answers

    console = answers()
    for line in answer.said:
        console.print(line, markup=False)
