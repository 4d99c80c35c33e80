"""How far long work has come, on standard error and only where somebody watches."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Told = Callable[[float, str], None]


@contextmanager
def watched(*, quiet: bool) -> Iterator[Told]:
    """A function that is told the share done and what is being done."""
    if quiet or not sys.stderr.isatty():
        yield lambda share, words: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (BarColumn(bar_width=24), TimeElapsedColumn(), TextColumn("{task.description}"))
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=1.0)
        yield lambda share, words: bar.update(task, completed=share, description=words)
