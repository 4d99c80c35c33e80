"""Several cases assessed at once, by processes of this machine or a cluster, each told how far it is."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any

import typer

from coreset.cli.progress import watched
from coreset.engine import Engine
from coreset.errors import CoresetError
from coreset.text import say

REFUSED = 2
"""Exit status where a case was refused."""
WAITING = 32
"""Cases that are waited for at once, however many there are: each that has ended takes memory until it is used."""


def assessed(
    cases: Mapping[str, Callable[[], Any]],
    use: Callable[[str, Any], Any],
    *,
    engine: str,
    quiet: bool,
    refused: dict[str, str] | None = None,
    **options: Any,
) -> dict[str, Any]:
    """What `use` makes of the assessment of each case, by name, in their order.

    Parameters
    ----------
    cases : mapping
        What reads each case, by name: not all are held at once.
    use : callable
        Takes name and assessment, in any order of the cases, several at a time.
    engine : str
        As `Engine` takes it; one process a processor if empty.
    refused : dict, optional
        Takes the reason of each case that is refused; without it the first refusal is raised.
    options
        As `coreset.assess.assess` takes them.
    """
    if not cases:
        return {}
    running = Engine(engine or str(min(len(cases), os.cpu_count() or 1)))
    shares = dict.fromkeys(cases, 0.0)
    with watched(quiet=quiet) as told, ThreadPoolExecutor(min(WAITING, len(cases))) as pool:

        def one(name: str) -> Any:
            def far(stage: str, share: float) -> None:
                shares[name] = share
                told(sum(shares.values()) / len(shares), f"{name}: {say(f'cli.stage.{stage}')}")

            try:
                return use(name, running.assess(cases[name](), progress=far, **options))
            except CoresetError as error:
                if refused is None:
                    raise
                refused[name] = str(error)
            finally:
                shares[name] = 1.0

        try:
            made = dict(zip(cases, pool.map(one, cases), strict=True))
            return {name: value for name, value in made.items() if name not in (refused or {})}
        finally:
            running.close()


def print_all(book: str, *, engine: str, as_json: bool, quiet: bool, **options: Any) -> None:
    """Print the decision of every case of a database; one that is refused is told, and the others follow.

    Parameters
    ----------
    book : str
        The database; the usual one if empty.
    engine : str
        Who calculates, see `Engine`.
    as_json : bool
        One document by case instead of text.
    quiet : bool
        Whether progress is left out.
    options
        Further arguments of `assess`.

    Raises
    ------
    typer.Exit
        With code 2 if a case was refused.
    """
    from coreset.brief.document import document
    from coreset.brief.screen import wrapped
    from coreset.decision.headline import decision
    from coreset.store.book import Book, book_url

    opened = Book(book or book_url())
    refused: dict[str, str] = {}
    cases = {row.case_id: partial(opened.open, row.case_id) for row in opened.cases()}

    def words(name: str, found: Any) -> Any:
        return document(found) if as_json else wrapped(f"{name}: {decision(found)}")

    try:
        told = assessed(cases, words, refused=refused, engine=engine, quiet=quiet or as_json, **options)
    finally:
        opened.close()
    if as_json:
        typer.echo(json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        typer.echo("\n\n".join(told.values()))
    for name, reason in refused.items():
        typer.echo(f"{name}: {reason}", err=True)
    if refused:
        raise typer.Exit(REFUSED)
