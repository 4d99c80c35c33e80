"""`coreset portfolio`: several cases under one budget."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from coreset.cli.typed import EngineName, number_option, whole_option
from coreset.errors import OutOfRange
from coreset.text import say


def portfolio(
    folders: Annotated[list[Path], typer.Argument(help=say("cli.portfolio.folders"))],
    budget: Annotated[float | None, number_option(say("cli.portfolio.budget"), least=0, show_default=False)] = None,
    as_json: Annotated[bool, typer.Option("--json", help=say("cli.json"))] = False,
    draws: Annotated[int, whole_option(say("cli.draws"), least=1_000, most=1_000_000)] = 100_000,
    seed: Annotated[int, whole_option(say("cli.portfolio.seed"))] = 1,
    engine: EngineName = "",
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))] = False,
) -> None:
    """Say which of several cases to fund first within one budget."""
    from coreset.cli.many import assessed
    from coreset.decision.headline import decision
    from coreset.decision.portfolio import offer
    from coreset.decision.portfolio import portfolio as choose
    from coreset.decision.portfolio_words import portfolio_document, portfolio_lines
    from coreset.store.folder import read

    names = [folder.resolve().name for folder in folders]
    if len(set(names)) != len(names):
        raise OutOfRange(f"cases must have names of their own, got {', '.join(names)}")
    cases = {name: partial(read, folder) for name, folder in zip(names, folders, strict=True)}
    found = assessed(
        cases, lambda _, one: offer(one, decision(one)), engine=engine, quiet=quiet or as_json, seed=seed, draws=draws
    )
    chosen = choose(found, budget)
    if as_json:
        typer.echo(json.dumps(portfolio_document(chosen, found), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        typer.echo("\n".join(portfolio_lines(chosen, found)))
