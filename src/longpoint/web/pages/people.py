"""Who signs in, and who may do what, where the pages are shared."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from anyio import CapacityLimiter, to_thread
from fastapi import APIRouter, Form, HTTPException, Path, Query, Request
from starlette.responses import Response

from longpoint.errors import FaultsError
from longpoint.store.benches.people import (
    ROLES,
    SHORTEST,
    STAYS,
    Role,
    add_person,
    change_person,
    is_password_of,
    people,
    sign_in,
    sign_out,
    trail,
)
from longpoint.web.door import cookie_name
from longpoint.web.room import page, room_of, safe_back, see, who_of, with_fresh_key

router = APIRouter(include_in_schema=False)

Name = Annotated[str, Form(max_length=80)]
Password = Annotated[str, Form(max_length=1000)]

_AT_ONCE = CapacityLimiter(2)
"""Passwords that are looked at together: each takes 64 MiB, and the others at work go on meanwhile."""


def _shared(request: Request) -> None:
    if not room_of(request).shared:
        raise HTTPException(404)


@router.get("/sign-in")
def door(request: Request, back: Annotated[str, Query(max_length=200)] = "/") -> Response:
    """The page to sign in."""
    _shared(request)
    return page(request, "sign-in.html", back=safe_back(back), name="", wrong=False)


@router.post("/sign-in")
async def come_in(
    request: Request, name: Name, password: Password, back: Annotated[str, Form(max_length=200)] = "/"
) -> Response:
    """Signs somebody in."""
    _shared(request)
    room = room_of(request)
    where = request.client.host if request.client else ""
    known = name.strip()

    def look() -> str | None:
        return sign_in(room.store, known, password, where=where) if known.isprintable() else None

    token = await to_thread.run_sync(look, limiter=_AT_ONCE)
    if token is None:
        return page(request, "sign-in.html", status=401, back=safe_back(back), name=name, wrong=True)
    answer = with_fresh_key(room, see(safe_back(back)))
    answer.set_cookie(
        cookie_name(secure=room.secure), token, max_age=int(STAYS.total_seconds()), path="/",
        httponly=True, secure=room.secure, samesite="strict",
    )  # fmt: skip
    return answer


@router.post("/sign-out")
def go_out(request: Request) -> Response:
    """Ends a session."""
    _shared(request)
    room = room_of(request)
    name = cookie_name(secure=room.secure)
    with room.store.writing(who_of(request).name) as desk:
        sign_out(desk, request.cookies.get(name, ""))
    answer = with_fresh_key(room, see("/sign-in"))
    answer.delete_cookie(name, path="/", httponly=True, secure=room.secure, samesite="strict")
    return answer


@router.get("/me")
def me(request: Request) -> Response:
    """Somebody's own account."""
    _shared(request)
    return page(request, "me.html", wrong=[], shortest=SHORTEST)


@router.post("/me")
async def change_me(request: Request, old: Password, new: Password) -> Response:
    """Somebody takes another password; they sign in anew everywhere."""
    _shared(request)
    room, name = room_of(request), who_of(request).name

    def change() -> bool:
        if not is_password_of(room.store, name, old):
            return False
        with room.store.writing(name) as desk:
            change_person(desk, name, password=new)
        return True

    try:
        done = await to_thread.run_sync(change, limiter=_AT_ONCE)
    except FaultsError as error:
        return page(
            request, "me.html", status=422, wrong=[str(fault) for fault in error.faults], shortest=SHORTEST
        )
    if not done:
        return page(request, "me.html", status=422, wrong=None, shortest=SHORTEST)
    return see("/sign-in")


@router.get("/people")
def everybody(request: Request) -> Response:
    """Who has an account, and what was done with them."""
    _shared(request)
    return _everybody(request, [])


def _everybody(request: Request, wrong: list[str]) -> Response:
    with room_of(request).store.reading() as desk:
        listed, lines = people(desk), trail(desk, limit=50)
    return page(
        request, "people.html", status=422 if wrong else 200, people=listed, lines=lines, roles=ROLES, wrong=wrong,
        shortest=SHORTEST,
    )  # fmt: skip


@router.post("/people")
async def add(request: Request, name: Name, password: Password, role: Annotated[Role, Form()]) -> Response:
    """Somebody gets an account."""
    _shared(request)
    room, by = room_of(request), who_of(request).name

    def make() -> None:
        with room.store.writing(by) as desk:
            add_person(desk, name.strip(), password, role)

    return await _done(request, make)


async def _done(request: Request, make: Callable[[], None]) -> Response:
    try:
        await to_thread.run_sync(make, limiter=_AT_ONCE)
    except FaultsError as error:
        return _everybody(request, [str(fault) for fault in error.faults])
    return see("/people")


@router.post("/people/{name}")
async def change(
    request: Request,
    name: Annotated[str, Path(max_length=80)],
    role: Annotated[Role, Form()],
    password: Password = "",
    close: Annotated[str, Form(max_length=4)] = "",
) -> Response:
    """Somebody gets another role or password, or their account is closed."""
    _shared(request)
    room, by = room_of(request), who_of(request).name

    def make() -> None:
        with room.store.writing(by) as desk:
            change_person(desk, name, password=password, role=role, close=bool(close))

    return await _done(request, make)
