# longer because it is a part of the server, not a page
"""What the first page needs is loaded while the browser still fetches the frame of the page, not before it may ask."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from importlib import import_module
from threading import Thread
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

NEEDED = ("coreset.pages.parts", "coreset.pages.refusal", "coreset.brief.decision")
"""Modules of the router and the first page, in the order in which the router asks for them."""


def warm() -> None:
    """Load what the first page needs; whoever asks for a module meanwhile waits for it."""
    for name in NEEDED:
        import_module(name)


@asynccontextmanager
async def warmed(_app: Any) -> AsyncIterator[None]:
    """Begin to load once the server is about to listen."""
    Thread(target=warm, name="warm", daemon=True).start()
    yield


class Later:
    """An application that is made at its first request."""

    def __init__(self, make: Callable[[], ASGIApp]) -> None:
        self._make = make
        self._made: ASGIApp | None = None
        self._one = asyncio.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Make it, off the loop, then pass on."""
        async with self._one:
            if self._made is None:
                self._made = await run_in_threadpool(self._make)
        await self._made(scope, receive, send)
