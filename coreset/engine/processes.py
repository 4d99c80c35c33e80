"""Processes beside the server: they do not run its page, leave Ctrl+C to it, and end with it, however it ends."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from concurrent.futures import Executor, ProcessPoolExecutor
from threading import Lock, Thread
from types import ModuleType
from typing import Any


class Pool(ProcessPoolExecutor):
    """Processes that do not run the main module of whoever asks: in a server that is the page shown last."""

    _empty, _one = ModuleType("__main__"), Lock()
    _full = False

    def fill(self) -> None:
        """Start the only process and wait for it; whoever calls later does not wait while others start theirs."""
        self.submit(int).result()
        self._full = True

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Any:
        """Start a process where one is free to start; while it starts, the main module is an empty one."""
        if self._full:
            return super().submit(fn, *args, **kwargs)
        with self._one:
            main, sys.modules["__main__"] = sys.modules["__main__"], self._empty
            try:
                return super().submit(fn, *args, **kwargs)
            finally:
                if sys.modules["__main__"] is self._empty:  # not where a page has begun meanwhile
                    sys.modules["__main__"] = main


def one_process() -> Executor:
    """A process that gives way to nobody and is there already: for short work that must not wait for the pages."""
    pool = pool_of(1, nice=0)
    pool.fill()
    return pool


def pool_of(count: int, *, nice: int) -> Pool:
    """So many processes that stand back that far: they end with the server, however it ends."""
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    if context.get_start_method() == "forkserver":
        context.set_forkserver_preload(["coreset.assess"])  # loaded once; each process shares its memory
    return Pool(count, mp_context=context, initializer=_begin, initargs=(nice,))


def _begin(nice: int) -> None:
    """In each process: stand back that far, leave Ctrl+C to the server, and end with it, however it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(nice)
    Thread(target=_end_with_server, daemon=True).start()


def _end_with_server() -> None:
    if (server := multiprocessing.parent_process()) is not None:
        server.join()
        os._exit(1)
