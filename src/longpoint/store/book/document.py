"""What a kept ``plan.json`` or ``replan.json`` says of cuts, works and steps; nothing of it is computed anew."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from longpoint.errors import refuse
from longpoint.needs.hours import STAGE_OF

Document = Mapping[str, Any]

_KINDS = {"longpoint plan": "plan", "longpoint replan": "replan"}


def kind_of(document: Document) -> str:
    """``plan`` or ``replan``.

    Raises:
        FaultsError: If it is neither.
    """
    found = _KINDS.get(str(document.get("format")))
    if found is None:
        raise refuse(
            "not-a-plan", "the file is no plan.", "Give a plan.json or replan.json that longpoint wrote."
        )
    return found


def packed(document: Document) -> bytes:
    """A document as it is kept."""
    return zlib.compress(json.dumps(document, ensure_ascii=False, sort_keys=True).encode(), 6)


def unpacked(kept: bytes) -> dict[str, Any]:
    """A kept document."""
    found: dict[str, Any] = json.loads(zlib.decompress(kept))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardToCut:
    """One board of a plan and what is cut from it.

    Attributes:
        section: The list it stands in.
        use: "bars", "rails" or "bars and rails".
        board: Its name: the rack's label, or the length that is bought.
        number: Which of that name.
        at_hand: Whether it comes from the rack.
        length: Of the board. [mm]
        parts: Marks of its parts, left to right.
        lengths: Their lengths. [mm]
        remains: What is left at its right end. [mm]
        good_for: What that serves for; "" for nothing.
        strips: How many strips a board gives where it is ripped first; 1 where it is not.
    """

    section: str
    use: str
    board: str
    number: int
    at_hand: bool
    length: float
    parts: tuple[str, ...]
    lengths: tuple[float, ...]
    remains: float
    good_for: str
    strips: int = 1

    @property
    def key(self) -> str:
        """Which board, for ticks."""
        return f"{self.section}|{self.board}|{self.number}"

    def cut_key(self, number: int) -> str:
        """Which cut, for ticks.

        Args:
            number: Which part, from 1 at the left.
        """
        return f"{self.key}|{number}"


def boards_of(document: Document) -> list[BoardToCut]:
    """Every board that is cut, in the order of the document."""
    if kind_of(document) == "plan":
        return [
            _board(section, row, str(row["board"]), int(row["copy_number"]), bool(row["at_hand"]))
            for section in document["boards"]
            for row in section["boards"]
        ]
    found: list[BoardToCut] = []
    for section in document["sections"]:
        here = {row["name"]: (str(row["board"]), int(row["number"])) for row in section.get("here", ())}
        for row in section.get("boards", ()):
            name, number = (str(row["board"]), int(row["number"]))
            if not row["new"]:
                name, number = here.get(name, (name, number))
            found.append(_board(section, row, name, number, bool(row["at_hand"])))
    return found


def _board(
    section: Mapping[str, Any], row: Mapping[str, Any], name: str, number: int, at_hand: bool
) -> BoardToCut:
    ripped = section.get("ripped")
    return BoardToCut(
        section=str(section["section"]),
        use=str(section["use"]),
        board=name,
        number=number,
        at_hand=at_hand,
        length=float(row["length"]),
        parts=tuple(str(cut["part"]) for cut in row["cuts"]),
        lengths=tuple(float(cut["stop"]) for cut in row["cuts"]),
        remains=float(row["remains"]),
        good_for=str(row["good_for"]),
        strips=int(ripped["strips"]) if ripped else 1,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOf:
    """One work of a plan.

    Attributes:
        name: Its name.
        code: Its letters.
        how_many: How many copies.
        row: Everything the plan says of it; less in the rest of a plan.
        hours: Hours of one copy by stage (`longpoint.needs.hours.STAGE_OF`), as planned; empty in the rest of a plan.
        estimated: Whether the hours of a stage are estimates throughout, not the shop's own times.
    """

    name: str
    code: str
    how_many: int
    row: Mapping[str, Any]
    hours: Mapping[str, float] = field(default_factory=dict)
    estimated: Mapping[str, bool] = field(default_factory=dict)


def works_of(document: Document) -> list[WorkOf]:
    """The works of a plan."""
    rows = document["works"] if kind_of(document) == "plan" else document["begun"]["works"]
    costs = {row["work"]: row.get("operations", ()) for row in document.get("costs", ())}
    found = []
    for row in rows:
        hours: dict[str, float] = {}
        estimated: dict[str, bool] = {}
        many = int(row["how_many"])
        for operation in costs.get(row["name"], ()):
            stage = STAGE_OF[operation["kind"]]
            hours[stage] = hours.get(stage, 0.0) + operation["minutes"]["middle"] / 60 / many
            estimated[stage] = estimated.get(stage, True) and not operation["own"]
        found.append(
            WorkOf(
                name=row["name"], code=row["code"], how_many=many, row=row, hours=hours, estimated=estimated
            )
        )
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyOf:
    """What one copy of a work takes of one thing; `longpoint.needs.supplies.SupplyNeed`, and how many copies."""

    work: str
    kind: str
    name: str
    by: str
    amount: float
    how_many: int


def supplies_of(document: Document) -> list[SupplyOf]:
    """What copies take of supplies; none in the rest of a plan."""
    many = {row["name"]: int(row["how_many"]) for row in document.get("works", ())}
    return [SupplyOf(how_many=many[row["work"]], **row) for row in document.get("supplies", ())]


def batch_of(document: Document) -> Mapping[str, Any]:
    """What was stated, lengths in mm."""
    found: Mapping[str, Any] = (
        document["batch"] if kind_of(document) == "plan" else document["begun"]["batch"]
    )
    return found


@dataclass(frozen=True, slots=True)
class StepOf:
    """A step of building one copy.

    Attributes:
        number: As on the sheets, from 1.
        title: What it is called.
    """

    number: int
    title: str


def steps_of(work: WorkOf) -> list[StepOf]:
    """The steps of building a work; none in the rest of a plan."""
    build: Mapping[str, Sequence[Mapping[str, Any]]] = work.row.get("build", {})
    return [StepOf(int(step["number"]), str(step["title"])) for step in build.get("steps", ())]


def sides_of_part(document: Document, mark: str) -> tuple[float, float, float]:
    """Thickness, depth and fall of the bevel of a part as it is cut: of a glued bar, one of its boards. [mm]"""
    for work in works_of(document):
        for part in work.row["parts"]:
            if part["mark"] == mark:
                boards = int(part.get("boards", 1))
                fall = float(part.get("bevel_fall", 0.0)) if boards == 1 else 0.0
                return float(part["thickness"]) / boards, float(part["depth"]), fall
    return 0.0, 0.0, 0.0


def wood_of(document: Document, thickness: float, depth: float) -> str:
    """Species or strength class of the timber of a section, as the batch states it."""
    batch = batch_of(document)
    for timber in (*batch.get("yard", ()), *batch.get("rack", ())):
        sides = {round(float(timber.get("thickness", 0)), 3), round(float(timber.get("depth", 0)), 3)}
        if sides == {round(thickness, 3), round(depth, 3)}:
            return str(timber.get("timber", "C16"))
    return "C16"


def rolls_used(document: Document) -> dict[str, float]:
    """How much of each roll a plan takes. [mm]"""
    found: dict[str, float] = {}
    for cloth in document.get("cloth", ()):
        for row in cloth["rolls"]:
            found[row["roll"]] = found.get(row["roll"], 0.0) + float(row["used"])
    return found
