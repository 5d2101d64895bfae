"""One work: what it looks like, whether it holds, how it is built, how its cloth goes on."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Request
from starlette.responses import JSONResponse, Response

from longpoint.errors import FaultsError
from longpoint.web.batch_text import fields_of, read, with_values
from longpoint.web.desk import NotThereError, read_json
from longpoint.web.pages.fitting import CORNERS, GLUES, SIDES
from longpoint.web.pages.keeping import labels_of
from longpoint.web.pages.measured import lengths_of, orders_of
from longpoint.web.pages.plans import plan_of
from longpoint.web.pages.wanted import Ident
from longpoint.web.room import is_fragment, language_of, page, planned, room_of, see, system_of
from longpoint.web.words import voice

router = APIRouter(include_in_schema=False)

Code = Annotated[str, Path(pattern=r"^[A-Z]{1,3}$")]

_NOTHING_TYPED: dict[str, Any] = {
    "given": {},
    "wrong": {},
    "fitted": [],
    "pressed": [],
    "stripped": [],
    "water": 0,
    "label": "",
}
"""What a page of one work shows before anything was measured."""

_RAIL_WAIT = 1.0
"""Longest that a moved rail waits for its answer before the page says that it is worked out, and asks again. [s]"""

_CHANGES = frozenset(
    {
        *("inside.cross_rails", "inside.middle_pieces", "inside.end_rails", "inside.drop"),
        *("inside.thickness", "inside.depth", "inside.stand"),
        *("bars.corner", "bars.bevel", "bars.thickness", "bars.depth"),
    }
)
"""Keys of a work that a remedy or another design may set."""


def work_page(request: Request, ident: str, code: str, template: str, here: str, **more: Any) -> Response:
    """A page of one work.

    Args:
        request: The wish.
        ident: The batch.
        code: Letters of the work.
        template: The page.
        here: Which step of the work it is.
        more: What was typed, what is wrong with it by field (`wrong`), and what came of it.
    """
    found = plan_of(request, ident, here)
    summary = found.read("plan")
    room = room_of(request)
    ticked = room.ticks.now(ident, "step", "run", "measure")
    work = found.read(f"work-{code}")
    return page(
        request,
        template,
        status=422 if more.get("wrong") else 200,
        here=here,
        ident=ident,
        plan=found,
        title=summary["title"],
        works=summary["works"],
        work=work,
        past=room.desk.has_past(ident),
        steps_done=ticked["step"],
        runs_done=ticked["run"],
        lengths=lengths_of(request, found, code, work, ticked["measure"]) if here == "glue" else None,
        orders=orders_of(request, found, code) if here == "stretch" else None,
        labels=labels_of(request, ident, code),
        corners=CORNERS,
        glues=GLUES,
        frame_sides=SIDES,
        ready=found.read("ready")["pages"] if here == "stretch" else [],
        sides={
            side: voice(language_of(request))(f"side.{side}") for side in ("bottom", "right", "top", "left")
        },
        **{**_NOTHING_TYPED, **more},
    )


@router.get("/b/{ident}/works/{code}")
def work(request: Request, ident: Ident, code: Code) -> Response:
    """One work from all sides."""
    return work_page(request, ident, code, "work.html", "plan")


@router.get("/b/{ident}/works/{code}/space.json")
def space(request: Request, ident: Ident, code: Code) -> Response:
    """Its members in space, for the scene."""
    found = plan_of(request, ident)
    return JSONResponse(found.read(f"work-{code}")["space"])


@router.post("/b/{ident}/works/{code}/change")
async def change(request: Request, ident: Ident, code: Code) -> Response:
    """Puts a remedy or another design into the batch file, one step that can be undone, and plans again."""
    form = await request.form()
    room = room_of(request)
    number = number_of(code)
    fields = {
        f"work[{number}].{name}": value
        for name, value in form.items()
        if name in _CHANGES and isinstance(value, str) and len(value) < 200
    }
    text = with_values(room.desk.text(ident), fields)
    batch = read(text)
    room.desk.put(ident, text, title=batch.title, works=len(batch.work), step="")
    room.runs.begin(ident, rehearsing=True)
    return see(f"/b/{ident}/plan")


@router.post("/b/{ident}/works/{code}/rail")
def rail(
    request: Request,
    ident: Ident,
    code: Code,
    rail: Annotated[int, Form(ge=0, le=60)],
    at: Annotated[float, Form(ge=0, le=100_000, allow_inf_nan=False)],
    fully: Annotated[bool, Form()] = False,
) -> Response:
    """How the work stands with one cross rail moved; nothing is kept.

    While it is pushed along what one solve tells is said; once it rests the page asks for the whole verdict.
    """
    fully = fully or not is_fragment(request)
    found = plan_of(request, ident)
    told = found.read(f"work-{code}")
    moved = _moved(told, rail, at)
    try:
        text = with_values(room_of(request).desk.text(ident), _stated(told, moved, number_of(code)))
        read(text)
    except FaultsError as error:
        return _rail_said(
            request, ident, code, told, rail, at, moved, None, [str(fault) for fault in error.faults]
        )
    answer = room_of(request).answers.work(
        text, number_of(code) - 1, batch=f"{ident}/rail", language=language_of(request),
        system=system_of(request, fields_of(text).get("show", "mm")), wait=_wait_for(request),
        only="fully" if fully else "look",
    )  # fmt: skip
    return _rail_said(request, ident, code, told, rail, at, moved, answer, [], fully=fully)


def _wait_for(request: Request) -> float:
    """A page without script cannot ask again: it waits."""
    return _RAIL_WAIT if is_fragment(request) else 30.0


def _rail_said(
    request: Request,
    ident: str,
    code: str,
    told: dict[str, Any],
    rail: int,
    at: float,
    moved: list[float],
    found: dict[str, Any] | None,
    wrong: list[str],
    *,
    fully: bool = False,
) -> Response:
    values: dict[str, Any] = {
        "ident": ident,
        "code": code,
        "found": found,
        "moved": moved,
        "at": at,
        "rail": rail,
        "wrong": wrong,
        "fully": fully,
    }
    if is_fragment(request):
        return page(request, "rail.html", **values)
    room = room_of(request)
    return page(
        request, "alone.html", part="rail.html", here="plan", name=told["name"], title=room.desk.about(ident)["title"],
        plan=planned(request, ident), back=f"/b/{ident}/works/{code}", **values,
    )  # fmt: skip


def _moved(told: dict[str, Any], rail: int, at: float) -> list[float]:
    places = list(told["rails"]["at"])
    if not 0 <= rail < len(places):
        raise NotThereError(str(rail))
    places[rail] = round(at, 1)
    return sorted(places)


def _stated(told: dict[str, Any], places: list[float], number: int) -> dict[str, str | None]:
    """A work's inside stated as it is drawn, with its cross rails at places."""
    stated = {f"work[{number}].{key}": value for key, value in told["rails"]["stated"].items()}
    return {
        **stated,
        f"work[{number}].inside.cross_rails": ", ".join(f"{place:g} mm" for place in places) + ",",
    }


@router.get("/b/{ident}/glue")
def glue_first(request: Request, ident: Ident) -> Response:
    """Glueing: the first work."""
    return _first(request, ident, "glue")


@router.get("/b/{ident}/glue/{code}")
def glue(request: Request, ident: Ident, code: Code) -> Response:
    """Glue, turn over, fit: step by step."""
    return work_page(request, ident, code, "glue.html", "glue")


@router.get("/b/{ident}/stretch")
def stretch_first(request: Request, ident: Ident) -> Response:
    """Stretching: the first work."""
    return _first(request, ident, "stretch")


@router.get("/b/{ident}/stretch/{code}")
def stretch(request: Request, ident: Ident, code: Code) -> Response:
    """The cloth goes on, run by run."""
    return work_page(request, ident, code, "stretch.html", "stretch")


@router.post("/b/{ident}/stretch/{code}/rehearse")
def rehearse(request: Request, ident: Ident, code: Code) -> Response:
    """Begins to rehearse the order of a work, unless that was done."""
    found = plan_of(request, ident)
    found.read(f"work-{code}")
    if not (found.folder / f"rehearsed-{code}.json").exists():
        body = {"wish": "rehearse", "folder": str(found.folder), "code": code}
        room_of(request).teller.ask(
            f"rehearse {found.run} {code}", body, about=f"rehearse {found.run} {code}"
        )
    return see(f"/b/{ident}/stretch/{code}")


@router.get("/b/{ident}/stretch/{code}/rehearsed.json")
def rehearsed(request: Request, ident: Ident, code: Code) -> Response:
    """What was rehearsed, run by run; nothing while it is not there."""
    found = plan_of(request, ident)
    told = read_json(found.folder / f"rehearsed-{code}.json", None)
    return Response(status_code=204) if told is None else JSONResponse(told)


@router.get("/b/{ident}/cloth")
def cloth(request: Request, ident: Ident) -> Response:
    """The cloth is cut: roll by roll, cut by cut, with ticks."""
    found = plan_of(request, ident, "cloth")
    room = room_of(request)
    pages = [
        {**sheet, "number": number} for number, sheet in enumerate(found.read("cloth")["pages"], start=1)
    ]
    ticks = room.ticks.now(ident, "cloth")["cloth"]
    title = found.read("plan")["title"]
    return page(
        request, "cloth.html", here="cloth", ident=ident, plan=found, pages=pages, ticks=ticks, title=title
    )


@router.get("/b/{ident}/prime")
def prime(request: Request, ident: Ident) -> Response:
    """What is brushed on, and when."""
    return _sheets(request, ident, "prime", ("after",))


@router.get("/b/{ident}/wall")
def wall(request: Request, ident: Ident) -> Response:
    """Out of the studio and on to the wall."""
    return _sheets(request, ident, "wall", ("wall",))


def _sheets(request: Request, ident: str, here: str, names: tuple[str, ...]) -> Response:
    found = plan_of(request, ident, here)
    pages = [sheet for name in names for sheet in found.read(name)["pages"]]
    summary = found.read("plan")
    return page(
        request, "sheet.html", here=here, ident=ident, plan=found, pages=pages, title=summary["title"]
    )


def _first(request: Request, ident: str, here: str) -> Response:
    found = plan_of(request, ident, here)
    return see(f"/b/{ident}/{here}/{found.read('plan')['works'][0]['code']}")


def number_of(code: str) -> int:
    """Which work bears these letters, from 1: A … Z, AA, AB …"""
    number = 0
    for letter in code:
        number = 26 * number + ord(letter) - 64
    return number
