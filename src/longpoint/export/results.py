"""Everything ``longpoint plan`` writes: file names and bytes."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence

from longpoint.drawing.frame_views import back_view, front_view
from longpoint.drawing.pages import paper_named
from longpoint.drawing.section_view import section_view
from longpoint.drawing.voice import Voice, voice_of
from longpoint.export.pack import pack_pdf
from longpoint.export.pack_of import pack_of
from longpoint.export.plan_json import plan_json
from longpoint.export.svg import svg_of
from longpoint.jobs.plan import Plan

_VIEW_ROOM = (400.0, 280.0)


def result_files(plan: Plan, *, paper: str = "") -> dict[str, bytes]:
    """All results of a plan.

    Args:
        plan: The plan.
        paper: Name of the paper; "" for the batch's own.

    Returns:
        Contents by path inside the folder of results.

    Raises:
        FaultsError: If the paper is not known.
    """
    sheet = paper_named(paper or plan.batch.paper)
    say = voice_of(plan.batch.language, plan.batch.style)
    files = {
        "pack.pdf": pack_pdf(pack_of(plan, say=say, paper=sheet), paper=sheet),
        "plan.json": plan_json(plan),
        "tables/parts.csv": _csv(_PARTS_HEAD, parts_rows(plan)),
        "tables/cuts.csv": _csv(_CUTS_HEAD, cuts_rows(plan)),
        "tables/buying.csv": _csv(_BUYING_HEAD, buying_rows(plan)),
    }
    for name, contents in drawings(plan, say=say):
        files[f"drawings/{name}.svg"] = contents
    return files


def drawings(plan: Plan, *, say: Voice) -> Iterable[tuple[str, bytes]]:
    """Every drawing of the works: name and SVG."""
    for work in plan.works:
        stem = f"{work.code}-{file_word(work.name)}"
        yield f"{stem}-front", svg_of(front_view(work.frame, say=say, room=_VIEW_ROOM)).encode()
        yield f"{stem}-back", svg_of(back_view(work.frame, work.parts, say=say, room=_VIEW_ROOM)).encode()
        yield f"{stem}-section", svg_of(section_view(work.frame, say=say, room=(200.0, 150.0))).encode()


def file_word(name: str) -> str:
    """A name as part of a file name: letters, digits and hyphens; ``work`` where nothing is left."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "work"


_PARTS_HEAD = (
    "mark", "work", "kind", "members", "per work", "how many", "long point [mm]", "short point [mm]",
    "thickness [mm]", "depth [mm]", "bevel fall [mm]", "ends", "measured on the frame", "marks [mm]",
)  # fmt: skip
_CUTS_HEAD = (
    "section", "board", "number", "length [mm]", "from the rack", "cut", "part", "from [mm]", "to [mm]",
    "stop [mm]", "saw, left end", "saw, right end", "remains [mm]",
)  # fmt: skip
_BUYING_HEAD = ("group", "what", "need", "in the rack", "unit", "buy", "pack", "each", "total", "note")


def parts_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Rows of ``parts.csv``."""
    return [
        (
            part.mark,
            part.work,
            str(part.kind),
            "; ".join(part.members),
            str(part.per_work),
            str(part.how_many),
            _mm(part.long_point),
            _mm(part.short_point),
            _mm(part.thickness),
            _mm(part.depth),
            _mm(part.bevel_fall),
            " / ".join(part.ends),
            "yes" if part.measured else "no",
            "; ".join(f"{_mm(mark.at)} {mark.what}" for mark in part.marks),
        )
        for work in plan.works
        for part in work.parts
    ]


def cuts_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Rows of ``cuts.csv``."""
    return [
        (
            section.plan.section,
            board.board,
            str(board.copy),
            _mm(board.length / 1e6),
            "yes" if board.at_hand else "no",
            str(number),
            cut.part,
            _mm(cut.start / 1e6),
            _mm(cut.end / 1e6),
            _mm(cut.stop / 1e6),
            str(cut.swing_start),
            str(cut.swing_end),
            _mm(board.remains / 1e6),
        )
        for section in plan.boards
        for board in section.plan.boards
        for number, cut in enumerate(board.cuts, start=1)
    ]


def buying_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Rows of ``buying.csv``."""
    return [
        (
            line.group,
            line.what,
            f"{line.need:g}",
            f"{line.have:g}",
            line.unit,
            f"{line.buy:g}",
            line.pack,
            "" if line.each is None else str(line.each),
            "" if line.total is None else str(line.total),
            line.note,
        )
        for line in plan.buying
    ]


def _csv(head: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """RFC 4180: commas, quotes where needed, CRLF; UTF-8 with a mark, so that spreadsheets read it right."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(_harmless(row) for row in rows)
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _harmless(row: Sequence[str]) -> list[str]:
    # A cell that begins like a formula would be run by a spreadsheet.
    return [f"'{cell}" if cell[:1] in ("=", "+", "@") else cell for cell in row]


def _mm(length: object) -> str:
    return f"{float(length):.2f}".rstrip("0").rstrip(".")  # type: ignore[arg-type]
