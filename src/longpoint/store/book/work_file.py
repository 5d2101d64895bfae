"""What the page for a work's file says: gathered from the plan, the ticks and the values of one copy."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sqlalchemy import select

from longpoint.drawing.sheets.file_page import MeasuredRow, WorkFile
from longpoint.errors import refuse
from longpoint.store.book.document import WorkOf, batch_of, works_of
from longpoint.store.book.photographs import photographs
from longpoint.store.book.plans import begun
from longpoint.store.book.ticks import CopyLine, copies, copy, ticks_of_copy
from longpoint.store.book.values import values_of
from longpoint.store.opening import Desk
from longpoint.store.tables import PlanRow


@dataclass(frozen=True, slots=True)
class Found:
    """A page and how it is printed.

    Attributes:
        page: What it says.
        revision: Of the plan.
        language: Of the batch.
        paper: Of the batch.
    """

    page: WorkFile
    revision: str
    language: str
    paper: str


def work_file(desk: Desk, label: str) -> Found:
    """The page for the file of a copy.

    Args:
        desk: A transaction.
        label: Of the copy.

    Raises:
        FaultsError: If there is no such copy, or only the rest of a plan is kept of it.
    """
    line = copy(desk, label)
    said = begun(desk, line.batch)
    work = None if said is None else next((one for one in works_of(said) if one.name == line.work), None)
    if said is None or work is None:
        raise refuse(
            "no-such-plan",
            f"no whole plan is kept of {line.work}.",
            "Keep its plan.json: longpoint book add.",
        )
    batch = batch_of(said)
    page = WorkFile(
        work=line.work, title=line.title, label=line.label, count=(line.number, line.of),
        width=float(work.row["width"]), height=float(work.row["height"]), materials=_materials(work),
        states=[
            (one.key, one.at.astimezone().strftime("%Y-%m-%d"), one.who)
            for one in ticks_of_copy(desk, label)
            if one.kind == "state" and one.done
        ],
        measured=[
            MeasuredRow(
                what=one.what,
                value=f"{one.value:g} {one.unit}".rstrip(),
                planned="" if one.planned is None else f"{one.planned:.4g}",
                answer=one.answer,
                day=one.at.astimezone().strftime("%Y-%m-%d"),
                who=one.who,
            )
            for one in values_of(desk, label)
        ],
        photographs=[one.caption or one.file.name for one in photographs(desk, label)],
    )  # fmt: skip
    return Found(page, str(said["revision"]), str(batch.get("language", "en")), str(batch.get("paper", "A4")))


def _materials(work: WorkOf) -> list[tuple[str, str]]:
    row = work.row
    found: list[tuple[str, str]] = []
    for key, kinds in (("bars", ("bar",)), ("rails", ("end rail", "cross rail", "middle piece"))):
        sections = {
            f"{part['thickness']:g} × {part['depth']:g} mm" for part in row["parts"] if part["kind"] in kinds
        }
        if sections:
            found.append((key, ", ".join(sorted(sections))))
    found.append(("corners", str(row["corner"])))
    canvas = row.get("canvas") or {}
    if canvas:
        found.append(("canvas", str(canvas["state"])))
    coats = ", ".join(
        f"{name}, {litres['middle']:g} l" for name, litres in canvas.get("primer_litres", {}).items()
    )
    if coats:
        found.append(("coats", coats))
    return found


def copy_by_code(desk: Desk, code: str) -> CopyLine | None:
    """The copy that a label's square code, or what is written on it, is of; None where there is none.

    Args:
        desk: A transaction.
        code: What the code says: its label, or name, face, count, title and revision as the plan prints them.
    """
    text = code.strip()
    by_label = [one for one in copies(desk, words=text) if one.label == text]
    if by_label:
        return by_label[0]
    head, _, revision = text.rpartition(" · ")
    asked = select(PlanRow.batch_id).where(PlanRow.revision == revision).order_by(PlanRow.id.desc()).limit(1)
    batch = desk.session.scalar(asked)
    if batch is None:
        return None
    works = [one for one in copies(desk, batch=batch) if head.startswith(f"{one.work} · ")]
    longest = max((len(one.work) for one in works), default=0)
    mine = [one for one in works if len(one.work) == longest]
    told = re.match(r" · [^·]* · (\d+) \D+ (\d+) · ", head[longest:])
    number = int(told[1]) if told else 1
    return next((one for one in mine if one.number == number), None)
