"""At the saw, and the ticks of every page: kept once, in whatever order and however often they are sent."""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from pydantic import ValidationError
from starlette.responses import Response

from longpoint.errors import refuse
from longpoint.web.desk import read_json, rests
from longpoint.web.pages.measured import inside_of, shown_of
from longpoint.web.pages.plans import plan_of
from longpoint.web.pages.wanted import Ident
from longpoint.web.room import Planned, language_of, page, room_of, safe_back, see, system_of, who_of
from longpoint.web.ticks import Tick
from longpoint.web.told.places import told_folder

router = APIRouter(include_in_schema=False)

_REST_WAIT = 60.0
"""Longest that a page waits for the rest to be planned. [s]"""


@router.get("/b/{ident}/saw")
def saw(request: Request, ident: Ident, at: str = "") -> Response:
    """One cut at a time."""
    found = plan_of(request, ident, "saw")
    return _saw(request, ident, found, at, [])


def _saw(request: Request, ident: str, found: Planned, at: str, faults: list[str]) -> Response:
    stage, told = _standing(request, found)
    cuts = _cuts(request, ident, found, stage, told["sections"])
    left = [number for number, cut in enumerate(cuts) if not cut["state"]]
    asked = int(at) if at.isdigit() and len(at) < 6 and int(at) < len(cuts) else -1
    now = asked if asked >= 0 else left[0] if left else len(cuts)
    return page(
        request, "saw.html", status=422 if faults else 200, here="saw", ident=ident, plan=found,
        title=found.read("plan")["title"], sections=told["sections"], cuts=cuts, now=now, done=len(cuts) - len(left),
        lists=told["lists"], bevel=[] if stage else found.read("bevel")["pages"], rest=told["pages"], stage=stage,
        faults=faults,
    )  # fmt: skip


def _standing(request: Request, found: Planned) -> tuple[int, dict[str, Any]]:
    """The number of the rest in hand, 0 for the plan itself, and what the page shows of it."""
    stages = rests(found.folder)
    if not stages:
        return 0, {**found.read("saw"), "pages": [], "lists": found.read("saw-list")["pages"]}
    language, system = language_of(request), found.told.name.split("-")[1]
    told = told_folder(stages[-1], language=language, system=system) / "saw.json"
    if not told.exists():
        room_of(request).teller.tell(str(stages[-1]), language=language, system=system, wait=30.0, rest=True)
    read = read_json(told, None)
    if read is None:
        raise refuse("not-told", "the rest cannot be shown just now.", "Load the page again.")
    return len(stages), read


def _cuts(
    request: Request, ident: str, found: Planned, stage: int, sections: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    done = room_of(request).ticks.now(ident, "cut")["cut"]
    inside = inside_of(request, ident, found.revision)
    shown = shown_of(request, found)[1]
    cuts = []
    for number, section in enumerate(sections):
        for cut in section["cuts"]:
            key = f"{found.revision}.{stage}/{cut['key']}"
            own = {"key": key, "state": done.get(key, ""), "section": number, "words": section["section"]}
            if cut["measured"] and cut["part"] in inside:
                own |= {"stop": shown.fine(inside[cut["part"]]), "measured": False}
            cuts.append({**cut, **own, "unit": section["unit"]})
    return cuts


@router.post("/b/{ident}/rest")
def rest(request: Request, ident: Ident) -> Response:
    """Plans the rest from what was ticked: what is cut, what is spoiled, where a board split."""
    found = plan_of(request, ident, "saw")
    stage, told = _standing(request, found)
    cuts = _cuts(request, ident, found, stage, told["sections"])
    stages = rests(found.folder)
    body = {
        "wish": "rest",
        "run": str(found.folder),
        "before": str(stages[-1] / "replan.json" if stages else found.folder / "out" / "plan.json"),
        "into": str(found.folder / f"rest-{stage + 1}"),
        "events": _events(cuts, told["sections"], inside_of(request, ident, found.revision)),
        "language": language_of(request),
        "system": system_of(request, found.told.name.split("-")[1]),
    }
    wish = room_of(request).teller.ask(f"rest {secrets.token_hex(4)}", body, about=f"rest {found.run}")
    if not wish.done.wait(_REST_WAIT) or wish.broken or wish.told is None:
        raise refuse("not-planned", "the rest could not be planned just now.", "Try again.")
    if wish.told["faults"]:
        return _saw(request, ident, found, "", wish.told["faults"])
    room_of(request).ticks.keep(ident, who=who_of(request).name)
    return see(f"/b/{ident}/saw")


def _events(
    cuts: list[dict[str, Any]], sections: list[dict[str, Any]], inside: Mapping[str, float]
) -> Mapping[str, Any]:
    """What happened, as a file of events says it."""
    made: Counter[tuple[str, int, str]] = Counter()
    spoiled: Counter[str] = Counter()
    split = []
    for cut in cuts:
        board = (cut["board"], cut["copy"], sections[cut["section"]]["name"])
        if cut["state"] in ("done", "spoiled"):
            made[board] += 1
        if cut["state"] == "spoiled":
            spoiled[cut["part"]] += 1
        if cut["state"] == "split":
            where = {"board": board[0], "number": board[1], "section": board[2]}
            split.append({**where, "at": cut["at"]})
    return {
        "unit": "mm",
        "cut": [
            {"board": board, "number": copy, "section": section, "cuts": count}
            for (board, copy, section), count in made.items()
        ],
        "spoiled": [{"part": part, "how_many": count} for part, count in spoiled.items()],
        "split": split,
        "measured": [
            {"part": part, "length": length}
            for part, length in inside.items()
            if any(c["part"] == part for c in cuts)
        ],
    }


@router.post("/b/{ident}/tick")
def tick(
    request: Request,
    ident: Ident,
    kind: Annotated[str, Form(max_length=10)],
    what: Annotated[str, Form(max_length=200)],
    state: Annotated[str, Form(max_length=80)] = "",
    back: Annotated[str, Form(max_length=200)] = "/",
) -> Response:
    """One tick from a plain form."""
    room = room_of(request)
    try:
        made = Tick.model_validate({"id": secrets.token_hex(8), "kind": kind, "key": what, "state": state})
    except ValidationError:
        raise refuse("bad-tick", "this tick cannot be read.", "Load the page again.") from None
    room.desk.home(ident)
    if room.ticks.add(ident, [made], who=who_of(request).name).refused:
        raise refuse("bad-tick", "the plan in hand has no such thing to tick.", "Load the page again.")
    return see(safe_back(back))
