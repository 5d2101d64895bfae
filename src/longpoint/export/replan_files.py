"""A plan read back for planning its rest, and the rest as files: saw pages and JSON."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

from pydantic import ValidationError

from longpoint.cutting.replan import Replanned
from longpoint.cutting.values import CutBoard, millimetres
from longpoint.drawing.pages import Pack, Page, Paper
from longpoint.drawing.replan_page import RestSheet, replan_page
from longpoint.drawing.saw_pages import saw_pages
from longpoint.drawing.voice import Voice, frame_words, voice_of
from longpoint.errors import FaultsError
from longpoint.export.pack import pack_pdf
from longpoint.export.plan_json import PlanDocument
from longpoint.jobs.replan import Replan, SectionReplan
from longpoint.jobs.replan_old import (
    OldBoard,
    OldMember,
    OldPart,
    OldPlan,
    OldSection,
    OldWork,
    damaged,
)
from longpoint.model.batch import Batch


def old_plan_of(document: PlanDocument) -> OldPlan:
    """What a plan file says, as far as cutting goes.

    Raises:
        FaultsError: If its batch cannot be read.
    """
    try:
        # Lengths in the file are millimetres, whatever unit the batch was written in.
        batch = Batch.model_validate(document.batch, context={"unit": "mm"})
    except ValidationError as error:
        first = ", ".join(str(part) for part in error.errors()[0]["loc"])
        raise FaultsError([damaged(f"its batch cannot be read at {first}")]) from None
    return OldPlan(
        batch=batch,
        revision=document.revision,
        works=tuple(
            OldWork(
                work.name,
                work.code,
                work.how_many,
                work.corner,
                tuple(OldMember(m.name, m.kind, _exact(m.low), _exact(m.high)) for m in work.members),
                tuple(
                    OldPart(
                        part.mark,
                        part.kind,
                        part.how_many,
                        _exact(part.long_point),
                        _exact(part.thickness),
                        _exact(part.depth),
                    )
                    for part in work.parts
                ),
            )
            for work in document.works
        ),
        sections=tuple(
            OldSection(
                section.section,
                tuple(
                    OldBoard(
                        board.board,
                        board.copy_number,
                        tuple((cut.part, _exact(cut.start)) for cut in board.cuts),
                    )
                    for board in section.boards
                ),
            )
            for section in document.boards
        ),
    )


def replan_files(replan: Replan, *, paper: Paper) -> dict[str, bytes]:
    """The rest of a plan as files.

    Args:
        replan: The rest.
        paper: The sheet.

    Returns:
        ``replan.pdf`` and ``replan.json`` by name.
    """
    say = voice_of(replan.batch.language, replan.batch.style)
    return {
        "replan.pdf": pack_pdf(replan_pack(replan, say=say, paper=paper), paper=paper),
        "replan.json": replan_json(replan),
    }


def replan_pack(replan: Replan, *, say: Voice, paper: Paper) -> Pack:
    """The pages of the rest: an overview, then the saw pages."""
    left = [(section, section.again) for section in replan.sections if section.again is not None]
    pages: list[Page] = [
        replan_page(
            [RestSheet(again, section.cut.priced) for section, again in left],
            longer=replan.longer,
            cautions=[str(caution) for caution in replan.cautions],
            currency=replan.batch.currency,
            say=say,
        )
    ]
    for _, again in left:
        pages += saw_pages(again.plan, again.problem, say=say, paper=paper)
    return Pack(
        title=replan.batch.title,
        revision=replan.revision,
        pages=tuple(pages),
        language=say.language,
        words=frame_words(say),
    )


def replan_json(replan: Replan) -> bytes:
    """The rest as JSON, the same bytes for the same rest."""
    return (json.dumps(replan_document(replan), indent=1, ensure_ascii=False) + "\n").encode()


def replan_document(replan: Replan) -> dict[str, Any]:
    """The rest as plain values; lengths in mm, positions from each board's first left end."""
    return {
        "format": "longpoint replan",
        "version": 1,
        "revision": replan.revision,
        "title": replan.batch.title,
        "currency": replan.batch.currency,
        "lengths": [
            {"part": mark, "before": round(before, 4), "now": round(now, 4)}
            for mark, before, now in replan.longer
        ],
        "sections": [_section(section) for section in replan.sections],
        "cautions": [
            {"code": caution.code, "what": caution.what, "about": caution.about}
            for caution in replan.cautions
        ],
    }


def _section(section: SectionReplan) -> dict[str, Any]:
    again = section.again
    row: dict[str, Any] = {
        "use": section.cut.use,
        "section": section.cut.plan.section if again is None else again.plan.section,
        "touched": section.touched,
        "priced": section.cut.priced,
        "finished": again is None,
    }
    return row if again is None else row | _rest(again)


def _rest(again: Replanned) -> dict[str, Any]:
    plan = again.plan
    bought = {board.name: board for board in again.boards}
    return {
        "cost": round(float(plan.cost), 6),
        "at_least": round(float(plan.at_least), 6),
        "proven": plan.proven,
        "as_planned": again.as_planned,
        "wanted": [
            {"part": part.name, "length": _mm(part.length), "how_many": part.how_many}
            for part in again.problem.parts
        ],
        "lost_their_place": [{"part": name, "how_many": count} for name, count in again.displaced],
        "to_take": [
            {
                "board": board.board,
                "length": _mm(board.length),
                "at_hand": board.at_hand,
                "cost": round(float(board.cost), 6),
            }
            for board in again.to_take
        ],
        "here": [
            {
                "name": board.name,
                "board": board.board,
                "number": board.copy,
                "cut": list(board.done),
                "planned": list(board.planned),
                "now": list(board.now),
                "changed": board.changed,
            }
            for board in again.boards
        ],
        "boards": [{"new": board.board not in bought, **_board(board)} for board in plan.boards],
    }


def _board(board: CutBoard) -> dict[str, Any]:
    return {
        "board": board.board,
        "copy_number": board.copy,
        "length": _mm(board.length),
        "cuts": [
            {
                "part": cut.part,
                "start": _mm(cut.start),
                "end": _mm(cut.end),
                "stop": _mm(cut.stop),
                "swing_start": str(cut.swing_start),
                "swing_end": str(cut.swing_end),
                "turned": cut.turned,
            }
            for cut in board.cuts
        ],
        "remains": _mm(board.remains),
        "good_for": board.good_for,
    }


def _exact(number: float) -> Fraction:
    return Fraction(repr(number))


def _mm(length: int) -> float:
    return round(millimetres(length), 4)
