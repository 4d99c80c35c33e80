"""Presses on their way into the book: stored by a process of their own, so that no page in the server holds them up.

An act keeps the database while it asks a dozen questions of it, and each answer waits for the interpreter, which the
pages of the server hold by turns: so one press kept the database from all others for as long as the pages were busy.
"""

from __future__ import annotations

import asyncio
import logging
import os
from collections.abc import Sequence
from concurrent.futures import BrokenExecutor, Executor
from dataclasses import dataclass, replace
from logging.handlers import QueueHandler
from queue import SimpleQueue
from threading import Lock, Thread
from typing import Any

from starlette.concurrency import run_in_threadpool

from coreset.engine.engine import HERE, VARIABLE
from coreset.engine.processes import one_process
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.store.book.file import OpenFile
from coreset.store.book.presses import Press
from coreset.text import say
from coreset.web.sign_in.people import OBSERVE, Person

LOG = logging.getLogger("coreset.book")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sending:
    """Presses of one device on one study, and who sent them: the person and the code of who signed in, if anybody."""

    case: str
    study: str
    device: str
    presses: Sequence[Press]
    person: Person | None = None
    code: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of them: the body of the answer; or the status and key of a refusal, and its blanks."""

    body: dict[str, Any]
    status: int = 200
    key: str = ""


def store(book: Book, sent: Sending) -> Outcome:
    """Take the presses; those for a study that is signed or was removed are held apart, which is asked only then."""
    try:
        if sent.person and not sent.person.may(OBSERVE, book.plant(sent.case)):
            return Outcome(status=403, key="plant", body={"code": sent.person.code, "case": sent.case})
        return _stored(book, _signed_in(book, sent) if sent.code else sent)
    except BookError as error:
        return Outcome(status=503, key="book", body={"error": str(error)})


def _stored(book: Book, sent: Sending) -> Outcome:
    place = sent.case, sent.study
    try:
        return Outcome(body={"stored": book.take(*place, sent.device, sent.presses)})
    except BookError:
        signed = book.signed(*place)
        if not signed and book.has_study(*place):
            raise
    if not book.take_late(*place, sent.device, sent.presses):
        return Outcome(status=404, key="study", body={"case": sent.case, "study": sent.study})
    words = say("timing.late" if signed else "timing.late_removed", study=sent.study, signed=signed)
    return Outcome(body={"stored": [press.seq for press in sent.presses], "apart": words})


def _signed_in(book: Book, sent: Sending) -> Sending:
    """The presses under the code of who signed in, whatever the browser says."""
    begins = any(press.kind == "start" for press in sent.presses)
    starter = sent.code if begins else book.starter(sent.case, sent.study, sent.device)
    return replace(sent, presses=[_by(press, sent.code, starter) for press in sent.presses])


def _by(press: Press, code: str, starter: str) -> Press:
    """The start names who began; another press names its person where that is somebody else."""
    if press.kind == "start":
        return replace(press, note=f"{press.note.partition(' ')[0]} {code}")
    return press if code == starter else replace(press, note="; ".join(filter(None, (press.note, f"by {code}"))))


class Taker:
    """Stores presses in a book: by a process of its own once that is there, until then and without one by a thread.

    That is begun with the first press, where the server has processes at all. If it is ended from outside, what it had
    not acknowledged is stored by a thread and a new one is begun: what it stored already is stored once.
    """

    def __init__(self, book: Book) -> None:
        self._book, self._lock = book, Lock()
        self._process: Executor | None = None
        self._beginning = False

    async def take(self, sent: Sending) -> Outcome:
        """Store them; what the act told is told here, with the request that it belongs to."""
        process = self._process
        if process is None:
            self._begin()
        else:
            try:
                found, told = await asyncio.wrap_future(process.submit(store_there, sent))
            except (BrokenExecutor, RuntimeError):  # ended from outside, or let go with the server
                LOG.warning("the process that stores presses was ended: a thread stores them until there is another")
                self._drop(process)
            else:
                for record in told:
                    if (ours := logging.getLogger(record.name)).isEnabledFor(record.levelno):
                        ours.handle(record)
                return found
        return await run_in_threadpool(store, self._book, sent)

    def _begin(self) -> None:
        with self._lock:
            if self._beginning or self._process or os.environ.get(VARIABLE, HERE) == HERE:
                return
            self._beginning = True
        Thread(target=self._began, name="presses", daemon=True).start()

    def _began(self) -> None:
        try:
            process = one_process()
            process.submit(open_there, self._book.url, self._book.file).result()
            self._process = process
        except (OSError, RuntimeError, BookError) as error:  # the next press asks again
            LOG.warning("no process could be started that stores presses: %s", error)
        finally:
            self._beginning = False

    def _drop(self, process: Executor) -> None:
        with self._lock:
            if self._process is process:
                self._process = None
        process.shutdown(wait=False)


_THERE: list[tuple[Book, SimpleQueue[logging.LogRecord]]] = []
"""In the process that stores presses: the book, and what is told there for the log of the server."""


def open_there(url: str, file: OpenFile) -> None:
    """Open the book of the server in a process of its own: the file that the server opened, and no other."""
    told, ours = SimpleQueue[logging.LogRecord](), logging.getLogger("coreset")
    _THERE[:] = [(Book(url, file=file), told)]
    ours.setLevel(logging.INFO)
    ours.addHandler(QueueHandler(told))


def store_there(sent: Sending) -> tuple[Outcome, list[logging.LogRecord]]:
    """`store`, in a process of its own."""
    ((book, told),) = _THERE
    return store(book, sent), [told.get() for _ in range(told.qsize())]
