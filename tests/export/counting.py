"""How many sheets a pack takes, without typesetting it as a whole."""

from __future__ import annotations

from longpoint.drawing.paper.pages import Paper
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.fitting import fills_of, laid_out
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.typeset.pack_source import groups_of
from longpoint.jobs.plan import Plan


def sheets(plan: Plan, language: str, paper: Paper) -> list[tuple[str, float]]:
    """Every sheet but the last of each run of pages counts as full: (first page's key, share used)."""
    pack = pack_of(plan, say=voice_of(language, plan.batch.style), paper=paper)
    settings = laid_out(pack, paper=paper).settings
    fills = fills_of(pack, paper=paper, settings=settings)
    found = []
    for group in groups_of(fills, settings):
        count = sum(fills[number].sheets for number in group) - len(group) + 1
        key = " + ".join(pack.pages[number].key for number in group)
        found += [(key, 1.0)] * (count - 1) + [(key, fills[group[-1]].last)]
    return found
