"""What is to be made: works, timber, cloth, said as people write them; every answer while typing."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Request
from starlette.responses import Response

from longpoint.errors import FaultsError
from longpoint.web.batch_text import (
    by_field,
    fields_of,
    read,
    shown,
    with_entry,
    with_values,
    without_entry,
)
from longpoint.web.room import (
    Room,
    is_fragment,
    language_of,
    page,
    planned,
    room_of,
    see,
    system_of,
    typed_in,
)

router = APIRouter(include_in_schema=False)

Ident = Annotated[str, Path(pattern=r"^[0-9a-f]{12}$")]
Kind = Annotated[str, Form(pattern=r"^(work|yard|roll|set|screw)$")]

WORK_FIELDS = ("name", "width", "height", "how_many", "strings", "notes")
YARD_FIELDS = ("name", "thickness", "depth", "lengths", "per_metre")
ROLL_FIELDS = ("name", "width", "state", "fibre", "per_metre")
SET_FIELDS = ("name", "members", "gap")
HEAD_FIELDS = ("title", "show", "paper", "currency", "language")

OPTIONS: dict[str, tuple[str, ...]] = {
    "strings": ("left and right", "top and bottom", "short sides", "long sides"),
    "state": ("raw", "glue-sized", "primed", "oil-primed"),
    "fibre": ("cotton", "linen", "polyester"),
    "show": ("mm", "cm", "in"),
    "paper": ("A4", "Letter"),
    "language": ("en", "de"),
    "region": ("auto", "america", "europe"),
    "spare": ("false", "true"),
}
"""What a field may say, where it is one of few; the first is what stands for nothing."""

_FIRST_WAIT = 0.22
"""Longest that a page waits for an answer before it says that it is being worked out. [s]"""


def rows_of(said: dict[str, Any], kind: str, fields: tuple[str, ...]) -> list[dict[str, str]]:
    """The tables of a kind as fields show them."""
    return [{name: shown(row[name]) if name in row else "" for name in fields} for row in said.get(kind, [])]


def head_standing(said: dict[str, Any]) -> dict[str, str]:
    """What holds of measures and paper of the sheets where the file says nothing: it follows the file's unit."""
    show = {"cm": "cm", "in": "in", "ft": "in"}.get(str(said.get("unit")), "mm")
    return {"show": show, "paper": "Letter" if said.get("show", show) == "in" else "A4"}


@router.get("/b/{ident}")
def wanted(request: Request, ident: Ident) -> Response:
    """The page."""
    return _wanted(request, ident)


def stating(
    request: Request,
    ident: str,
    said: dict[str, Any],
    *,
    typed: dict[str, str] | None,
    wrong: dict[str, list[str]] | None,
) -> dict[str, Any]:
    """What every page shows on which a part of the batch file is stated."""
    return {
        "status": 422 if wrong else 200,
        "ident": ident,
        "title": shown(said.get("title", "Batch")),
        "unit": said.get("unit", "mm"),
        "system": system_of(request, said.get("show", "mm")),
        "head_standing": head_standing(said),
        "options": OPTIONS,
        "past": room_of(request).desk.has_past(ident),
        "plan": planned(request, ident),
        "typed": typed or {},
        "wrong": wrong or {},
    }


def _wanted(
    request: Request,
    ident: str,
    *,
    typed: dict[str, str] | None = None,
    wrong: dict[str, list[str]] | None = None,
) -> Response:
    said = fields_of(room_of(request).desk.text(ident))
    return page(
        request,
        "wanted.html",
        here="wanted",
        head={name: shown(said[name]) if name in said else "" for name in HEAD_FIELDS},
        works=rows_of(said, "work", WORK_FIELDS),
        yards=rows_of(said, "yard", YARD_FIELDS),
        rolls=rows_of(said, "roll", ROLL_FIELDS),
        sets=rows_of(said, "set", SET_FIELDS),
        **stating(request, ident, said, typed=typed, wrong=wrong),
    )


@router.get("/b/{ident}/file")
def file(request: Request, ident: Ident) -> Response:
    """The batch file, comments kept."""
    text = room_of(request).desk.text(ident)
    headers = {"content-disposition": 'attachment; filename="batch.toml"'}
    return Response(text.encode(), media_type="application/toml", headers=headers)


@router.post("/b/{ident}/say")
async def say(request: Request, ident: Ident) -> Response:
    """Keeps what was typed, if it can be; else tells what is wrong beside each field."""
    fields = await typed_in(request, longest=2000)
    about = (await request.form()).get("about")
    number = int(about) if isinstance(about, str) and about.isdigit() and len(about) < 5 else None
    room = room_of(request)
    wrong: dict[str, list[str]] = {}
    try:
        keep(room, ident, with_values(room.desk.text(ident), fields), step=",".join(sorted(fields))[:200])
    except FaultsError as error:
        wrong = by_field(error.faults)
    if not is_fragment(request):
        return see(f"/b/{ident}") if not wrong else _wanted(request, ident, typed=fields, wrong=wrong)
    others = [message for key, some in wrong.items() if key not in fields for message in some]
    return page(
        request,
        "said.html",
        ident=ident,
        fields=list(fields),
        wrong=wrong,
        others=others,
        number=number,
        past=room.desk.has_past(ident),
        headers=None if wrong else {"hx-trigger": json.dumps({"said": {"about": number}})},
    )


@router.post("/b/{ident}/more")
def more(request: Request, ident: Ident, kind: Kind) -> Response:
    """One more work, timber, cloth or set."""
    room = room_of(request)
    text = room.desk.text(ident)
    said = fields_of(text)
    inches = said.get("unit") in ("in", "ft")
    names = [shown(row.get("name", "")) for row in said.get(kind, [])]
    number = len(names) + 1
    fresh: dict[str, dict[str, Any]] = {
        "work": {
            "name": "Work",
            "width": "36 in" if inches else "90 cm",
            "height": "24 in" if inches else "60 cm",
        },
        "yard": {
            "name": "planed strip",
            "thickness": "3/4 in" if inches else "21 mm",
            "depth": "1 3/4 in" if inches else "44 mm",
            "lengths": ["8 ft"] if inches else ["2.4 m", "3 m"],
        },
        "roll": {"name": "canvas", "width": "84 in" if inches else "210 cm"},
        "screw": {"diameter": "4 mm", "length": "1 1/2 in" if inches else "40 mm", "box": 100},
        "set": {"name": "Set", "members": [shown(row["name"]) for row in said.get("work", [])][-2:]},
    }
    values = fresh[kind]
    if kind == "screw":  # its sizes name it
        try:
            keep(room, ident, with_entry(text, kind, values), step="")
        except FaultsError as error:
            return _wanted(request, ident, wrong={"": [str(fault) for fault in error.faults]})
        return see(f"/b/{ident}/shop#screw-{number}")
    while f"{values['name']} {number}" in names:
        number += 1
    try:
        keep(room, ident, with_entry(text, kind, {**values, "name": f"{values['name']} {number}"}), step="")
    except FaultsError as error:
        return _wanted(request, ident, wrong={"": [str(fault) for fault in error.faults]})
    return see(f"/b/{ident}#{kind}-{len(names) + 1}")


@router.post("/b/{ident}/less")
def less(request: Request, ident: Ident, kind: Kind, number: Annotated[int, Form(ge=1, le=500)]) -> Response:
    """One work, timber, cloth or set less."""
    room = room_of(request)
    try:
        keep(room, ident, without_entry(room.desk.text(ident), kind, number), step="")
    except FaultsError as error:
        return _wanted(request, ident, wrong={"": [str(fault) for fault in error.faults]})
    return see(f"/b/{ident}/shop" if kind == "screw" else f"/b/{ident}")


@router.post("/b/{ident}/undo")
def undo(request: Request, ident: Ident) -> Response:
    """One step back."""
    room = room_of(request)
    text = room.desk.back(ident)
    if text is not None:
        batch = read(text)
        room.desk.note_back(ident, title=batch.title, works=len(batch.work))
    return see(f"/b/{ident}")


@router.post("/b/{ident}/remove")
def remove(request: Request, ident: Ident) -> Response:
    """Takes a batch off the desk."""
    room = room_of(request)
    for run in room.desk.runs(ident):
        room.runs.cancel(ident, run)
    room.desk.take_off(ident)
    return see("/")


@router.get("/b/{ident}/answer/{number}")
def answer(request: Request, ident: Ident, number: Annotated[int, Path(ge=1, le=500)]) -> Response:
    """How one work stands: at once if it is known, else that it is being worked out."""
    room = room_of(request)
    text = room.desk.text(ident)
    said = fields_of(text)
    if number > len(said.get("work", [])):
        return Response(status_code=204)
    found = room.answers.work(
        text,
        number - 1,
        batch=ident,
        language=language_of(request),
        system=system_of(request, said.get("show", "mm")),
        wait=_FIRST_WAIT,
    )
    if is_fragment(request):
        return page(request, "answer.html", ident=ident, number=number, found=found)
    name = shown(said["work"][number - 1].get("name", ""))
    return page(
        request, "alone.html", part="answer.html", here="wanted", ident=ident, number=number, found=found, name=name,
        title=shown(said.get("title", "Batch")), plan=planned(request, ident), back=f"/b/{ident}#work-{number}",
    )  # fmt: skip


def keep(room: Room, ident: str, text: str, *, step: str) -> None:
    """Keeps a batch's text, if it can be planned; one step that can be undone.

    Raises:
        FaultsError: With everything that stands against it.
    """
    batch = read(text)
    room.desk.put(ident, text, title=batch.title, works=len(batch.work), step=step)
