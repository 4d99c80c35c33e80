"""`coreset lifts`: the register of all lifts of a case folder, ranked, on the screen, as JSON or as CSV."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from coreset.text import say


def lifts(
    folder: Annotated[Path, typer.Argument(help=say("cli.folder"))],
    out: Annotated[Path | None, typer.Option("--out", "-o", help=say("cli.lifts.out"))] = None,
    as_json: Annotated[bool, typer.Option("--json", help=say("cli.json"))] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))] = False,
) -> None:
    """Rank all lifts of a case by the status of their jobs; no price is asked, and no study where a pace is entered."""
    from coreset.assess import lifting_alone
    from coreset.brief.dataset import table
    from coreset.cli.outputs import written
    from coreset.errors import CoresetError
    from coreset.lifting.report.job_status import jobs_sentence
    from coreset.lifting.report.register import register, register_lines
    from coreset.store.folder import read

    if out is not None and out.suffix.lower() != ".csv":
        raise CoresetError(f"file must end in .csv, got {out.name!r}")
    case = read(folder)
    screened, jobs = lifting_alone(case)
    rows = register(case, jobs, screened)
    if out is not None:
        written(out, table(rows))
        if not quiet:
            typer.echo(say("cli.written", path=out))
    elif as_json:
        typer.echo(json.dumps(rows, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        typer.echo("\n".join([jobs_sentence(jobs) or say("handling.answer.none"), *register_lines(rows)]))
