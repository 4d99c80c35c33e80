"""Who calculates: processes of this machine, or a Dask scheduler; whoever asks waits and is told how far it is."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from concurrent.futures import BrokenExecutor, CancelledError, Executor, wait
from functools import partial
from threading import Lock
from typing import Any

from coreset.case import Case
from coreset.engine import stored
from coreset.engine.processes import pool_of
from coreset.errors import CoresetError
from coreset.number_text import whole

POLL_S = 0.1
"""How often whoever waits is told how far it is. [s]"""
TRIAL_S = 0.5
"""How long a trial waits for its answer: who is busy for longer is there. [s]"""
ATTEMPTS = 3
"""Times that a calculation is begun whose process was ended from outside."""
NICE = 10
"""How far the processes stand back: a press on a clock comes first."""
CLUSTER = ("tcp://", "tls://")
MOST = 64
VARIABLE = "CORESET_ENGINE"
"""Environment variable that says who calculates, as `Engine` takes it; without it the server's own process does."""
HERE = "0"
"""Value of it that asks the same: no process more, for a machine that is short of memory."""


Running = tuple[Executor, Callable[[], object], Callable[[], object]]
"""Who calculates, what ends it, and what raises an error if it lacks something while it gives no answer."""


class NobodyWaits(Exception):
    """Nobody waits for it any more."""


class Engine:
    """Processes or a cluster that assess cases.

    Parameters
    ----------
    where : str
        Number of processes; one less than the processors, 1 to 4, if empty. Else the address of a Dask scheduler,
        `tcp://host:port` or `tls://host:port`, in a network of the plant alone: whoever reaches it can run programs.

    Raises
    ------
    CoresetError
        If it is neither.
    """

    def __init__(self, where: str = "") -> None:
        self._where, self._lock = where, Lock()
        self._executor: Executor | None = None
        self._end: Callable[[], object]
        self._refuse_silent: Callable[[], object]
        self.workers = 0
        if not where.startswith(CLUSTER):
            self.workers = _count(where)

    def assess(self, case: Case, *, progress: Callable[[str, float], None], **options: Any) -> Any:
        """What follows from a case, from its file where it was calculated before.

        Parameters
        ----------
        case : Case
        progress : callable
            Told stage and share; if it raises NobodyWaits, a calculation that is not begun yet is not begun.
        options
            As `coreset.assess.assess` takes them.

        Raises
        ------
        CoresetError
            If the calculation refuses, its process was ended every time, or the cluster cannot be reached.
        """
        from coreset.engine.packed import unpacked  # not with the server: it loads the array library

        key = stored.key_of(case, options)
        data = stored.read(key)
        if data is not None:
            try:
                return unpacked(data)
            except ValueError:
                stored.LOG.warning("stored result is damaged: calculated again")
        try:
            data = self._lasting(lambda executor: _waited(executor, key, case, options, progress))
        finally:
            stored.no_more_to_tell(key)
        stored.write(key, data)
        return unpacked(data)

    def answer(self, case: Case, *, day: str = "") -> Any:
        """The verdict of a case that is being changed, as `coreset.assess.answered`; it is not stored.

        Raises
        ------
        CoresetError
            As `assess`.
        """
        from coreset.engine.packed import unpacked

        return unpacked(self._lasting(lambda executor: executor.submit(calculate_answer, case, day).result()))

    def refuse_unanswered(self) -> None:
        """Nothing, if a case could be calculated now or after those that are under way.

        Raises
        ------
        CoresetError
            If every process that is started ends, or the cluster cannot be reached or has no worker.
        OSError
            If the machine starts no process.
        """
        self._lasting(self._tried)

    def _tried(self, executor: Executor) -> bytes:
        trial = executor.submit(int)
        if wait([trial], timeout=TRIAL_S).done:
            trial.result()
        else:
            trial.cancel()
            self._refuse_silent()
        return b""

    def _lasting(self, work: Callable[[Executor], bytes]) -> bytes:
        """What `work` gets from the processes, begun again where one of them was ended meanwhile."""
        for _ in range(ATTEMPTS):
            executor = self._running()
            try:
                return work(executor)
            except (BrokenExecutor, CancelledError):
                stored.LOG.warning("a process that calculated was ended: begun again")
                self._drop(executor)
        raise CoresetError(f"calculation must end, but its process was ended {ATTEMPTS} times: is memory short?")

    def _running(self) -> Executor:
        with self._lock:
            if self._executor is None:
                found = _processes(self.workers) if self.workers else _cluster(self._where)
                self._executor, self._end, self._refuse_silent = found
            return self._executor

    def _drop(self, executor: Executor) -> None:
        """End what calculates, unless somebody else did so already."""
        with self._lock:
            if self._executor is not executor:
                return
            self._executor, end = None, self._end
        end()

    def warm(self) -> None:
        """Start the processes, so that the first who asks does not wait for that."""
        if self.workers:
            self._running().submit(int)

    def close(self) -> None:
        """Let the processes go; what is under way ends first."""
        if self._executor is not None:
            self._drop(self._executor)


def _count(where: str) -> int:
    """Number of processes."""
    try:
        found = whole(where) if where else min(4, max(1, (os.cpu_count() or 1) - 1))
    except ValueError:
        found = 0
    if not 1 <= found <= MOST:
        raise CoresetError(f"engine must be 1 to {MOST} processes or the address of a scheduler, got {where[:80]!r}")
    return found


def _waited(
    executor: Executor, key: str, case: Case, options: Mapping[str, Any], progress: Callable[[str, float], None]
) -> bytes:
    future = executor.submit(calculate, key, case, dict(options))
    while not wait([future], timeout=POLL_S).done:
        try:
            progress(*(stored.told(key) or ("standards", 0.0)))
        except NobodyWaits:  # what is begun ends, and is stored for whoever asks next
            if future.cancel():
                raise
    return future.result()


def calculate(key: str, case: Case, options: Mapping[str, Any]) -> bytes:
    """Assess a case, all its parts, and pack the result; runs in a process of its own, or on another machine.

    Parameters
    ----------
    key : str
        Name of the result's file, from the content of what it follows from; progress is left under it.
    case : Case
        The case.
    options : mapping
        Further arguments of `assess`, by name.

    Returns
    -------
    bytes
        The assessment as `packed` writes it.
    """
    from coreset.assess import assess
    from coreset.engine.packed import packed

    return packed(assess(case, progress=lambda stage, share: stored.tell(key, stage, share), **options).complete())


def calculate_answer(case: Case, day: str) -> bytes:
    """Carry a case to its verdict and pack it; the process that assessed it has most of it already."""
    from coreset.assess import answered
    from coreset.engine.packed import packed

    found = answered(case, day=day)
    if found.money is not None:
        found.verdict  # noqa: B018 (what it rests on is worked out here, and is packed)
    return packed(found)


def _processes(count: int) -> Running:
    pool = pool_of(count, nice=NICE)
    return pool, partial(pool.shutdown, wait=False, cancel_futures=True), lambda: None


def _cluster(address: str) -> Running:
    try:
        from distributed import Client
    except ImportError as error:
        raise CoresetError("a cluster needs Dask: install coreset[cluster]") from error
    try:
        client = Client(address, set_as_default=False)
        return client.get_executor(), client.close, partial(_refuse_idle, client)  # its futures end with the client
    except (OSError, ValueError) as error:
        raise CoresetError(f"scheduler must be reachable, got no answer from {address[:80]!r}") from error


def _refuse_idle(client: Any) -> None:
    """Nothing, if the scheduler of a client answers and has a worker."""
    try:
        workers = client.scheduler_info()["workers"]
    except (OSError, ValueError, KeyError) as error:  # a client that gave up has no information at all
        raise CoresetError("scheduler must be reachable, got no answer") from error
    if not workers:
        raise CoresetError("scheduler must have a worker, got none")
