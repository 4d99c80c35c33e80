"""What every request must pass: own host, own origin, size and rate. ASGI middleware, no content is looked at."""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from starlette.datastructures import MutableHeaders
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coreset.text import say

OWN = "/api/"
"""Paths of our own routes; the framework guards its own."""
RATED = (OWN, "/auth/", "/oauth2callback")
"""Paths that an address may ask for only so often: ours, and the way through the provider of identities."""
HEADERS = {
    "Content-Security-Policy": "frame-ancestors 'none'",
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}
PERSON_CODE, PERSON = "coreset.code", "coreset.person"
"""Where the scope of a request holds the code of the person who signed in."""
SAFE = {"GET", "HEAD"}
BODY_LIMIT = 262_144
"""Largest body of a route that takes none but presses. [bytes]"""
BODY_S = 20.0
"""Longest time that such a body may take to come. [s]"""
UPLOADS = "/api/video/"
RATE_PER_S = 50.0
"""Requests a second that one address may go on with."""
BURST = 400.0
"""Requests that it may make at once."""
ADDRESSES = 1000
"""Addresses that are remembered at most."""


def refusal(status: int, key: str, **blanks: Any) -> JSONResponse:
    """An answer that says what was wrong."""
    return JSONResponse({"error": say(f"timing.refused.{key}", **blanks)}, status_code=status)


def now_s() -> float:
    """The server's monotonic clock. [s]"""
    return time.monotonic()


@dataclass(slots=True)
class Bucket:
    """Requests that an address has left."""

    left: float = BURST
    at: float = field(default_factory=lambda: now_s())

    def take(self) -> bool:
        """Whether one more request may pass now."""
        moment = now_s()
        self.left = min(BURST, self.left + RATE_PER_S * (moment - self.at))
        self.at = moment
        if self.left < 1.0:
            return False
        self.left -= 1.0
        return True


class Headers:
    """Let no other site show a page of this server in a frame, no browser guess a type, no address go with a link."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, with these headers on every answer."""

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(raw=list(message.get("headers", ())))
                for name, value in HEADERS.items():
                    headers[name] = value
                message = {**message, "headers": headers.raw}
            await send(message)

        await self.app(scope, receive, with_headers if scope["type"] == "http" else send)


class SameOrigin:
    """Refuse what another site sent: any request with a foreign Origin, any change without one.

    Where pages are shared under one address that is the only Origin, its `https` included.
    """

    def __init__(self, app: ASGIApp, origin: str = "") -> None:
        self.app = app
        self.origin = origin

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or answer 403; a websocket is closed."""
        if scope["type"] not in ("http", "websocket") or own_origin(scope, self.origin):
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        else:
            await refusal(403, "origin")(scope, receive, send)


def own_origin(scope: Scope, only: str = "") -> bool:
    """Whether a request came from a page of this server: of its host, or of the only origin that it is shared under."""
    headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
    origin, host = headers.get("origin"), headers.get("host", "")
    if origin is not None and only:
        return origin.lower() == only
    if origin is not None:
        return urlsplit(origin).netloc.lower() == host.lower()
    ours = scope["path"].startswith(OWN)
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return not ours
    return scope["type"] == "websocket" or not ours or scope["method"] in SAFE


class Limits:
    """Keep our own routes within a body size and a rate for each address."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.buckets: dict[str, Bucket] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or answer 413 or 429."""
        if scope["type"] != "http" or not scope["path"].startswith(RATED):
            await self.app(scope, receive, send)
        elif not self._may(scope):
            await refusal(429, "rate")(scope, receive, send)
        elif scope["path"].startswith(UPLOADS) or not scope["path"].startswith(OWN):
            await self.app(scope, receive, send)
        else:
            await self._limited(scope, receive, send)

    def _may(self, scope: Scope) -> bool:
        address = (scope.get("client") or ("",))[0]
        if len(self.buckets) > ADDRESSES:
            self.buckets.clear()
        return self.buckets.setdefault(address, Bucket()).take()

    async def _limited(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Read the body up to the limit and within the time, then hand it on whole."""
        try:
            async with asyncio.timeout(BODY_S):
                body = await _whole(receive)
        except TimeoutError:
            await refusal(408, "slow", limit=round(BODY_S))(scope, receive, send)
            return
        if body is None:
            return
        if len(body) > BODY_LIMIT:
            await refusal(413, "size", limit=BODY_LIMIT)(scope, receive, send)
            return
        whole: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

        async def replay() -> Message:
            return whole.pop() if whole else await receive()

        await self.app(scope, replay, send)


async def _whole(receive: Receive) -> bytes | None:
    """The body, or its beginning where it is longer than the limit; None if the browser has gone."""
    body, more = b"", True
    while more and len(body) <= BODY_LIMIT:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        body += message.get("body", b"")
        more = message.get("more_body", False)
    return body
