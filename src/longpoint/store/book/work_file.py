"""What the page for a work's file says: gathered from the plan, the ticks and the values of one copy."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select

from longpoint.drawing.sheets.file_page import MeasuredRow, PhotographRow, Reader, WorkFile
from longpoint.errors import refuse
from longpoint.store.book.document import Document, WorkOf, batch_of, supplies_of, wood_of, works_of
from longpoint.store.book.photographs import FOLDER, photographs
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
        pictures: Folder that photographs lie in.
    """

    page: WorkFile
    revision: str
    language: str
    paper: str
    pictures: Path


def work_file(desk: Desk, label: str, *, reader: Reader = "painter") -> Found:
    """The page for the file of a copy.

    Args:
        desk: A transaction.
        label: Of the copy.
        reader: Who it is for.

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
        width=float(work.row["width"]), height=float(work.row["height"]), materials=_materials(said, work),
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
        photographs=[
            PhotographRow(
                file=one.file.relative_to(desk.folder / FOLDER).as_posix(),
                caption=one.caption,
                day=one.at.astimezone().strftime("%Y-%m-%d"),
                who=one.who,
            )
            for one in photographs(desk, label)
        ],
        reader=reader,
    )  # fmt: skip
    return Found(
        page,
        str(said["revision"]),
        str(batch.get("language", "en")),
        str(batch.get("paper", "A4")),
        desk.folder / FOLDER,
    )


def _materials(said: Document, work: WorkOf) -> list[tuple[str, str]]:
    row = work.row
    found: list[tuple[str, str]] = []
    for key, kinds in (("bars", ("bar",)), ("rails", ("end rail", "cross rail", "middle piece"))):
        sections = {
            f"{part['thickness']:g} × {part['depth']:g} mm, {wood_of(said, part['thickness'], part['depth'])}"
            for part in row["parts"]
            if part["kind"] in kinds
        }
        if sections:
            found.append((key, "; ".join(sorted(sections))))
    found.append(("corners", str(row["corner"])))
    mine = [one for one in supplies_of(said) if one.work == work.name]
    for key, kind in (("screws", "screw"), ("glue", "glue"), ("staples", "staple")):
        names = [
            f"{one.name}, {one.amount:g}{' g' if kind == 'glue' else ''}" for one in mine if one.kind == kind
        ]
        if names:
            found.append((key, "; ".join(names)))
    canvas = row.get("canvas") or {}
    cloths = list(dict.fromkeys(_cloth(said, roll) for roll in _rolls_of(said, work)))
    if cloths:
        found.append(("cloth", "; ".join(cloths)))
    if canvas:
        found.append(("canvas", str(canvas["state"])))
    coats = ", ".join(
        f"{name}, {litres['middle']:g} l" for name, litres in canvas.get("primer_litres", {}).items()
    )
    if coats:
        found.append(("coats", coats))
    return found


def _rolls_of(said: Document, work: WorkOf) -> list[str]:
    """Names of the rolls that pieces of a work are laid on."""
    return [
        str(piece["roll"])
        for cloth in said.get("cloth", ())
        for piece in cloth.get("laid", ())
        if piece["piece"] == work.code
    ]


def _cloth(said: Document, name: str) -> str:
    """What cloth a roll is, as the batch states it."""
    for roll in batch_of(said).get("roll", ()):
        if roll.get("name") == name:
            mass = f"{float(roll.get('mass', 340)):g} g/m²"
            return f"{name}: {roll.get('fibre', 'cotton')}, {mass}, {roll.get('state', 'raw')}"
    return name


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
