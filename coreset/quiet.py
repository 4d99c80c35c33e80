"""Keeps what a compiled library prints by itself away from standard output, which belongs to the answer."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

STDOUT, STDERR = 1, 2


@contextmanager
def off_stdout() -> Iterator[None]:
    """While it lasts, whatever reaches the file descriptor of standard output goes to standard error."""
    with suppress(OSError, ValueError):
        sys.stdout.flush()
    try:
        kept = os.dup(STDOUT)
    except OSError:
        yield
        return
    try:
        with suppress(OSError):
            os.dup2(STDERR, STDOUT)
        yield
    finally:
        os.dup2(kept, STDOUT)
        os.close(kept)
