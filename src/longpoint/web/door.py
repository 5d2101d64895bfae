"""The door of a shared workshop: who comes in, and what they may do there.

Whoever is not signed in sees the page to sign in and nothing else; every way in says which role it needs, and one that
says nothing needs the highest.
"""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from longpoint.errors import FaultsError
from longpoint.store import Store
from longpoint.store.benches.people import Role, Who, who_is
from longpoint.web.safety import SAFE_METHODS

OPEN = ("/sign-in", "/shown", "/api/key", "/keep.js", "/static/", "/fonts/")
"""What is answered without signing in: the page to sign in and what it loads."""

_BENCH = (
    *("/b/{ident}/tick", "/b/{ident}/glue/{code}/fit", "/b/{ident}/stretch/{code}/rehearse"),
    *(
        "/b/{ident}/glue/{code}/lengths",
        "/b/{ident}/stretch/{code}/press",
        "/b/{ident}/stretch/{code}/strips",
    ),
    *("/b/{ident}/stretch/{code}/orders", "/book/{label}", "/api/batches/{ident}/ticks"),
)
_PLAN = (
    *("/new", "/example", "/open", "/b/{ident}/say", "/b/{ident}/more", "/b/{ident}/less", "/b/{ident}/undo"),
    *("/b/{ident}/remove", "/b/{ident}/plan", "/b/{ident}/stop", "/b/{ident}/rest", "/b/{ident}/keep"),
    *("/b/{ident}/works/{code}/change", "/b/{ident}/stretch/{code}/order", "/b/{ident}/stretch/{code}/water"),
    *("/b/{ident}/shop", "/rack", "/rack/take"),
    *("/api/batches", "/api/batches/{ident}", "/api/batches/{ident}/plan"),
)
_LOOK = ("/sign-in", "/sign-out", "/shown", "/me", "/b/{ident}/works/{code}/rail")

CHANGES: Mapping[str, Role] = {
    **dict.fromkeys(_LOOK, "look"),
    **dict.fromkeys(_BENCH, "bench"),
    **dict.fromkeys(_PLAN, "plan"),
    "/people": "own",
    "/people/{name}": "own",
}
"""Which role a request needs that changes something, by its way in."""

READS: Mapping[str, Role] = {"/people": "own"}
"""Which role a request needs that only reads, where that is more than to look."""


def needed(method: str, way: str) -> Role:
    """The role that a request needs.

    Args:
        method: Of the request.
        way: Its way in, as the route says it.
    """
    if method in SAFE_METHODS:
        return READS.get(way, "look")
    return CHANGES.get(way, "own")


def cookie_name(*, secure: bool) -> str:
    """What the cookie of a session is called.

    References:
        RFC 6265bis, 4.1.3.2, from memory: with this beginning a browser takes it only encrypted, from this very host.
    """
    return "__Host-longpoint_session" if secure else "longpoint_session"


class Door:
    """Lets in who is signed in, and says to what is inside who they are.

    Args:
        app: What answers.
        store: Where accounts and sessions are.
        secure: Whether the line is encrypted.
    """

    def __init__(self, app: ASGIApp, store: Store, *, secure: bool) -> None:
        self._app, self._store, self._cookie = app, store, cookie_name(secure=secure)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers a request, or sends whoever asks to the page to sign in."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        token = cookie_parser(headers.get("cookie", "")).get(self._cookie, "")
        try:
            who = await run_in_threadpool(self._who, token) if token else None
        except FaultsError as error:
            await PlainTextResponse(f"{error}\n", 503)(scope, receive, send)
            return
        path: str = scope["path"]
        if who is None and not path.startswith(OPEN):
            await _signed_out(scope["method"], path, headers)(scope, receive, send)
            return
        scope.setdefault("state", {})["who"] = who
        await self._app(scope, receive, send)

    def _who(self, token: str) -> Who | None:
        with self._store.reading() as desk:
            return who_is(desk, token)


def _signed_out(method: str, path: str, headers: Headers) -> Response:
    if path.startswith("/api/"):
        return JSONResponse({"faults": [{"what": "Sign in first."}]}, 401)
    to = f"/sign-in?back={quote(path if method in SAFE_METHODS else '/')}"
    if headers.get("hx-request") == "true":
        return PlainTextResponse("", 401, headers={"hx-redirect": to})
    return RedirectResponse(to, 303)
