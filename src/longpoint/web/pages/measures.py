"""Measured at the bench: lengths of what is cut next, square and wind, a press test, two strips, orders compared."""

from __future__ import annotations

import secrets
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Request
from starlette.responses import Response

from longpoint.errors import FaultsError, refuse
from longpoint.model.order import USUAL_ORDERS
from longpoint.web.batch_text import read, with_values
from longpoint.web.desk import NotThereError
from longpoint.web.pages.fitting import (
    fitting,
    grams_in,
    lengths_in,
    press_told,
    strips,
    strips_told,
)
from longpoint.web.pages.keeping import keep_values
from longpoint.web.pages.measured import asked, orders_of, shown_of
from longpoint.web.pages.plans import plan_of, plan_or_none
from longpoint.web.pages.wanted import Ident
from longpoint.web.pages.works import Code, number_of, work_page
from longpoint.web.room import is_fragment, language_of, page, room_of, see, typed_in, who_of
from longpoint.web.ticks import Tick
from longpoint.web.words import voice

router = APIRouter(include_in_schema=False)

_ORDERS_SECONDS = 600.0
"""Longest that orders are compared. [s]"""


async def _given(request: Request) -> dict[str, str]:
    return {name: value.strip() for name, value in (await typed_in(request, longest=60)).items()}


Given = Annotated[dict[str, str], Depends(_given)]
"""What was typed, by field; read beforehand, so that a page that waits for its answer does not hold up others."""


@router.post("/b/{ident}/glue/{code}/lengths")
def lengths(request: Request, ident: Ident, code: Code, given: Given) -> Response:
    """Keeps thickness and inside lengths as measured, and says how long the next parts are."""
    found = plan_of(request, ident, "glue")
    system, _ = shown_of(request, found)
    marks = [part["mark"] for part in found.read(f"work-{code}").get("inside", [])]
    names = ("bars", "rails", *(f"inside-{mark}" for mark in marks))
    say = voice(language_of(request))
    measured, wrong = lengths_in(given, names, system=system, say=say)
    wrong |= {name: [say("measured.no-zero")] for name, length in measured.items() if length == 0}
    if wrong:
        return work_page(request, ident, code, "glue.html", "glue", given=given, wrong=wrong)
    room = room_of(request)
    before = room.ticks.now(ident, "measure")["measure"]
    fresh = []
    for name in names:
        key = f"{found.revision}/{code}/{name.removeprefix('inside-')}"
        state = f"{measured[name]:.2f}" if name in measured else ""
        if name in given and before.get(key, "") != state:
            fresh.append(Tick(id=secrets.token_hex(8), kind="measure", key=key, state=state))
    room.ticks.add(ident, fresh, who=who_of(request).name)
    return see(f"/b/{ident}/glue/{code}#lengths")


@router.post("/b/{ident}/glue/{code}/fit")
def fit(request: Request, ident: Ident, code: Code, given: Given) -> Response:
    """What measured sides, diagonals and a lifted corner say of a frame; kept in the book if it stands there."""
    found = plan_of(request, ident, "glue")
    system, shown = shown_of(request, found)
    say = voice(language_of(request))
    wrong, fitted, kept = fitting(
        found.read(f"work-{code}")["space"], given, system=system, say=say, shown=shown
    )
    label = keep_values(request, ident, code, given.get("label", ""), kept)
    return work_page(
        request, ident, code, "glue.html", "glue", given=given, wrong=wrong,
        fitted=fitted, label=label,
    )  # fmt: skip


@router.post("/b/{ident}/stretch/{code}/press")
def press(request: Request, ident: Ident, code: Code, given: Given) -> Response:
    """What a press test says of the stretched canvas; kept in the book where the work stands there."""
    found = plan_of(request, ident, "stretch")
    found.read(f"work-{code}")
    system, shown = shown_of(request, found)
    say = voice(language_of(request))
    lengths, wrong = lengths_in(given, ("dip", "x", "y"), system=system, say=say)
    mass, of_mass = grams_in(given, "mass", say=say)
    wrong |= of_mass
    if "dip" not in wrong and not lengths.get("dip"):
        wrong["dip"] = [say("press.no-dip")]
    pressed: list[dict[str, Any]] = []
    label = ""
    if not wrong:
        wish = {"dip": lengths["dip"], "mass": mass, "x": lengths.get("x"), "y": lengths.get("y")}
        told = asked(request, found, "press", code, wish)
        if told["faults"]:
            for code_of, what in told["faults"]:
                field = "x" if code_of == "press-place" else "dip"
                known = code_of in ("dip-too-deep", "dip-too-small", "press-place")
                wrong.setdefault(field, []).append(say(f"press.fault-{code_of}") if known else what)
        else:
            pressed = press_told(told, say, shown)
            kept = {"dip": lengths["dip"], "press tension": round(told["tension"], 1)}
            label = keep_values(request, ident, code, given.get("label", ""), kept)
    return work_page(
        request, ident, code, "stretch.html", "stretch", given=given, wrong=wrong,
        pressed=pressed, label=label,
    )  # fmt: skip


@router.post("/b/{ident}/stretch/{code}/strips")
def two_strips(request: Request, ident: Ident, code: Code, given: Given) -> Response:
    """What two strips say of the tension that water will bring."""
    found = plan_of(request, ident, "stretch")
    system, shown = shown_of(request, found)
    say = voice(language_of(request))
    wrong, answer = strips(given, system=system, say=say)
    said, tension = ([], 0) if answer is None else strips_told(answer, say, shown)
    return work_page(
        request, ident, code, "stretch.html", "stretch", given=given, wrong=wrong,
        stripped=said, water=tension,
    )  # fmt: skip


@router.post("/b/{ident}/stretch/{code}/water")
def water(
    request: Request, ident: Ident, code: Code, tension: Annotated[int, Form(ge=1, le=3000)]
) -> Response:
    """Writes the tension that two strips showed under the cloth of a work."""
    found = plan_of(request, ident, "stretch")
    name = found.read(f"work-{code}").get("roll", "")
    room = room_of(request)
    text = room.desk.text(ident)
    rolls = [index for index, roll in enumerate(read(text).roll, start=1) if name and roll.name == name]
    if not rolls:
        raise refuse(
            "no-roll", "this cloth is not said in the batch.", "Say it under Wanted, then write it again."
        )
    text = with_values(text, {f"roll[{index}].water_tension": str(tension) for index in rolls})
    batch = read(text)
    room.desk.put(ident, text, title=batch.title, works=len(batch.work), step="")
    return see(f"/b/{ident}/stretch/{code}#strips")


@router.post("/b/{ident}/stretch/{code}/orders")
def compare(request: Request, ident: Ident, code: Code) -> Response:
    """Begins to compare orders of stapling on a work's own frame, unless that was done."""
    found = plan_of(request, ident, "stretch")
    found.read(f"work-{code}")
    if not (found.folder / f"orders-{code}.json").exists():
        body = {"wish": "orders", "folder": str(found.folder), "code": code, "most_seconds": _ORDERS_SECONDS}
        key = f"orders {found.run} {code}"
        room_of(request).teller.ask(key, body, about=key)
    return see(f"/b/{ident}/stretch/{code}#orders")


@router.get("/b/{ident}/stretch/{code}/orders")
def compared(request: Request, ident: Ident, code: Code) -> Response:
    """The table of orders, or that it is being worked out."""
    found = plan_or_none(request, ident)
    if found is None or not is_fragment(request):
        return see(f"/b/{ident}/stretch/{code}#orders")
    return page(request, "orders.html", ident=ident, code=code, orders=orders_of(request, found, code))


@router.post("/b/{ident}/stretch/{code}/order")
def take_order(
    request: Request, ident: Ident, code: Code, order: Annotated[str, Form(max_length=60)]
) -> Response:
    """Writes another order of stapling under a work and plans again."""
    if order not in USUAL_ORDERS:
        raise NotThereError(order)
    room = room_of(request)
    try:
        text = with_values(room.desk.text(ident), {f"work[{number_of(code)}].cloth.order": order})
        batch = read(text)
    except FaultsError:
        raise NotThereError(code) from None
    room.desk.put(ident, text, title=batch.title, works=len(batch.work), step="")
    room.runs.begin(ident, rehearsing=True)
    return see(f"/b/{ident}/plan")
