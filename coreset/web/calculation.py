"""A case calculated in a thread of its own: turning the page loses nothing, who asks for the same waits for it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache, partial
from threading import Event, Lock, Thread
from typing import Any

from coreset.case import Case
from coreset.engine.engine import HERE, VARIABLE, Engine, NobodyWaits
from coreset.store.book.rows import today

POLL_S = 0.1
"""How often those that wait are told how far it is. [s]"""
LEFT_S = 2.0
"""How long it stands still before it ends where nobody waits any more: a page turned takes less. [s]"""


@cache
def engine_of(where: str) -> Engine:
    """The engine of this server: one for all its sessions."""
    return Engine(where)


def own_engine() -> Engine | None:
    """The engine that the environment names; None where the server's own process calculates."""
    where = os.environ.get(VARIABLE, HERE)
    return None if where == HERE else engine_of(where)


def assessed(found: Case, told: Callable[[str, float], None]) -> Any:
    """What follows from a case: from the engine that the environment names, else calculated in this thread."""
    if (engine := own_engine()) is not None:
        return engine.assess(found, day=today(), progress=told)
    from coreset.assess import assess  # loaded late; what fails here is told like all else

    return assess(found, day=today(), progress=told)


def answered(found: Case, *, day: str) -> Any:
    """The verdict of a case that is being changed, from whoever assesses."""
    if (engine := own_engine()) is not None:
        return engine.answer(found, day=day)
    from coreset.assess import answered as answer  # not with the frame of the page: it loads the array library

    return answer(found, day=day)


class Calculation:
    """One case on its way to the decision.

    Parameters
    ----------
    found : Case
    keep : callable
        Takes what follows from it, before those that wait are told.
    over : callable
        Told that this has ended, well or not.
    """

    def __init__(self, found: Case, *, keep: Callable[[Any], None], over: Callable[[], None]) -> None:
        self.stage, self.share = "standards", 0.0
        self.ended = Event()
        self._found, self._keep, self._over = found, keep, over
        self._result: Any = None
        self._error: BaseException | None = None
        self._lock, self._waiting, self._somebody = Lock(), 0, Event()
        Thread(target=self._run, name="calculation", daemon=True).start()

    @contextmanager
    def waited_for(self) -> Iterator[None]:
        """While it is waited for."""
        with self._lock:
            self._waiting += 1
            self._somebody.set()
        try:
            yield
        finally:
            with self._lock:
                self._waiting -= 1
                if not self._waiting:
                    self._somebody.clear()

    def result(self) -> Any:
        """What follows from the case; what was raised meanwhile is raised here."""
        if self._error is not None:
            raise self._error
        return self._result

    def _run(self) -> None:
        try:
            self._result = assessed(self._found, self._told)
            self._keep(self._result)
        except BaseException as error:  # raised again by whoever waits
            self._error = error
        finally:
            self._over()
            self.ended.set()

    def _told(self, stage: str, share: float) -> None:
        if not self._somebody.wait(LEFT_S):
            raise NobodyWaits
        self.stage, self.share = stage, share


class Results:
    """The results calculated last, by content, and those on their way; shared by the sessions of a server.

    Parameters
    ----------
    most : int
        Results kept.
    forgotten : callable
        Told the content whose results make room.
    """

    def __init__(self, most: int, forgotten: Callable[[str], None]) -> None:
        self._most, self._forgotten, self._lock = most, forgotten, Lock()
        self._known: dict[str, Any] = {}
        self._under_way: dict[str, Calculation] = {}

    def get(self, key: str) -> Any:
        """Results for a content; None where there are none yet."""
        return self._known.get(key)

    def begun(self, key: str, found: Case) -> Calculation:
        """The calculation of a content that is under way; one begun where there is none."""
        with self._lock:
            work = self._under_way.get(key)
            if work is None:
                work = Calculation(found, keep=partial(self._keep, key), over=partial(self._over, key))
                self._under_way[key] = work
            return work

    def awaited(self, key: str, found: Case, told: Callable[[str, float], None]) -> Any:
        """Results for a content once they are there; `told` hears meanwhile how far they are."""
        while True:
            work = self.begun(key, found)
            with work.waited_for():
                while not work.ended.wait(POLL_S):
                    told(work.stage, work.share)
            with suppress(NobodyWaits):
                return work.result()

    def _over(self, key: str) -> None:
        with self._lock:  # not before it stands there, however soon it ends
            del self._under_way[key]

    def _keep(self, key: str, result: Any) -> None:
        with self._lock:  # two may end at once
            self._known[key] = result
            while len(self._known) > self._most:
                oldest = next(iter(self._known))
                del self._known[oldest]
                self._forgotten(oldest)
