"""A plan: begun, watched, looked at; the buying list, the days, the money, the sheets and files."""

from __future__ import annotations

from pathlib import Path as Folder
from typing import Annotated

from fastapi import APIRouter, Form, Path, Request
from starlette.responses import FileResponse, PlainTextResponse, Response

from longpoint.web.desk import NotThereError
from longpoint.web.pages.wanted import Ident
from longpoint.web.room import Planned, page, planned, room_of, see
from longpoint.web.safety import FILE_POLICY

router = APIRouter(include_in_schema=False)

_KINDS = {
    ".pdf": "application/pdf",
    ".svg": "image/svg+xml",
    ".json": "application/json",
    ".csv": "text/csv",
    ".dxf": "image/vnd.dxf",
    ".glb": "model/gltf-binary",
    ".step": "model/step",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def plan_or_none(request: Request, ident: str) -> Planned | None:
    """The newest plan of a batch that is there."""
    room_of(request).desk.home(ident)
    return planned(request, ident)


class NoPlanError(Exception):
    """A batch is not planned yet: its page says so, at the step that was asked for."""

    def __init__(self, ident: str, here: str) -> None:
        super().__init__(ident)
        self.ident, self.here = ident, here


def plan_of(request: Request, ident: str, here: str = "") -> Planned:
    """The newest plan of a batch.

    Args:
        request: The wish.
        ident: The batch.
        here: The step whose page says that nothing is planned yet; "" where no page does.

    Raises:
        NoPlanError: If it is not planned yet and a page says so.
        NotThereError: If it is not planned yet and none does.
    """
    found = plan_or_none(request, ident)
    if found is not None:
        return found
    if here:
        raise NoPlanError(ident, here)
    raise NotThereError(ident)


@router.post("/b/{ident}/plan")
def begin(request: Request, ident: Ident, quick: Annotated[str, Form(max_length=4)] = "") -> Response:
    """Begins to plan."""
    room_of(request).runs.begin(ident, rehearsing=not quick)
    return see(f"/b/{ident}/plan")


@router.post("/b/{ident}/stop")
def stop(request: Request, ident: Ident) -> Response:
    """Ends a plan that is being made."""
    room = room_of(request)
    run = room.desk.newest_run(ident)
    if run:
        room.runs.cancel(ident, run)
    return see(f"/b/{ident}/plan")


@router.get("/b/{ident}/plan")
def plan(request: Request, ident: Ident) -> Response:
    """Where the plan stands, or what it says."""
    room = room_of(request)
    run = room.desk.newest_run(ident)
    state = room.runs.state(ident, run) if run else {"state": "none"}
    found = plan_or_none(request, ident)
    summary = None if found is None else found.read("plan")
    days = [] if found is None else found.read("days")["pages"]
    return page(
        request, "plan.html", here="plan", ident=ident, state=state, plan=found, summary=summary, days=days,
        title=_title(request, ident),
    )  # fmt: skip


@router.get("/b/{ident}/doing")
def doing(request: Request, ident: Ident) -> Response:
    """How far a plan is, for the page that waits."""
    room = room_of(request)
    run = room.desk.newest_run(ident)
    state = room.runs.state(ident, run) if run else {"state": "none"}
    over = state["state"] not in ("waiting", "working")
    headers = {"hx-redirect": f"/b/{ident}/plan"} if over else None
    return page(request, "doing.html", ident=ident, state=state, headers=headers)


@router.get("/b/{ident}/yard")
def yard(request: Request, ident: Ident) -> Response:
    """What to buy, with ticks."""
    found = plan_of(request, ident, "yard")
    ticks = room_of(request).ticks.now(ident, "buy")["buy"]
    return page(
        request, "yard.html", here="yard", ident=ident, plan=found, ticks=ticks, title=_title(request, ident),
        pages=found.read("yard")["pages"], text=_as_text(found),
    )  # fmt: skip


@router.get("/b/{ident}/yard.txt")
def yard_text(request: Request, ident: Ident) -> Response:
    """What to buy, as text to send."""
    found = plan_of(request, ident)
    return PlainTextResponse(_as_text(found))


@router.get("/b/{ident}/money")
def money(request: Request, ident: Ident) -> Response:
    """What it costs, and what to ask."""
    found = plan_of(request, ident, "money")
    pages = found.read("money")["pages"]
    summary = found.read("plan")
    return page(
        request, "money.html", here="money", ident=ident, plan=found, pages=pages, summary=summary,
        title=_title(request, ident),
    )  # fmt: skip


@router.get("/b/{ident}/sheets")
def sheets(request: Request, ident: Ident) -> Response:
    """Everything that can be printed or taken along."""
    found = plan_of(request, ident, "sheets")
    listed = [
        (number, path.as_posix(), _size(found.folder / "out" / path))
        for number, path in enumerate(files_of(found))
    ]
    return page(
        request,
        "sheets.html",
        here="sheets",
        ident=ident,
        plan=found,
        files=listed,
        title=_title(request, ident),
    )


@router.get("/b/{ident}/take/{run}/{number}")
def take(
    request: Request,
    ident: Ident,
    run: Annotated[str, Path(pattern=r"^[0-9a-f]{12}$")],
    number: Annotated[int, Path(ge=0, le=20_000)],
) -> Response:
    """One file of a plan, by its number in the list: no path comes from outside."""
    found = plan_or_none(request, ident)
    if found is None or found.run != run:
        raise NotThereError(run)
    listed = files_of(found)
    if number >= len(listed):
        raise NotThereError(str(number))
    path = listed[number]
    kind = _KINDS.get(path.suffix, "application/octet-stream")
    shown = "inline" if path.suffix in (".pdf", ".svg") else "attachment"
    headers = {"content-disposition": f'{shown}; filename="{path.name}"'}
    headers["content-security-policy"] = FILE_POLICY if path.suffix != ".pdf" else "frame-ancestors 'none'"
    return FileResponse(found.folder / "out" / path, media_type=kind, headers=headers)


def files_of(found: Planned) -> list[Folder]:
    """Files of a plan in a fixed order, the documents first."""
    root = found.folder / "out"
    paths = [path.relative_to(root) for path in root.rglob("*") if path.is_file()]
    return sorted(paths, key=lambda path: (len(path.parts), path.suffix != ".pdf", path.as_posix()))


async def no_plan(request: Request, error: Exception) -> Response:
    """The page of a batch that is not planned yet."""
    assert isinstance(error, NoPlanError)
    ident = error.ident
    room = room_of(request)
    run = room.desk.newest_run(ident)
    state = room.runs.state(ident, run) if run else {"state": "none"}
    return page(
        request,
        "no-plan.html",
        here=error.here,
        ident=ident,
        plan=None,
        title=_title(request, ident),
        state=state,
    )


def _title(request: Request, ident: str) -> str:
    return str(room_of(request).desk.about(ident)["title"])


def _size(path: Folder) -> int:
    return max(1, round(path.stat().st_size / 1024))


def _as_text(found: Planned) -> str:
    """The buying list as plain text: one thing a line."""
    lines = [found.read("plan")["title"]]
    for sheet in found.read("yard")["pages"]:
        for block in sheet["blocks"] if sheet["key"] == "buying" else []:
            if block["kind"] != "table":
                continue
            buy = next(number for number, column in enumerate(block["columns"]) if column["strong"])
            for row in block["rows"]:
                if row["head"]:
                    lines += ["", row["head"]]
                lines.append(f"- {row['cells'][buy]}: {row['cells'][0]}")
    return "\n".join(lines).replace("**", "") + "\n"
