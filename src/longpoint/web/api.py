"""The same for programs: batches, plans and ticks as JSON, with a page that tells of it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse, Response

from longpoint.web.batch_text import MOST_TEXT, read
from longpoint.web.desk import read_json
from longpoint.web.room import page, room_of, who_of
from longpoint.web.safety import COOKIE, HEADER, fresh_cookie, key_for
from longpoint.web.ticks import KINDS, Tick

api = APIRouter(prefix="/api")

Ident = Annotated[str, Path(pattern=r"^[0-9a-f]{12}$", description="A batch.")]

_REFUSED: dict[int | str, dict[str, Any]] = {
    401: {"description": "Nobody is signed in, where people sign in."},
    403: {"description": "The key is missing or wrong, or whoever is signed in may not do this."},
    404: {"description": "There is no such batch or plan."},
    413: {"description": "Larger than any batch."},
    422: {"description": "Faults, all together."},
}


class BatchText(BaseModel):
    """A batch file.

    Attributes:
        text: TOML, as the batch file.
    """

    model_config = ConfigDict(extra="forbid")

    text: str = Field(max_length=MOST_TEXT)


class BatchRow(BaseModel):
    """A batch on the desk.

    Attributes:
        ident: Its name in addresses.
        title: Its title.
        works: How many works it has.
        planned: Whether there is a plan or one is being made.
    """

    ident: str
    title: str
    works: int
    planned: bool


class PlanWish(BaseModel):
    """How a batch is planned.

    Attributes:
        rehearsing: Whether every stapling order is rehearsed on its own frame, which takes longer.
    """

    model_config = ConfigDict(extra="forbid")

    rehearsing: bool = True


class RunState(BaseModel):
    """Where a plan stands.

    Attributes:
        run: Which run; "" for none.
        state: none, waiting, working, done, refused, failed, cancelled or stopped.
        doing: What is being done.
        seconds: Since it began.
        revision: Of the plan, once it is done.
        faults: What stands against it, by key.
    """

    run: str
    state: str
    doing: str = ""
    seconds: int = 0
    revision: str = ""
    faults: dict[str, list[str]] = {}


class Ticked(BaseModel):
    """What became of ticks.

    Attributes:
        kept: How many were new.
        refused: Names of those about nothing that a plan of the batch has.
    """

    kept: int
    refused: list[str] = []


class TickList(BaseModel):
    """Ticks, sent together.

    Attributes:
        ticks: The ticks.
    """

    model_config = ConfigDict(extra="forbid")

    ticks: list[Tick] = Field(max_length=500)


@api.get("", include_in_schema=False)
def about(request: Request) -> Response:
    """The page that tells of the API."""
    schema = schema_of(request)
    return page(request, "api.html", schema=schema)


@api.get("/openapi.json", include_in_schema=False)
def openapi(request: Request) -> Response:
    """The API as OpenAPI 3.1."""
    return JSONResponse(schema_of(request))


def schema_of(request: Request) -> dict[str, Any]:
    """The API as OpenAPI 3.1."""
    app = request.app
    return get_openapi(title=app.title, version=app.version, summary=app.summary, routes=app.routes)


@api.get("/key")
def key(request: Request) -> Response:
    """The key that every request that changes something carries, in the header x-longpoint-key."""
    room = room_of(request)
    cookie = request.cookies.get(COOKIE, "") or fresh_cookie()
    answer = JSONResponse({"header": HEADER, "key": key_for(room.secret, cookie)})
    answer.set_cookie(COOKIE, cookie, httponly=True, samesite="strict", secure=room.secure)
    return answer


@api.get("/batches")
def batches(request: Request) -> list[BatchRow]:
    """All batches on the desk."""
    return [
        BatchRow(ident=one.ident, title=one.title, works=one.works, planned=bool(one.run))
        for one in room_of(request).desk.listed()
    ]


@api.post("/batches", status_code=201, responses=_REFUSED)
def new_batch(request: Request, given: BatchText) -> BatchRow:
    """Puts a batch on the desk."""
    batch = read(given.text)
    title, works = batch.title, len(batch.work)
    ident = room_of(request).desk.new_batch(given.text, title=title, works=works)
    return BatchRow(ident=ident, title=title, works=works, planned=False)


@api.get("/batches/{ident}", responses=_REFUSED)
def batch_text(request: Request, ident: Ident) -> BatchText:
    """A batch's text."""
    return BatchText(text=room_of(request).desk.text(ident))


@api.put("/batches/{ident}", responses=_REFUSED)
def put_batch(request: Request, ident: Ident, given: BatchText) -> BatchRow:
    """Gives a batch a new text; the old one can be gone back to."""
    room = room_of(request)
    room.desk.home(ident)
    batch = read(given.text)
    title, works = batch.title, len(batch.work)
    room.desk.put(ident, given.text, title=title, works=works, step="")
    return BatchRow(ident=ident, title=title, works=works, planned=bool(room.desk.newest_run(ident)))


@api.delete("/batches/{ident}", status_code=204, responses=_REFUSED)
def remove_batch(request: Request, ident: Ident) -> None:
    """Takes a batch off the desk."""
    room = room_of(request)
    for run in room.desk.runs(ident):
        room.runs.cancel(ident, run)
    room.desk.take_off(ident)


@api.post("/batches/{ident}/plan", status_code=202, responses=_REFUSED)
def begin_plan(request: Request, ident: Ident, wish: PlanWish) -> RunState:
    """Begins to plan a batch."""
    room = room_of(request)
    room.desk.home(ident)
    run = room.runs.begin(ident, rehearsing=wish.rehearsing)
    return RunState(run=run, **_known(room.runs.state(ident, run)))


@api.get("/batches/{ident}/plan", responses=_REFUSED)
def plan_state(request: Request, ident: Ident) -> RunState:
    """Where the newest plan stands."""
    room = room_of(request)
    run = room.desk.newest_run(ident)
    if not run:
        return RunState(run="", state="none")
    return RunState(run=run, **_known(room.runs.state(ident, run)))


@api.delete("/batches/{ident}/plan", status_code=204, responses=_REFUSED)
def cancel_plan(request: Request, ident: Ident) -> None:
    """Ends the plan that is being made."""
    room = room_of(request)
    run = room.desk.newest_run(ident)
    if run:
        room.runs.cancel(ident, run)


@api.get("/batches/{ident}/plan.json", responses=_REFUSED)
def plan_json(request: Request, ident: Ident) -> Response:
    """The newest plan that is done, as ``longpoint plan`` writes it."""
    from longpoint.web.desk import NotThereError

    room = room_of(request)
    for run in reversed(room.desk.runs(ident)):
        folder = room.desk.run_home(ident, run)
        if read_json(folder / "end.json", {}).get("state") == "done":
            return Response((folder / "out" / "plan.json").read_bytes(), media_type="application/json")
    raise NotThereError("plan")


@api.get("/batches/{ident}/ticks", responses=_REFUSED)
def all_ticks(request: Request, ident: Ident) -> dict[str, dict[str, str]]:
    """What is so of everything that was ticked, by kind."""
    room = room_of(request)
    room.desk.home(ident)
    return room.ticks.now(ident, *KINDS)


@api.post("/batches/{ident}/ticks", responses=_REFUSED)
def add_ticks(request: Request, ident: Ident, given: TickList) -> Ticked:
    """Keeps ticks; those that are known by their id are not counted again."""
    room = room_of(request)
    room.desk.home(ident)
    kept = room.ticks.add(ident, given.ticks, who=who_of(request).name)
    return Ticked(kept=kept.new, refused=list(kept.refused))


def _known(state: dict[str, Any]) -> dict[str, Any]:
    return {
        name: state[name] for name in ("state", "doing", "seconds", "revision", "faults") if name in state
    }
