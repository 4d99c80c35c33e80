"""What the first page needs is made ready while the browser still fetches the frame, not before it may ask for it."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from importlib import import_module
from threading import Thread
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from coreset.web.calculation import own_engine
from coreset.web.framework import fill_stack_cache, shorten_thread_turns

AFTER_S = 0.05
"""How long after the start of the server: it listens first. [s]"""
NEEDED = ("coreset.pages.parts.layout", "coreset.pages.parts.refusal", "coreset.brief.case_status")
"""Modules of the router and the first page, in the order in which the router asks for them."""


def warm() -> None:
    """Load what the first page needs and open the first case; whoever asks for either meanwhile waits for it."""
    for name in NEEDED:
        import_module(name)
    if (engine := own_engine()) is not None:
        engine.warm()
    import_module("coreset.web.session").ready()
    fill_stack_cache()


@asynccontextmanager
async def warmed(_app: Any) -> AsyncIterator[None]:
    """Begin once the server listens; let go of the book once it is stopped."""
    shorten_thread_turns()
    asyncio.get_running_loop().call_later(AFTER_S, Thread(target=warm, name="warm", daemon=True).start)
    yield
    await run_in_threadpool(import_module("coreset.web.opened").close)
    if (engine := own_engine()) is not None:
        engine.close()


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
