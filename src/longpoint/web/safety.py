"""Who may ask for what: hosts, origins, keys against forged forms, limits of size, and what a page may load.

A page from elsewhere must not reach a server on this machine, neither by a form (the key), nor by a name that it
made point here (the host).
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Mapping

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "longpoint_key"
FIELD = "key"
HEADER = "x-longpoint-key"

MOST_BYTES = 2_000_000
"""Of a request's body; a batch file of sixty works has 20 000."""

TOO_LARGE = "This is larger than any batch; two megabytes are the most."

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
"""What a page may load: from here, and no script that stands in the page itself."""

FILE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'"
"""Of files that are taken along: they load nothing."""

_HEADERS: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}


class Guard:
    """Refuses what does not come from a page of this server.

    Args:
        app: What answers.
        hosts: Names and ports under which this server is asked, e.g. ``127.0.0.1:8000``.
        secure: Whether the line is encrypted.
    """

    def __init__(self, app: ASGIApp, hosts: frozenset[str], *, secure: bool = False) -> None:
        self._app, self._hosts, self._scheme = app, hosts, "https" if secure else "http"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers a request or refuses it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], headers)
        if refusal is not None:
            await refusal(scope, receive, _sealed(send))
            return
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > MOST_BYTES:
                raise HTTPException(413, TOO_LARGE)
            return message

        await self._app(scope, counted, _sealed(send))

    def _refusal(self, method: str, headers: Headers) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if host not in self._hosts:
            return PlainTextResponse("This server answers only under its own address.\n", 421)
        if method in SAFE_METHODS:
            return None
        origin = headers.get("origin")
        if origin is not None and origin != f"{self._scheme}://{host}":
            return PlainTextResponse("This came from another site and was refused.\n", 403)
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return PlainTextResponse("This came from another site and was refused.\n", 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or len(length) > 12 or int(length) > MOST_BYTES:
            return PlainTextResponse(f"{TOO_LARGE}\n", 413)
        return None


def _sealed(send: Send) -> Send:
    """Adds the headers that keep a page to itself, unless an answer has its own."""

    async def sealed(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
            if "cache-control" not in headers:
                headers["cache-control"] = "no-store"
        await send(message)

    return sealed


def fresh_cookie() -> str:
    """A new cookie; nobody can guess it."""
    return secrets.token_hex(16)


def key_for(secret: bytes, cookie: str) -> str:
    """The key that forms of a browser with this cookie carry."""
    return hmac.new(secret, cookie.encode(), hashlib.sha256).hexdigest()


async def has_key(request: Request, secret: bytes) -> bool:
    """Whether a request that changes something carries the key of its browser."""
    cookie = request.cookies.get(COOKIE, "")
    given = request.headers.get(HEADER, "")
    kind = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if not given and kind in ("application/x-www-form-urlencoded", "multipart/form-data"):
        form = await request.form(max_files=2, max_fields=400)
        field = form.get(FIELD)
        given = field if isinstance(field, str) else ""
    wanted = key_for(secret, cookie)
    return bool(cookie) and hmac.compare_digest(given.encode(), wanted.encode())
