"""The web server: the pages with their own routes, and what guards every request."""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import streamlit as st
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import RedirectResponse
from starlette.routing import Route, Router

from coreset.engine.engine import VARIABLE as ENGINE_VARIABLE
from coreset.text import say
from coreset.web import log, metrics
from coreset.web.frame import BrowserFiles
from coreset.web.framework import ignore_component_packages, say_of_a_failed_page
from coreset.web.guard import Headers, Limits, SameOrigin
from coreset.web.header_time import limit_head_time
from coreset.web.health import Health
from coreset.web.log import RequestLog
from coreset.web.navigation import ORDER
from coreset.web.sign_in import ROLES_VARIABLE
from coreset.web.theme import THEME
from coreset.web.warm import Later, warmed

if TYPE_CHECKING:
    from coreset.web.sign_in.share import Share

SCRIPT = Path(str(files("coreset.pages"))) / "app.py"
HOSTS = ("127.0.0.1", "localhost")
CONFIG: dict[str, Any] = {
    "server.headless": True,
    "server.fileWatcherType": "none",
    "server.runOnSave": False,
    "server.baseUrlPath": "",
    "server.enableCORS": True,
    "server.enableXsrfProtection": True,
    "server.enableStaticServing": False,
    "server.scriptHealthCheckEnabled": False,
    "server.enableAgentApi": False,
    "server.trustedUserHeaders": {},
    "server.corsAllowedOrigins": [],
    "secrets.files": [],
    "browser.gatherUsageStats": False,
    "client.toolbarMode": "minimal",
    "client.showErrorDetails": "none",
    "client.showErrorLinks": False,
    "global.developmentMode": False,
    "logger.hideWelcomeMessage": True,
    "runner.magicEnabled": False,
}
"""Settings of the framework that hold whatever lies in the folder it is started from; the look adds its own."""


def own_routes() -> list[Route]:
    """Our own routes: those on the book that CORESET_BOOK names, made at the first request, and the first page."""
    return [Route("/api/{rest:path}", Later(interface)), Route(f"/{ORDER[0]}", first_page)]


def interface() -> Router:
    """The routes that work on the book and on videos."""
    from coreset.web import opened, routes, video_routes

    book = opened.shared()
    return Router([*routes.routes(book), *video_routes.routes(book)])


async def first_page(request: Request) -> RedirectResponse:
    """The first page stands at the root; its own name leads there, with the case that was asked for."""
    return RedirectResponse(request.url.replace(path="/"))


def guards(share: Share | None = None) -> list[Middleware]:
    """What every request passes: its host, its origin, its size and rate; where pages are shared, the door."""
    hosts = [share.host] if share else list(HOSTS)
    origin = {"origin": share.origin} if share else {}
    asked = [
        Middleware(Health),
        Middleware(RequestLog),
        Middleware(Headers),
        Middleware(TrustedHostMiddleware, allowed_hosts=hosts, www_redirect=False),
        Middleware(SameOrigin, **origin),
        Middleware(Limits),
    ]
    if share is None:
        return [*asked, Middleware(BrowserFiles)]
    from coreset.web.sign_in.gate import Gate

    return [*asked, Middleware(Gate, share=share), Middleware(BrowserFiles)]


def build_app(script: Path = SCRIPT, *, share: Share | None = None) -> st.App:
    """The pages and routes as one application."""
    return st.App(script, routes=own_routes(), middleware=guards(share), lifespan=warmed)


def settings(port: int, share: Share | None = None, listen: str = HOSTS[0]) -> dict[str, Any]:
    """Settings of the framework for one server; the file of the sign-in is read by it and by nothing else.

    Parameters
    ----------
    port : int
        Port of the server.
    share : Share, optional
        How the pages are shared; on this machine alone if left out.
    listen : str
        Address that the server listens on.
    """
    own = {"secrets.files": [str(share.sign_in)], "server.allowedHosts": [share.host]} if share else {}
    return {**CONFIG, **THEME, **own, "server.port": port, "server.address": listen}


def serve(*, port: int, script: Path = SCRIPT, listen: str = HOSTS[0], share: Share | None = None) -> None:
    """Serve the pages until stopped: on this machine, to everybody on it; or, shared, to whoever signs in.

    Parameters
    ----------
    port : int
        A free port.
    script : Path
        First script of the pages.
    listen : str
        Address that the server listens on.
    share : Share, optional
        How the pages are shared; on this machine alone if left out.
    """
    ignore_component_packages()
    say_of_a_failed_page(say("front.failed"))
    limit_head_time()
    log.begin("info" if share else "warning")
    if share:
        log.LOG.info("shared", extra={"origin": share.origin, "listen": f"{listen}:{port}"})
    if port_of_metrics := metrics.port():
        metrics.begin(port_of_metrics)
    os.environ.setdefault(ENGINE_VARIABLE, "")
    os.environ.pop(ROLES_VARIABLE, None)
    if share:
        os.environ[ROLES_VARIABLE] = str(share.roles)
    build_app(script, share=share).run(config=settings(port, share, listen))
