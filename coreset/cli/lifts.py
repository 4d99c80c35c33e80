"""`coreset lifts`: the register of all lifts of a case folder, ranked, on the screen, as JSON or as CSV."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from coreset.text import say


def lifts(
    folder: Annotated[Path, typer.Argument(help=say("cli.folder"))],
    out: Annotated[Path | None, typer.Option("--out", "-o", help=say("cli.lifts.out"))] = None,
    records: Annotated[Path | None, typer.Option(help=say("cli.lifts.records"))] = None,
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
    found = lifting_alone(case)
    rows = register(case, found.jobs, found.handling)
    if records is not None:
        _write_records(found, records)
    if out is not None:
        written(out, table(rows))
        if not quiet:
            typer.echo(say("cli.written", path=out))
    elif as_json:
        typer.echo(json.dumps(rows, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        ranked = [jobs_sentence(found.jobs) or say("handling.answer.none"), *register_lines(rows)]
        typer.echo("\n".join([*ranked, "", say("handling.lift.caution")]))


def _write_records(found: Any, folder: Path) -> None:
    """A record and a card of each job that has lifts, as PDF."""
    from coreset.brief.lift_record import card_pdf, own_lifts, record_pdf
    from coreset.case.codes import safe_name
    from coreset.cli.outputs import written

    taken: list[str] = []
    for job in (job for job in found.jobs if own_lifts(found, job)):
        taken.append(safe_name(f"{job.pattern} {job.method}", taken))
        written(folder / f"{taken[-1]} record.pdf", record_pdf(found, job))
        written(folder / f"{taken[-1]} card.pdf", card_pdf(found, job))
