"""Progress of long work on standard error, where somebody watches; nothing where nobody does."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from coreset.text import say

Track = Callable[[Iterable[Any], str], Iterable[Any]]


def untracked(items: Iterable[Any], _stage: str) -> Iterable[Any]:
    """The items as they are."""
    return items


@contextmanager
def tracking(*, quiet: bool) -> Iterator[Track]:
    """What passes items on and shows how many are done, stage by stage."""
    if quiet or not sys.stderr.isatty():
        yield untracked
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = TextColumn("{task.description}"), BarColumn(bar_width=24), MofNCompleteColumn(), TimeRemainingColumn()
    with Progress(*columns, console=Console(stderr=True)) as bar:
        yield lambda items, stage: bar.track(items, description=say(f"cli.stage.{stage}"))
