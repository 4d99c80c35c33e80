"""What a request needs: our own routes, files and uploads ask for the same sign-in as the pages. ASGI middleware."""

from __future__ import annotations

import logging
import time
from http.cookies import SimpleCookie
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from coreset.errors import BookError
from coreset.web.guard import PERSON, PERSON_CODE, refusal
from coreset.web.sign_in import back
from coreset.web.sign_in.people import EDIT, OBSERVE
from coreset.web.sign_in.share import CALLBACK, Share
from coreset.web.sign_in.visit import Visit, claims_of, judged

LOG = logging.getLogger("coreset.people")
READS = {"GET", "HEAD", "OPTIONS"}
PRESSES = "/api/presses"
CLOSED = ("/api/", "/media/", "/component/", "/app/", "/_stcore/")
"""Paths behind the door."""
LEAVE = "/auth/logout"
"""Where a browser goes to sign out."""
OPEN = ("/_stcore/health", "/_stcore/host-config", "/_stcore/bidi-components/")
"""Paths below those that hold nothing of the book. The frame of the page, its socket, which shows who is not signed in
the sign-in and no more, and the way through the provider of identities are open as well."""


def needed(method: str, path: str) -> str:
    """The role that a request needs; empty if it needs none.

    Examples
    --------
    >>> needed("POST", "/api/presses"), needed("PUT", "/api/video/a.mp4"), needed("GET", "/")
    ('observe', 'edit', '')
    """
    if method in READS and (path.startswith(OPEN) or not path.startswith(CLOSED)):
        return ""
    return OBSERVE if method in READS or path == PRESSES else EDIT


class Gate:
    """Refuse a request of somebody who is not signed in (401) or whose role does not reach so far (403)."""

    def __init__(self, app: ASGIApp, share: Share) -> None:
        self.app = app
        self.share = share

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        role = needed(scope["method"], scope["path"])
        answer = self.app
        if role:
            found = await run_in_threadpool(self._visit, HTTPConnection(scope).cookies)
            if found.person is None:
                answer = refusal(401, "sign_in")
            else:
                scope[PERSON_CODE], scope[PERSON] = found.person.code, found.person
                if not found.person.may(role):
                    answer = refusal(403, "role", role=found.person.role, needed=role)
        asked = HTTPConnection(scope)
        if scope["path"] == LEAVE and asked.headers.get("sec-fetch-site", "none") in ("same-origin", "none"):
            await run_in_threadpool(self._sign_out, asked.cookies)
        await answer(scope, receive, self._dressed(send, HTTPConnection(scope)))

    def _sign_out(self, cookies: dict[str, str]) -> None:
        """End every sign-in of the person whose cookie this is, on all devices: a copied one is worth nothing then."""
        from coreset.web.opened import shared

        claims = claims_of(cookies, self.share.origin)
        if not (subject := str(claims.get("sub", ""))):
            return
        try:
            person = self._visit(cookies).person
            shared().sign_out(subject, time.time())
            LOG.info("sign-out", extra={"code": person.code if person else ""})
        except BookError as error:
            LOG.error("sign-out not stored", extra={"reason": str(error)})

    def _visit(self, cookies: dict[str, str]) -> Visit:
        from coreset.web.opened import shared

        return judged(claims_of(cookies, self.share.origin), Path(self.share.roles), shared)

    def _dressed(self, send: Send, asked: HTTPConnection) -> Send:
        """The same answer with the way back, its cookies for TLS only where TLS is spoken."""
        secure, path = self.share.origin.startswith("https:"), asked.url.path

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(raw=list(message.get("headers", ())))
                if kept := back.kept(path, asked.headers.get("referer", "")):
                    headers.append("set-cookie", kept)
                if path == CALLBACK:
                    await run_in_threadpool(self._tell_sign_in, headers.getlist("set-cookie"))
                if location := headers.get("location"):
                    headers["location"] = back.led(path, asked.cookies, location)
                headers = MutableHeaders(raw=[_sealed(h) if secure else h for h in headers.raw])
                message = {**message, "headers": headers.raw}
            await send(message)

        return dressed

    def _tell_sign_in(self, cookies: list[str]) -> None:
        """Who came through the provider of identities, or why not, to the log."""
        jar: SimpleCookie = SimpleCookie()
        for cookie in cookies:
            jar.load(cookie)
        found = self._visit({name: one.value for name, one in jar.items()})
        if found.person:
            LOG.info("sign-in", extra={"code": found.person.code, "role": found.person.role})
        else:
            LOG.warning("sign-in refused", extra={"reason": found.reason})


def _sealed(header: tuple[bytes, bytes]) -> tuple[bytes, bytes]:
    name, value = header
    if name.lower() != b"set-cookie" or b"; secure" in value.lower():
        return header
    return name, value + b"; Secure"
