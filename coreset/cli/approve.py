"""`coreset approve`: what the decision promises is stored in the case folder, for the post-audit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from coreset.case.people import name_like
from coreset.errors import CoresetError
from coreset.text import say


def approve(
    folder: Annotated[Path, typer.Argument(help=say("cli.folder"))],
    by: Annotated[str, typer.Option("--by", help=say("cli.approve.by"))],
    replace: Annotated[bool, typer.Option("--replace", help=say("cli.approve.replace"))] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))] = False,
) -> None:
    """Store what the decision promises: figures with ranges, cash flow by item and year, inputs."""
    from coreset.assess import assess
    from coreset.case import Promise
    from coreset.cli.outputs import written
    from coreset.cli.progress import watched
    from coreset.money.promise import promise_rows
    from coreset.store.book.rows import today
    from coreset.store.folder import read
    from coreset.store.folder.writer import table_text

    case, file = read(folder), folder / "promised.csv"
    if not by.strip() or name_like(by):
        raise CoresetError(f"--by must be the code of a person, not a name, got {by!r}")
    if case.promised and not replace:
        raise CoresetError(f"{file} must not be there yet, or be replaced on purpose: --replace")
    with watched(quiet=quiet) as told:
        money = assess(case, progress=lambda stage, share: told(share, say(f"cli.stage.{stage}"))).money
    if money is None:
        raise CoresetError("a decision must have prices and a pattern timed under both methods, got none")
    written(file, table_text(Promise, promise_rows(money, by.strip(), today()), case.units).encode())
    if not quiet:
        typer.echo(say("cli.approve.done", path=file))
