# longer because it is the server, not a page
"""The web server: the pages with their own routes, and what guards every request."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

import streamlit as st
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import RedirectResponse
from starlette.routing import Route

from coreset.book import Book, book_url
from coreset.pages import routes, routes_video
from coreset.pages.clock.guard import Limits, SameOrigin
from coreset.pages.plan import ORDER
from coreset.pages.theme import THEME

SCRIPT = Path(__file__).with_name("app.py")
HOSTS = ("127.0.0.1", "localhost")
CONFIG: dict[str, Any] = {
    "server.address": "127.0.0.1",
    "server.headless": True,
    "server.fileWatcherType": "none",
    "server.runOnSave": False,
    "server.baseUrlPath": "",
    "server.enableCORS": True,
    "server.enableXsrfProtection": True,
    "server.enableStaticServing": False,
    "browser.gatherUsageStats": False,
    "client.toolbarMode": "minimal",
    "client.showErrorDetails": "none",
    "client.showErrorLinks": False,
    "global.developmentMode": False,
}
"""Settings of the framework that hold whatever lies in the folder it is started from; the look adds its own."""


def own_routes() -> list[Route]:
    """Our own routes, on the book that CORESET_BOOK names."""
    return [*routes.routes(Book(book_url())), *routes_video.routes(), Route(f"/{ORDER[0]}", first_page)]


async def first_page(request: Request) -> RedirectResponse:
    """The first page stands at the root; its own name leads there, with the case that was asked for."""
    return RedirectResponse(request.url.replace(path="/"))


def guards(hosts: Sequence[str] = HOSTS) -> list[Middleware]:
    """What every request passes: its host, its origin, its size and rate."""
    return [
        Middleware(TrustedHostMiddleware, allowed_hosts=list(hosts), www_redirect=False),
        Middleware(SameOrigin),
        Middleware(Limits),
    ]


def build_app(script: Path = SCRIPT, *, hosts: Sequence[str] = HOSTS) -> st.App:
    """The pages and routes as one application."""
    return st.App(script, routes=own_routes(), middleware=guards(hosts))


def serve(*, port: int, script: Path = SCRIPT) -> None:
    """Serve the pages on this machine until stopped.

    The data library is loaded first: the drawing library looks at it unguarded, and a session that draws while another
    loads it would see half of it.
    """
    import_module("pandas")
    build_app(script).run(config={**CONFIG, **THEME, "server.port": port})
