"""What is planned can be printed, in every unit, on every paper, in every language: nothing is refused or cut off."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import product

import pytest

from longpoint.drawing.paper.fit import fitted
from longpoint.drawing.paper.pages import A4, LETTER, Page, Paper, drawings_of
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.typeset.pack import pack_pdf
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

LEAST = 0.8
"""No drawing is made smaller as a whole by more: its lettering of 2.5 mm would be hard to read at the bench."""

BATCHES = {
    "a class of twelve on a narrow roll": """
        unit = "in"
        [[work]]
        name = "Student panel"
        width = 20
        height = 16
        how_many = 12
        [[yard]]
        name = "1x2"
        lengths = ["8 ft"]
        [[roll]]
        name = "duck with a long name that stands in the caption too"
        width = 60
    """,
    "tall and wide, deep bars, sewn cloth": """
        [bars]
        depth = 94
        corner = "mitre with gusset"
        [cloth]
        turnover = 260
        [[work]]
        name = "Very tall"
        width = 420
        height = 2950
        [[work]]
        name = "Very wide"
        width = 3000
        height = 330
        how_many = 2
    """,
    "a roll as wide as a house, a lip as round as it may be": """
        [bars]
        lip_radius = 10
        [[work]]
        name = "Small"
        width = 210
        height = 200
        [[roll]]
        name = "wide"
        width = "9 m"
        flaws = [{ start = "1 mm", stop = "2 mm", left = 400, right = 410, why = "slub" }]
    """,
}


@cache
def planned(name: str) -> Plan:
    return plan_batch(parse_batch("\n".join(line.strip() for line in BATCHES[name].splitlines())))


def shown(plan: Plan, *, unit: str, language: str) -> Plan:
    return replace(plan, batch=plan.batch.model_copy(update={"show": unit, "language": language}))


def too_small(pages: tuple[Page, ...], paper: Paper) -> list[str]:
    """Drawings that would be made much smaller as a whole, and full-size ones larger than the sheet."""
    found = []
    for page in pages:
        for view in drawings_of(page):
            if view.full_size:
                if view.width > paper.room[0] + 0.1 or view.height > paper.room[1] + 0.1:
                    found.append(
                        f"{page.key}: {view.name} at full size is {view.width:.0f} × {view.height:.0f}"
                    )
                continue
            small = fitted(view, room=paper.room)
            if small.scale < LEAST * view.scale:
                found.append(f"{page.key}: {view.name} is made {view.scale / small.scale:.2f} times smaller")
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", BATCHES)
@pytest.mark.parametrize(("unit", "language"), [*product(("mm", "cm", "in"), ("en", "de"))])
def test_every_drawing_fits_its_sheet_and_stays_readable(name: str, unit: str, language: str) -> None:
    plan = shown(planned(name), unit=unit, language=language)
    say = voice_of(language, plan.batch.style)  # type: ignore[arg-type]
    for paper in (A4, LETTER):
        pack = pack_of(plan, say=say, paper=paper)
        assert too_small(pack.pages, paper) == []
        if (unit, language, paper) in (("in", "de", LETTER), ("cm", "en", A4)):
            assert pack_pdf(pack, paper=paper).startswith(b"%PDF")
