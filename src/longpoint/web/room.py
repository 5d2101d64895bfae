"""What every page shares: the desk, the runs, the warm process, the templates, and how a page is made of them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from fastapi import Request
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.responses import HTMLResponse, RedirectResponse, Response

from longpoint.store import Store
from longpoint.store.benches.people import Who
from longpoint.web.answers import Answers
from longpoint.web.desk import Desk, NotThereError, read_json
from longpoint.web.runs import Runs
from longpoint.web.safety import COOKIE, fresh_cookie, key_for
from longpoint.web.ticks import Ticks
from longpoint.web.told.voices import SYSTEMS
from longpoint.web.words import LANGUAGES, voice

WORDS_COOKIE, UNIT_COOKIE = "longpoint_words", "longpoint_unit"

STEPS = ("wanted", "plan", "yard", "saw", "glue", "cloth", "stretch", "prime", "wall")
"""The order of the work, as it stands on the stick at the head of every page of a batch."""

_MOST_FIELDS = 60
_YEAR = 60 * 60 * 24 * 365

_BACK = re.compile(r"^/[a-zA-Z0-9/_-]*$")
_STRONG = re.compile(r"\*\*(.+?)\*\*")


@dataclass(frozen=True, slots=True)
class Room:
    """What pages work with.

    Attributes:
        desk: Batches on disk.
        runs: Plans that run apart.
        answers: The warm process that answers works while they are said.
        teller: Another, for what a page waits for: another language, the rest after a spoiled piece, a rehearsal.
        ticks: Where ticks are kept.
        store: The rack and the build book.
        secret: Behind the keys of forms.
        shared: Whether people sign in.
        secure: Whether the line is encrypted.
    """

    desk: Desk
    runs: Runs
    answers: Answers
    teller: Answers
    ticks: Ticks
    store: Store
    secret: bytes
    shared: bool = False
    secure: bool = False


NOBODY = Who("in the browser", "own")
"""Who asks where the pages are not shared: nobody signs in on a loopback address."""


def who_of(request: Request) -> Who:
    """Who asks."""
    who: Who | None = getattr(request.state, "who", NOBODY)
    return who or Who("", "look")


def room_of(request: Request) -> Room:
    """The room that a request is answered in."""
    room: Room = request.app.state.room
    return room


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("longpoint.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["strong"] = strong
    made.filters["ident"] = lambda text: re.sub(r"[^a-z0-9]+", "-", str(text).lower()).strip("-")
    return made


def strong(text: str) -> Markup:
    """Words of a sheet, stretches between ``**`` strong, everything else as it stands."""
    return Markup(_STRONG.sub(r"<strong>\1</strong>", str(escape(text))))


@cache
def built() -> bool:
    """Whether the browser code was built: without it pages are plain forms."""
    return (files("longpoint.web") / "static" / "built" / "pages.js").is_file()


def language_of(request: Request) -> str:
    """The language that the reader chose, else the browser's, else English."""
    chosen = request.cookies.get(WORDS_COOKIE, "")
    if chosen in LANGUAGES:
        return chosen
    wished = request.headers.get("accept-language", "")[:2].lower()
    return wished if wished in LANGUAGES else "en"


def system_of(request: Request, otherwise: str = "mm") -> str:
    """The unit that the reader chose, else another."""
    chosen = request.cookies.get(UNIT_COOKIE, "")
    return chosen if chosen in SYSTEMS else otherwise


def page(
    request: Request,
    template: str,
    *,
    status: int = 200,
    headers: dict[str, str] | None = None,
    **values: Any,
) -> Response:
    """A page, with the key of its forms and the reader's language."""
    room = room_of(request)
    cookie = request.cookies.get(COOKIE, "")
    fresh = "" if re.fullmatch(r"[0-9a-f]{32}", cookie) else fresh_cookie()
    language = language_of(request)
    made = (
        _templates()
        .get_template(template)
        .render(
            t=voice(language),
            language=language,
            system=values.pop("system", None) or system_of(request),
            systems=SYSTEMS,
            languages=LANGUAGES,
            key=(form_key := key_for(room.secret, fresh or cookie)),
            key_of_form=form_key,
            who=who_of(request) if room.shared else None,
            path=request.url.path,
            steps=STEPS,
            built=built(),
            **values,
        )
    )
    answer = HTMLResponse(made, status_code=status, headers=headers)
    if fresh:
        _set_key(room, answer, fresh)
    return answer


def _set_key(room: Room, answer: Response, cookie: str) -> None:
    answer.set_cookie(COOKIE, cookie, httponly=True, samesite="strict", secure=room.secure, max_age=_YEAR)


def with_fresh_key(room: Room, answer: Response) -> Response:
    """An answer that gives its browser another key for its forms: what was known before is worth nothing."""
    _set_key(room, answer, fresh_cookie())
    return answer


async def typed_in(request: Request, *, longest: int) -> dict[str, str]:
    """What was typed into a form, by field, each so many characters long at most."""
    form = await request.form()
    return {
        name: value[:longest]
        for name, value in list(form.items())[:_MOST_FIELDS]
        if isinstance(value, str) and name not in ("key", "about")
    }


def see(path: str) -> RedirectResponse:
    """Sends a browser on to another page after a form."""
    return RedirectResponse(path, status_code=303)


def safe_back(path: str) -> str:
    """A path of this server to go back to; the beginning where it is none."""
    return path if _BACK.match(path) and not path.startswith("//") else "/"


def is_fragment(request: Request) -> bool:
    """Whether only a piece of a page is asked for."""
    return request.headers.get("hx-request") == "true"


@dataclass(frozen=True, slots=True)
class Planned:
    """The newest plan of a batch that is done.

    Attributes:
        run: Its run.
        folder: The run's folder.
        revision: Of the plan.
        stale: Whether the batch has changed since.
        told: Where its pages in the reader's language and unit lie.
    """

    run: str
    folder: Path
    revision: str
    stale: bool
    told: Path

    def read(self, name: str) -> Any:
        """What a page shows.

        Raises:
            NotThereError: If the plan has no such page.
        """
        found = read_json(self.told / f"{name}.json", None)
        if found is None:
            raise NotThereError(name)
        return found


def planned(request: Request, ident: str) -> Planned | None:
    """The newest plan of a batch that is done, told in the reader's language; None where there is none."""
    from longpoint.web.told.places import told_folder

    room = room_of(request)
    for run in reversed(room.desk.runs(ident)):
        folder = room.desk.run_home(ident, run)
        end = read_json(folder / "end.json", {})
        if end.get("state") != "done":
            continue
        language = language_of(request)
        own = read_json(folder / "own.json", {})
        system = system_of(request, own.get("system", "mm"))
        told = told_folder(folder, language=language, system=system)
        if not told.exists():
            room.teller.tell(str(folder), language=language, system=system, wait=60.0)
        old = not told.exists()  # a plan that an earlier version of this program made cannot be told anew
        if old:
            told = told_folder(folder, language=own.get("language", "en"), system=own.get("system", "mm"))
            if not told.exists():
                return None  # it is planned again: nothing can be shown of it
        stale = old or (folder / "batch.toml").read_text(encoding="utf-8") != room.desk.text(ident)
        return Planned(run, folder, end["revision"], stale, told)
    return None
