"""The rack and the build book: what lies there, and what became of every work; kept in the store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Request
from pydantic import ValidationError
from starlette.responses import Response

from longpoint.drawing.words.pounds import with_pounds
from longpoint.drawing.words.voice import Voice
from longpoint.store.book.on_desk import batch_named
from longpoint.store.book.plans import batches
from longpoint.store.book.ticks import STATES, copies, set_state
from longpoint.store.book.values import Value, measure, values_of
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import NM, Board
from longpoint.store.rack.stock import Thing, Wish, listed, put, take
from longpoint.web.pages.plans import plan_or_none
from longpoint.web.pages.wanted import Ident
from longpoint.web.room import language_of, page, room_of, see, system_of, who_of
from longpoint.web.told.voices import voice_for

router = APIRouter(include_in_schema=False)

_FIELDS = ("name", "thickness", "depth", "length", "how_many", "timber", "place")
_MOST = 200


@router.get("/rack")
def rack(request: Request) -> Response:
    """What lies in the rack."""
    return _rack(request, {}, {})


def _rack(
    request: Request, given: dict[str, str], wrong: dict[str, list[str]], status: int = 200
) -> Response:
    system = system_of(request)
    say = voice_for("en", system)
    with room_of(request).store.reading() as desk:
        things = [_row(thing, say) for thing in listed(desk, Wish(), limit=_MOST)]
    given = {name: given.get(name, "") for name in _FIELDS}
    return page(request, "rack.html", status=status, things=things, given=given, wrong=wrong, system=system)


def _row(thing: Thing, say: Voice) -> dict[str, Any]:
    facts = thing.facts
    size = ""
    if "thickness" in facts and "depth" in facts:
        size = f"{say.fine(float(facts['thickness']))} × {say.fine(float(facts['depth']), unit=True)}"
    elif "width" in facts:
        size = say.length(float(facts["width"]), unit=True)
    length = float(facts.get("length", 0) or 0)
    if thing.kind == "roll":
        length = thing.amount / NM
    return {
        "label": thing.label,
        "kind": thing.kind,
        "size": size or str(facts.get("what", "")),
        "length": say.kept(length, unit=True) if length else str(thing.amount / 1000).removesuffix(".0"),
        "place": str(facts.get("place", "")),
        "kept": thing.reserved > 0,
        "version": thing.version,
    }


@router.post("/rack")
def put_in(
    request: Request,
    thickness: Annotated[str, Form(max_length=60)] = "",
    depth: Annotated[str, Form(max_length=60)] = "",
    length: Annotated[str, Form(max_length=60)] = "",
    name: Annotated[str, Form(max_length=60)] = "",
    how_many: Annotated[str, Form(max_length=10)] = "",
    timber: Annotated[str, Form(max_length=80)] = "",
    place: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """A board comes into the rack."""
    given = {
        "name": name, "thickness": thickness, "depth": depth, "length": length, "how_many": how_many,
        "timber": timber, "place": place,
    }  # fmt: skip
    stated: dict[str, Any] = {key: value.strip() for key, value in given.items() if value.strip()}
    if str(stated.get("how_many", "")).isdigit():
        stated["how_many"] = int(stated["how_many"])
    try:
        board = Board.model_validate(stated, context={"unit": system_of(request)})
    except ValidationError as error:
        wrong: dict[str, list[str]] = {}
        for one in error.errors():
            wrong.setdefault(str(one["loc"][0]), []).append(str(one["msg"]))
        return _rack(request, given, wrong, 422)
    with room_of(request).store.writing(who_of(request).name) as desk:
        put(desk, [board])
    return see("/rack")


@router.post("/rack/take")
def take_out(
    request: Request,
    label: Annotated[str, Form(max_length=60)],
    seen: Annotated[int, Form(ge=0)],
) -> Response:
    """A thing is taken out of the rack, unless somebody was quicker."""
    with room_of(request).store.writing(who_of(request).name) as desk:
        take(desk, label, seen=seen)
    return see("/rack")


@router.get("/book")
def book(request: Request) -> Response:
    """Every batch that was kept, with its works and how far they are."""
    system = system_of(request)
    say = voice_for(language_of(request), system)
    with room_of(request).store.reading() as desk:
        lines = [
            (line, [(copy, _values_in_words(desk, copy.label, say)) for copy in copies(desk, batch=line.id)])
            for line in batches(desk, limit=50)
        ]
    return page(request, "book.html", lines=lines, states=STATES, system=system)


def _values_in_words(desk: Desk, label: str, say: Voice) -> list[str]:
    """What was measured of a copy, one thing a line."""
    return [
        f"{say('book-value.' + one.what.replace(' ', '-'))}: {_value_in_words(one, say)} · {say('book.' + one.answer)}"
        for one in values_of(desk, label)
    ]


def _value_in_words(value: Value, say: Voice) -> str:
    if value.unit == "mm":
        return say.fine(value.value, unit=True)
    return with_pounds(f"{value.value:.4g} {value.unit}".strip(), say)


def labels_of(request: Request, ident: str, code: str) -> list[str]:
    """Labels of the copies of a work in the build book; [] where its batch is not kept there yet."""
    with room_of(request).store.reading() as desk:
        kept = batch_named(desk, ident)
        return [] if kept is None else [copy.label for copy in copies(desk, batch=kept) if copy.code == code]


def keep_values(request: Request, ident: str, code: str, label: str, values: Mapping[str, float]) -> str:
    """Keeps what was measured of a copy in the build book, and before it the plan.

    Args:
        request: The wish.
        ident: The batch.
        code: Letters of the work.
        label: Of the copy; any other is taken as the first one.
        values: By what was measured, each in its unit.

    Returns:
        The label it was kept under; "" where nothing was kept.
    """
    if not values:
        return ""
    who = who_of(request).name
    room_of(request).ticks.keep(ident, who=who)
    labels = labels_of(request, ident, code)
    if not labels:
        return ""
    kept = label if label in labels else labels[0]
    with room_of(request).store.writing(who) as desk:
        for what, value in values.items():
            measure(desk, what, value, label=kept)
    return kept


@router.post("/book/{label}")
def move_on(
    request: Request,
    label: Annotated[str, Path(pattern=r"^[A-Za-z0-9-]{1,20}$")],
    state: Annotated[str, Form(max_length=12)],
    seen: Annotated[int, Form(ge=0)],
) -> Response:
    """A copy of a work comes to another state, unless somebody was quicker."""
    if state in STATES:
        with room_of(request).store.writing(who_of(request).name) as desk:
            set_state(desk, label, state, seen=seen)
    return see("/book")


@router.post("/b/{ident}/keep")
def keep(request: Request, ident: Ident) -> Response:
    """Keeps the plan of a batch in the build book."""
    found = plan_or_none(request, ident)
    if found is not None:
        room_of(request).ticks.keep(ident, who=who_of(request).name)
    return see("/book")
