"""Two plans of a batch beside one another: parts, costs, verdicts; only what is other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from longpoint.store.book.document import Document, boards_of, kind_of, works_of


@dataclass(frozen=True, slots=True)
class Other:
    """Something that is other in the second plan.

    Attributes:
        about: ``works``, ``parts``, ``boards``, ``sizes``, ``buying``, ``costs``, ``verdicts`` or ``cautions``.
        what: Which of them.
        before: In the first; "" where it is not there.
        now: In the second.
    """

    about: str
    what: str
    before: str
    now: str


def compared(first: Document, second: Document) -> list[Other]:
    """What is other in the second of two plans.

    The rest of a plan has parts and boards, neither costs nor verdicts: only what both have is held together.

    Args:
        first: A kept plan.
        second: Another of the same batch.
    """
    found: list[Other] = []
    views = [_works, _parts, _boards]
    if kind_of(first) == kind_of(second) == "plan":
        views += [_sizes, _buying, _costs, _verdicts, _cautions]
    for view in views:
        before, now = view(first), view(second)
        about = view.__name__[1:]
        for what in dict.fromkeys([*before, *now]):
            if before.get(what, "") != now.get(what, ""):
                found.append(Other(about, what, before.get(what, ""), now.get(what, "")))
    return found


def _works(document: Document) -> dict[str, str]:
    return {work.name: f"{work.how_many} ×" for work in works_of(document)}


def _sizes(document: Document) -> dict[str, str]:
    return {work.name: f"{work.row['width']:g} × {work.row['height']:g} mm" for work in works_of(document)}


def _parts(document: Document) -> dict[str, str]:
    return {
        part["mark"]: f"{part['how_many']} × {part['kind']} {part['thickness']:g} × {part['depth']:g}, "
        f"{part['long_point']:.1f} mm"
        for work in works_of(document)
        for part in work.row["parts"]
    }


def _boards(document: Document) -> dict[str, str]:
    return {
        f"{board.section}: {board.board} no. {board.number}": ", ".join(board.parts)
        for board in boards_of(document)
    }


def _buying(document: Document) -> dict[str, str]:
    return {row["what"]: f"{row['buy']:g} × {row['pack']}" for row in document["buying"] if row["buy"]}


def _costs(document: Document) -> dict[str, str]:
    return {
        f"{row['work']}, {key}": str(row[key])
        for row in document["costs"]
        for key in ("timber", "cloth", "sundries", "hours", "labour", "total", "price_each")
    }


def _verdicts(document: Document) -> dict[str, str]:
    found: dict[str, str] = {}
    for work in works_of(document):
        for row in work.row["verdicts"]:
            found[f"{work.name}, {row['key']}"] = _verdict(row)
    return found


def _verdict(row: Mapping[str, Any]) -> str:
    return f"{row['answer']}, {float(row['likely']):.4g} {row['unit']}".rstrip()


def _cautions(document: Document) -> dict[str, str]:
    return {f"{row['about']} {row['code']}".strip(): row["what"] for row in document["cautions"]}
