"""``longpoint strips``: two strips of raw cloth in, how hard it will pull once size or primer is dry out."""

from __future__ import annotations

import json
from typing import Annotated

import typer


def strips(
    loose: Annotated[str, typer.Option(help="Between the marks of the strip that dried lying loose.")],
    hung: Annotated[str, typer.Option(help="Between the marks of the one that dried hanging, still loaded.")],
    mass: Annotated[float, typer.Option(help="What hangs on that one, clip included, in grams.")],
    marks: Annotated[str, typer.Option(help="Between the marks of both before they were wetted.")] = "500 mm",
    width: Annotated[str, typer.Option(help="Of both strips.")] = "50 mm",
    unit: Annotated[str, typer.Option(help="Unit of bare numbers: mm, cm, m, in or ft.")] = "mm",
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
) -> None:
    """Strip test: from how far two brushed strips shrink to the tension that the canvas will reach by itself."""
    from longpoint.cli.measures import Reader
    from longpoint.errors import FaultsError
    from longpoint.stretching.strips import read_strips

    read = Reader(unit)
    lengths = {
        key: read.needed(text, key)
        for key, text in (("marks", marks), ("loose", loose), ("hung", hung), ("width", width))
    }
    if not 0 < mass <= 20_000:
        read.fault("mass", f"a mass of {mass:g} g tells nothing.", "State grams above 0, at most 20000.")
    if read.faults:
        raise FaultsError(read.faults)
    found = read_strips(**lengths, mass=mass / 1000)
    low, likely, high = (
        1000 * each for each in (found.tension.low, found.tension.middle, found.tension.high)
    )
    if as_json:
        values = {
            "loose_shrank": round(found.loose, 4),
            "hung_shrank": round(found.hung, 4),
            "load": round(1000 * found.load, 1),
            "tension": round(likely, 1),
            "tension_low": round(low, 1),
            "tension_high": round(high, 1),
            "far": found.far,
            "stiffness": round(1000 * found.stiffness),
        }
        typer.echo(json.dumps(values, ensure_ascii=False, indent=1))
        return
    from longpoint.cli.speaking import answers

    console = answers()
    lines = [
        f"Loose it shrank {100 * found.loose:.1f} %, under {1000 * found.load:.0f} N/m {100 * found.hung:.1f} %.",
        f"Held still, this cloth will pull about {_tens(likely)} N/m once it is dry, anything from {_tens(low)} to "
        f"{_tens(high)} (estimate). A frame that gives leaves less of it: longpoint check says how much.",
        f"Write it under its [[roll]]: water_tension = {_tens(likely)}",
        f"Where the strips lay along the warp: stiffness = {1000 * found.stiffness:.3g}, shrinkage {found.loose:.3f}. "
        "From three tests on, longpoint book measure CLOTH keeps them for plans.",
    ]
    if found.far:
        lines.append(
            "That lies far beyond the load: hang a mass two or three times as heavy on a new strip to be surer."
        )
    for line in lines:
        console.print(line, markup=False)


def _tens(tension: float) -> str:
    return f"{max(round(tension, -1), 10):.0f}"
