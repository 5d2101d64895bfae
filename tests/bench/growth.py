"""How lists, searches and reservations grow from 1000 boards to 100 000, on both databases: measured, then drawn.

``python tests/bench/growth.py`` fills stores, measures, and writes ``docs/pictures/rack-growth.json`` and the picture
beside it; with ``--draw`` it only draws what was measured last. Milliseconds in the database, the median of 15.
"""

from __future__ import annotations

import json
import math
import os
import platform
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench_store import ASKED, filled, milliseconds, reserving

from longpoint.store import Place, open_store, place_of
from store.databases import running_server, server_is_there

SIZES = (1000, 10_000, 100_000)
TOLD = Path(__file__).parents[2] / "docs" / "pictures" / "rack-growth.json"
LIMIT = 50.0
"""What each was to stay under. [ms]"""


def measured(place: Place, boards: int) -> dict[str, float]:
    """Milliseconds of every question in a store of so many boards and a tenth as many works."""
    store = open_store(place)
    filled(store, boards, boards // 10)
    found = {what: milliseconds(store, asked) for what, asked in ASKED.items()}
    found["a reservation of ten boards"] = reserving(store)
    store.close()
    return {what: round(value, 2) for what, value in found.items()}


def all_measured() -> dict[str, dict[str, dict[str, float]]]:
    """The same by database and size."""
    found: dict[str, dict[str, dict[str, float]]] = {}
    with tempfile.TemporaryDirectory() as name:
        for boards in SIZES:
            place = place_of(f"{name}/{boards}", {})
            found.setdefault("SQLite", {})[str(boards)] = measured(place, boards)
        if server_is_there():
            with running_server() as server:
                for boards in SIZES:
                    place = Place(place_of(server.new(), {}).url, Path(name))
                    found.setdefault("PostgreSQL", {})[str(boards)] = measured(place, boards)
    return found


def drawing(found: dict[str, dict[str, dict[str, float]]]) -> str:
    """Both scales by factors of ten; a line for each question, a panel for each database."""
    wide, high, left, top = 330, 250, 46, 30
    low, most = 0.1, 1000.0

    def x(boards: float) -> float:
        return left + wide * math.log10(boards / SIZES[0]) / math.log10(SIZES[-1] / SIZES[0])

    def y(value: float) -> float:
        return top + high * (1 - math.log10(max(value, low) / low) / math.log10(most / low))

    colours = ("#1b6ca8", "#c4501b", "#3a7d34", "#8a3b8f", "#6b6b6b", "#b08900", "#00808a")
    whole = 2 * (wide + left + 20)
    names = list(next(iter(next(iter(found.values())).values())))
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {whole} {top + high + 50 + 16 * len(names)}" '
        'font-family="sans-serif" font-size="11" role="img" aria-label="Milliseconds by number of boards">',
        '<rect width="100%" height="100%" fill="#ffffff"/>',
    ]
    for panel, (database, sizes) in enumerate(found.items()):
        out.append(f'<g transform="translate({panel * (wide + left + 20)} 0)">')
        out.append(f'<text x="{left}" y="18" font-size="13">{database}</text>')
        for power in range(-1, 4):
            at = y(10.0**power)
            out.append(f'<path d="M{left} {at:.1f}h{wide}" stroke="#dddddd"/>')
            out.append(f'<text x="{left - 5}" y="{at + 4:.1f}" text-anchor="end">{10.0**power:g} ms</text>')
        for boards in SIZES:
            out.append(
                f'<text x="{x(boards):.1f}" y="{top + high + 16}" text-anchor="middle">{boards}</text>'
            )
        out.append(f'<path d="M{left} {y(LIMIT):.1f}h{wide}" stroke="#000000" stroke-dasharray="5 4"/>')
        out.append(f'<text x="{left + 4}" y="{y(LIMIT) - 4:.1f}">{LIMIT:g} ms</text>')
        for colour, name in zip(colours, names, strict=True):
            points = " ".join(f"{x(int(size)):.1f},{y(row[name]):.1f}" for size, row in sizes.items())
            out.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2"/>')
        out.append("</g>")
    for number, (colour, name) in enumerate(zip(colours, names, strict=True)):
        at = top + high + 40 + 16 * number
        out.append(f'<path d="M{left} {at - 4}h24" stroke="{colour}" stroke-width="2"/>')
        last = ", ".join(
            f"{database} {sizes[str(SIZES[-1])][name]:.1f} ms" for database, sizes in found.items()
        )
        out.append(f'<text x="{left + 32}" y="{at}">{name}: at {SIZES[-1]} boards {last}</text>')
    return "\n".join([*out, "</svg>"]) + "\n"


def main() -> int:
    """Measures unless only drawing is asked for, and draws."""
    if "--draw" not in sys.argv:
        told = {
            "how": f"median of 15, ms; {os.cpu_count()} processors, Python {platform.python_version()}; "
            "one work to ten boards",
            "found": all_measured(),
        }
        TOLD.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    found = json.loads(TOLD.read_text(encoding="utf-8"))["found"]
    TOLD.with_suffix(".svg").write_text(drawing(found), encoding="utf-8")
    for database, sizes in found.items():
        for name in sizes[str(SIZES[-1])]:
            print(f"{database:<10} {name:<34} " + "  ".join(f"{sizes[str(n)][name]:7.2f} ms" for n in SIZES))
    return 0


if __name__ == "__main__":
    sys.exit(main())
