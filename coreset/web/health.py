"""Whether the server is alive (/health) and could store what people do now (/ready). ASGI middleware."""

from __future__ import annotations

import asyncio
import logging
import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryFile

from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from coreset.errors import CoresetError
from coreset.web.calculation import own_engine

ALIVE, READY = "/health", "/ready"
WAIT_S = 5.0
"""Longest time that a check may take: a database that does not answer is none. [s]"""
AGAIN_S = 2.0
"""An answer holds as long, whoever asks how often. [s]"""
LEAST_FREE = 100 * 1024**2
"""Free space that each disk must have. [bytes]"""
BLOCK = 64 * 1024
LOG = logging.getLogger("coreset.health")

Checks = dict[str, Callable[[], None]]


def checks() -> Checks:
    """What must work for people to go on, by name; each raises what is wrong."""
    engine = own_engine()
    return {"database": _database, "disk": _disk} | ({"engine": engine.refuse_unanswered} if engine else {})


def _database() -> None:
    from coreset.web.opened import shared

    shared().refuse_unwritable()


def _disk() -> None:
    """A block written to each disk, and free space left on it."""
    for folder in _folders():
        with TemporaryFile(dir=folder) as file:
            file.write(bytes(BLOCK))
            os.fsync(file.fileno())
        if shutil.disk_usage(folder).free < LEAST_FREE:
            raise CoresetError(f"disk of {folder} must have {LEAST_FREE // 1024**2} MB free, got less")


def _folders() -> list[Path]:
    """Folder of the database, where it is a file, and of uploaded videos; those that are there."""
    from sqlalchemy import make_url

    from coreset.store.book import book_url
    from coreset.store.book.engine import sqlite_file
    from coreset.web.videos import upload_folder

    file = sqlite_file(make_url(book_url()))
    return [folder for folder in ((file and file.parent), upload_folder()) if folder and folder.is_dir()]


def failed(found: Checks) -> list[str]:
    """Names of the checks that fail; the reason goes to the log and to nobody who asks."""
    names = []
    for name, check in found.items():
        try:
            check()
        except (CoresetError, OSError) as error:
            LOG.warning("not ready", extra={"check": name, "reason": str(error)})
            names.append(name)
    return names


class Health:
    """Answer /health and /ready to whoever asks, under any host name; pass on all else.

    Parameters
    ----------
    app : ASGI application
    found : dict
        Checks by name.
    """

    def __init__(self, app: ASGIApp, found: Callable[[], Checks] = checks) -> None:
        self.app = app
        self._checks = found
        self._one = asyncio.Lock()
        self._until, self._failed = 0.0, ["start"]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 200, or 503 with the names of what fails."""
        path = scope["path"] if scope["type"] == "http" and scope["method"] in ("GET", "HEAD") else ""
        if path == ALIVE:
            await JSONResponse({"alive": True})(scope, receive, send)
        elif path == READY:
            names = await self._now()
            status = 503 if names else 200
            await JSONResponse({"ready": not names, "failed": names}, status_code=status)(scope, receive, send)
        else:
            await self.app(scope, receive, send)

    async def _now(self) -> list[str]:
        async with self._one:
            if time.monotonic() >= self._until:
                try:
                    self._failed = await asyncio.wait_for(asyncio.to_thread(failed, self._checks()), WAIT_S)
                except TimeoutError:
                    LOG.warning("not ready", extra={"check": "time", "reason": f"no answer within {WAIT_S} s"})
                    self._failed = ["time"]
                self._until = time.monotonic() + AGAIN_S
            return self._failed
