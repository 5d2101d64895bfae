"""The server as a value: pages, API and guard put together over one desk."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from fastapi import Depends, FastAPI, HTTPException, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, JSONResponse
from starlette.exceptions import HTTPException as StarletteHTTPException
from starlette.responses import Response

import longpoint
from longpoint.drawing.paper.lettering import font_files
from longpoint.errors import FaultsError
from longpoint.store import ConflictError, Place, open_store, place_of
from longpoint.web.answers import Answers
from longpoint.web.api import api
from longpoint.web.desk import Desk, NotThereError
from longpoint.web.door import Door, needed
from longpoint.web.pages import begin, bench, keeping, measures, people, plans, shop, wanted, works
from longpoint.web.room import Room, language_of, page, who_of
from longpoint.web.runs import Runs
from longpoint.web.safety import SAFE_METHODS, Guard, has_key
from longpoint.web.ticks import Ticks
from longpoint.web.words import voice

_STATIC = {
    "pages.css": "text/css",
    "built/pages.js": "text/javascript",
    "built/space.js": "text/javascript",
    "mark.svg": "image/svg+xml",
}
"""Every file that pages load, and what it is; no other is served."""

_FONTS = ("regular", "semibold", "bold")


@dataclass(frozen=True, slots=True)
class Settings:
    """How the server is set up.

    Attributes:
        data: Folder of batches.
        hosts: Names and ports it is asked under.
        warm: Whether the process for short wishes is begun at once.
        store: Where rack, book and accounts are; None: in the folder of batches.
        shared: Whether people sign in.
        secure: Whether the line is encrypted.
    """

    data: Path
    hosts: frozenset[str]
    warm: bool = False
    store: Place | None = None
    shared: bool = False
    secure: bool = False


def make_app(settings: Settings) -> Guard:
    """The server, guarded.

    Args:
        settings: How it is set up.
    """
    desk = Desk(settings.data)
    store = open_store(settings.store or place_of(str(settings.data), {}))
    room = Room(
        desk=desk,
        runs=Runs(desk),
        answers=Answers(),
        teller=Answers(),
        ticks=Ticks(desk, store),
        store=store,
        secret=desk.secret,
        shared=settings.shared,
        secure=settings.secure,
    )

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        if settings.warm:
            room.answers.warm()
        yield
        room.runs.close()
        room.answers.close()
        room.teller.close()
        room.store.close()

    app = FastAPI(
        title="longpoint",
        version=longpoint.__version__,
        summary="Batches, plans and ticks of a workshop.",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        lifespan=lifespan,
        dependencies=[Depends(_guarded)],
    )
    app.state.room = room
    for router in (
        begin.router,
        wanted.router,
        plans.router,
        works.router,
        measures.router,
        shop.router,
        bench.router,
        keeping.router,
        people.router,
        api,
    ):
        app.include_router(router)
    _serve_files(app)
    app.add_exception_handler(NotThereError, _not_there)
    app.add_exception_handler(plans.NoPlanError, plans.no_plan)
    app.add_exception_handler(FaultsError, _refused)
    app.add_exception_handler(ConflictError, _was_quicker)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(StarletteHTTPException, _said_so)
    inside = Door(app, store, secure=settings.secure) if settings.shared else app
    return Guard(inside, settings.hosts, secure=settings.secure)


async def _guarded(request: Request) -> None:
    """Who asks may do it, and every request that changes something carries the key of its browser."""
    room: Room = request.app.state.room
    if room.shared and not who_of(request).may(role := needed(request.method, request.scope["route"].path)):
        raise HTTPException(403, voice(language_of(request))(f"door.may-not-{role}"))
    if request.method in SAFE_METHODS:
        return
    if not await has_key(request, room.secret):
        raise HTTPException(403, "This form is from another visit: load the page again and repeat it.")


def _serve_files(app: FastAPI) -> None:
    root = files("longpoint.web") / "static"

    @app.get("/static/{name:path}", include_in_schema=False)
    def static(name: str) -> Response:
        path = Path(str(root)) / name
        if name not in _STATIC or not path.is_file():
            raise NotThereError(name)
        return FileResponse(path, media_type=_STATIC[name], headers={"cache-control": "no-cache"})

    @app.get("/fonts/{weight}.ttf", include_in_schema=False)
    def font(weight: str) -> Response:
        if weight not in _FONTS:
            raise NotThereError(weight)
        headers = {"cache-control": "public, max-age=31536000"}
        return FileResponse(font_files()[weight], media_type="font/ttf", headers=headers)

    @app.get("/keep.js", include_in_schema=False)
    def keeper() -> Response:
        path = Path(str(root)) / "built" / "keep.js"
        if not path.is_file():
            raise NotThereError("keep.js")
        return FileResponse(path, media_type="text/javascript", headers={"cache-control": "no-cache"})


def _wants_json(request: Request) -> bool:
    return request.url.path.startswith("/api/")


async def _not_there(request: Request, error: Exception) -> Response:
    if _wants_json(request):
        return JSONResponse({"faults": [{"what": "It is not there.", "key": str(error.args[0])}]}, 404)
    return page(request, "gone.html", status=404)


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, FaultsError)
    if _wants_json(request):
        faults = [
            {"code": f.code, "what": f.what, "remedy": f.remedy, "key": f.where.key, "line": f.where.line}
            for f in error.faults
        ]
        return JSONResponse({"faults": faults}, 422)
    return page(request, "refused.html", status=422, faults=[str(fault) for fault in error.faults])


async def _was_quicker(request: Request, error: Exception) -> Response:
    """What was seen is no longer so: nothing is changed, and the page says what is."""
    if _wants_json(request):
        return JSONResponse({"faults": [{"what": str(error)}]}, 409)
    return page(request, "refused.html", status=409, faults=[str(error)])


async def _not_understood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    if _wants_json(request):
        faults = [
            {"what": str(one["msg"]), "key": ".".join(str(step) for step in one["loc"][1:])}
            for one in error.errors()
        ]
        return JSONResponse({"faults": faults}, 422)
    return page(request, "gone.html", status=404)


async def _said_so(request: Request, error: Exception) -> Response:
    assert isinstance(error, StarletteHTTPException)
    if _wants_json(request):
        return JSONResponse({"faults": [{"what": str(error.detail)}]}, error.status_code, error.headers)
    if error.status_code == 404:
        return page(request, "gone.html", status=404)
    return page(request, "refused.html", status=error.status_code, faults=[str(error.detail)])
