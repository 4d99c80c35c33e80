"""The server's log: one JSON object a line, the libraries' own lines among them; nothing that lets somebody in."""

from __future__ import annotations

import json
import logging
import os
import re
import sys
import threading
import time
from contextvars import ContextVar
from datetime import UTC, datetime
from uuid import uuid4

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from uvicorn import config

from coreset.errors import CoresetError
from coreset.web.framework import write_logs_with
from coreset.web.guard import OWN, PERSON_CODE, RATED
from coreset.web.metrics import METRICS

VARIABLE = "CORESET_LOG_LEVEL"
"""Environment variable with the least level that is written."""
LEVELS = ("debug", "info", "warning", "error")
LOG = logging.getLogger("coreset.requests")
REQUEST: ContextVar[str] = ContextVar("request", default="")
"""ID of the request that is answered; empty where a page does something by itself."""
STANDARD = {*vars(logging.makeLogRecord({})), "message", "asctime", "taskName"}
"""What every record of the standard library has; all else was given with the event."""
SECRET = re.compile(
    r"(://[^/@\s:]*):[^/@\s]+@|\b(code|state|token|id_token|secret|password|cookie)=[^&\s\"]+", re.IGNORECASE
)
HELPER = "ignore::UserWarning:multiprocessing.resource_tracker"
"""What a helper process of the interpreter would write in plain text at each stop: that it has tidied up."""
REFUSED, FAILED = 400, 500


class JsonLine(logging.Formatter):
    """Time in UTC, level, part of the program, event, request, and whatever the event was given."""

    def format(self, record: logging.LogRecord) -> str:
        """One line; a password in an address and the values of secret parameters are replaced by ***."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "event": record.getMessage(),
            **({"request": REQUEST.get()} if REQUEST.get() else {}),
            **{name: value for name, value in vars(record).items() if name not in STANDARD},
        }
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps({name: _without_secrets(value) for name, value in line.items()}, default=str)


def _without_secrets(value: object) -> object:
    return (
        SECRET.sub(lambda m: f"{m[1]}:***@" if m[1] is not None else f"{m[2]}=***", value)
        if isinstance(value, str)
        else value
    )


class Counted(logging.Handler):
    """Count events by name and level for the metrics."""

    def emit(self, record: logging.LogRecord) -> None:
        """Count it; an event with blanks by the text before they are filled."""
        METRICS.count("coreset_events", event=str(record.msg)[:60], level=record.levelname.lower())


def level_named(default: str) -> int:
    """The level that the environment asks for.

    Raises
    ------
    CoresetError
        If there is none of that name.
    """
    name = os.environ.get(VARIABLE, "").strip().lower() or default
    if name not in LEVELS:
        raise CoresetError(f"{VARIABLE} must be one of {', '.join(LEVELS)}, got {name[:40]!r}")
    return int(getattr(logging, name.upper()))


def begin(default: str) -> None:
    """Write events to the standard error from that level on, and count the program's own; once a process."""
    root, level = logging.getLogger("coreset"), level_named(default)
    root.setLevel(level)
    if not root.handlers:
        written = logging.StreamHandler(sys.stderr)
        written.setFormatter(JsonLine())
        written.setLevel(level)
        root.handlers = [written, Counted()]
        root.propagate = False
        _take_in_libraries(written)


def _take_in_libraries(written: logging.Handler) -> None:
    """Let the framework, the web server, all other libraries and what nobody caught write the same lines."""
    logging.getLogger().addHandler(written)
    logging.captureWarnings(True)
    write_logs_with(JsonLine())
    for logger in config.LOGGING_CONFIG["loggers"].values():  # from which the web server makes its own
        logger |= {"handlers": [], "propagate": True}
    os.environ.setdefault("PYTHONWARNINGS", HELPER)
    sys.excepthook = lambda *error: LOG.error("ended", exc_info=error)
    threading.excepthook = lambda of: LOG.error(
        "thread ended", exc_info=of.exc_value and (of.exc_type, of.exc_value, of.exc_traceback)
    )


class RequestLog:
    """Give each request an ID, answered as `X-Request-Id`, and write what became of those on our routes or refused."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on; one event and one measurement for each answer."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        name, begun, status = uuid4().hex[:12], time.perf_counter(), FAILED
        token = REQUEST.set(name)

        async def noted(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = MutableHeaders(raw=list(message.get("headers", ())))
                headers["X-Request-Id"] = name
                message = {**message, "headers": headers.raw}
            elif message["type"].startswith("websocket."):
                status = 101 if message["type"] == "websocket.accept" or status == 101 else 403
            await send(message)

        try:
            await self.app(scope, receive, noted)
        finally:
            _tell(scope, status, time.perf_counter() - begun)
            REQUEST.reset(token)


def _tell(scope: Scope, status: int, took_s: float) -> None:
    """One answer, by path without its query: that may hold the code of a sign-in."""
    path, http = scope["path"], scope["type"] == "http"
    METRICS.count("coreset_requests", kind=kind_of(path), status=str(status))
    if http:
        METRICS.observe("coreset_request_seconds", took_s, kind=kind_of(path))
    if not path.startswith(RATED) and (status < REFUSED or status == 404):
        return
    level = logging.INFO if status < REFUSED else logging.WARNING if status < FAILED else logging.ERROR
    given = {
        "method": scope.get("method", "websocket"),
        "path": path[:200],
        "status": status,
        "ms": round(1000 * took_s, 1),
    }
    if code := scope.get(PERSON_CODE):
        given["code"] = code
    LOG.log(level, "answered" if status < REFUSED else "refused" if status < FAILED else "failed", extra=given)


def kind_of(path: str) -> str:
    """Kind of a request: few, so that each has a line of the metrics.

    Examples
    --------
    >>> kind_of("/api/presses"), kind_of("/api/video/a.mp4"), kind_of("/auth/login"), kind_of("/payback")
    ('presses', 'video', 'sign_in', 'page')
    """
    if path.startswith(OWN):
        return "presses" if path == f"{OWN}presses" else "video"
    return "sign_in" if path.startswith(RATED) else "page"
