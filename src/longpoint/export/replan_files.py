"""The rest of a plan as files: saw pages, and JSON that the next rest goes on from."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from longpoint.cutting.boards.values import millimetres
from longpoint.cutting.remainder.replan import Replanned
from longpoint.drawing.paper.pages import Pack, Page, Paper
from longpoint.drawing.sheets.replan_page import RestSheet, replan_page
from longpoint.drawing.sheets.saw_pages import saw_pages
from longpoint.drawing.words.own_words import caution_words, sentence_of
from longpoint.drawing.words.voice import Voice, frame_words, voice_of
from longpoint.export.manifest import FileRow, manifest_of
from longpoint.export.rows.replan import FORMAT, VERSION, begun_document, board_document, stages_document
from longpoint.export.typeset.pack import pack_pdf
from longpoint.replanning.answer import Replan, SectionReplan


def replan_files(replan: Replan, *, paper: Paper) -> dict[str, bytes]:
    """The rest of a plan as files.

    Args:
        replan: The rest.
        paper: The sheet.

    Returns:
        ``replan.pdf`` and ``replan.json`` by name.
    """
    say = voice_of(replan.batch.language, replan.batch.style)
    pages = pack_pdf(replan_pack(replan, say=say, paper=paper), paper=paper)
    written = manifest_of([("replan.pdf", pages)])
    return {"replan.pdf": pages, "replan.json": replan_json(replan, files=written)}


def replan_pack(replan: Replan, *, say: Voice, paper: Paper) -> Pack:
    """The pages of the rest: an overview, then the saw pages."""
    left = [(section, section.again) for section in replan.sections if not section.again.finished]
    pages: list[Page] = [
        replan_page(
            [RestSheet(again, section.cut.priced) for section, again in left],
            said=[stage.events for stage in replan.so_far.stages],
            longer=replan.longer,
            cautions=[caution_words(caution, say) for caution in replan.cautions],
            currency=replan.batch.currency,
            say=say,
        )
    ]
    for section, again in left:
        counted_in = replan.batch.currency if section.cut.priced else "m"
        pages += saw_pages(again.plan, again.problem, say=say, paper=paper, counted_in=counted_in)
    return Pack(
        title=replan.batch.title,
        revision=replan.revision,
        pages=tuple(pages),
        language=say.language,
        words=frame_words(say),
    )


def replan_json(replan: Replan, *, files: Sequence[FileRow] = ()) -> bytes:
    """The rest as JSON, with the files written beside it; the same bytes for the same rest."""
    document = {**replan_document(replan), "files": [row.model_dump() for row in files]}
    return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()


def replan_document(replan: Replan) -> dict[str, Any]:
    """The rest as plain values; lengths in mm, positions from each board's first left end."""
    say = voice_of(replan.batch.language, replan.batch.style)
    return {
        "format": FORMAT,
        "version": VERSION,
        "revision": replan.revision,
        "title": replan.batch.title,
        "currency": replan.batch.currency,
        "lengths": [
            {"part": mark, "before": round(before, 4), "now": round(now, 4)}
            for mark, before, now in replan.longer
        ],
        "sections": [_section(section) for section in replan.sections],
        "cautions": [
            {"code": caution.code, "what": sentence_of(caution, say), "about": caution.about}
            for caution in replan.cautions
        ],
        "begun": begun_document(replan.so_far),
        "stages": stages_document(replan.so_far),
    }


def _section(section: SectionReplan) -> dict[str, Any]:
    again = section.again
    row: dict[str, Any] = {
        "use": section.cut.use,
        "section": again.plan.section,
        "touched": section.touched,
        "priced": section.cut.priced,
        "finished": again.finished,
    }
    return row if again.finished else row | _rest(again)


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
                "number": board.copy,
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
        "boards": [{"new": board.board not in bought, **board_document(board)} for board in plan.boards],
    }


def _mm(length: int) -> float:
    return round(millimetres(length), 6)
