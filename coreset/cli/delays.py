"""`coreset delays`: what studies of delays found, and random times at which to look in the next shifts."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from coreset.cli.typed import whole_option
from coreset.text import say


def delays(
    folder: Annotated[Path, typer.Argument(help=say("cli.folder"))],
    looks: Annotated[int, whole_option(say("cli.delays.looks"), least=0, most=200)] = 0,
    days: Annotated[int, whole_option(say("cli.delays.days"), least=1, most=100)] = 10,
    seed: Annotated[int, whole_option(say("cli.seed"), least=0)] = 1,
    as_json: Annotated[bool, typer.Option("--json", help=say("cli.json"))] = False,
) -> None:
    """Tell contingency and delay allowances of each study, and draw times to look at."""
    from coreset.brief.document import plain
    from coreset.brief.screen import table
    from coreset.report.blocks import heads
    from coreset.store.folder import read
    from coreset.study.delay_study import delay_studies
    from coreset.study.report.delays import delay_rows, delay_sentences, look_lines
    from coreset.study.work_sampling import random_times
    from coreset.units import MIN_PER_H

    case = read(folder)
    found = delay_studies(case.delays)
    if as_json:
        minutes = int(case.line.hours_per_shift * MIN_PER_H)
        times: list[Any] = []
        if looks:
            times = [random_times(looks, minutes=minutes, seed=seed + day) for day in range(days)]
        typer.echo(json.dumps({"studies": plain(found), "minutes": plain(times)}, indent=2, allow_nan=False))
        return
    rows = delay_rows(found.values())
    lines = [table(heads("delays"), rows), *delay_sentences(found.values())] if rows else [say("study.delays.none")]
    typer.echo("\n".join([*lines, *look_lines(case, looks=looks, days=days, seed=seed)]))
