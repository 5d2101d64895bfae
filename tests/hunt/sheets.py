"""Every drawing of every sheet: no words cut off, crossed, covered or over one another, on both papers.

A number draws an ordinary batch (`batches`), in its own unit and language; its drawings are measured as they go to
the printer, those of the bench pack and of the reasons.
"""

from __future__ import annotations

from hunt.batches import small_text
from hunt.kinds import Checked, Kind, register


def faults_of_drawings(text: str) -> Checked:
    """What cannot be read on the sheets of a batch."""
    from longpoint.choosing.by_rule import design_of
    from longpoint.drawing.paper.extent import overlaps
    from longpoint.drawing.paper.pages import A4, LETTER, drawings_of
    from longpoint.drawing.words.voice import voice_of
    from longpoint.errors import FaultsError
    from longpoint.export.packs.pack_of import pack_of
    from longpoint.export.packs.reasons_of import reasons_of
    from longpoint.export.results import views_of
    from longpoint.jobs.plan import plan_batch
    from longpoint.model.reading import parse_batch

    try:
        plan = plan_batch(parse_batch(text), choose=design_of)
    except FaultsError:
        return Checked((), ("refused",))
    say = voice_of(plan.batch.language, plan.batch.style)
    drawn = [("file", view) for work in plan.works for view in views_of(work, say=say)]
    for paper in (A4, LETTER):
        for pack in (pack_of(plan, say=say, paper=paper), reasons_of(plan, say=say, paper=paper)):
            drawn += [
                (f"{paper.name}, {page.key}", view) for page in pack.pages for view in drawings_of(page)
            ]
    wrong = dict.fromkeys(
        f"{where}, {view.name}: {clash.kind} {clash.words!r} {clash.other!r} {clash.depth:.2f}"
        for where, view in drawn
        for clash in overlaps(view.marks, within=view.edge)
    )
    return Checked(tuple(wrong), ("printed",))


def check_drawings(number: int) -> Checked:
    """Measures the drawings of a small batch."""
    return faults_of_drawings(small_text(number))


register(Kind("sheets", small_text, check_drawings, 4))
