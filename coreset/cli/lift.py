"""`coreset lift`: one lift from options, with its working line by line, or a whole table of lifts.

What answers is imported when it runs, so that other commands do not wait for the array library.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from coreset.brief.text import say
from coreset.cli.watch import tracking
from coreset.handling.columns import SITUATIONS


def lift(  # noqa: PLR0913 - one parameter an option of the command
    units: Annotated[str, typer.Option(help="us (lb, in) or metric (kg, cm)")] = "metric",
    mass: Annotated[float | None, typer.Option(help="load L")] = None,
    horizontal: Annotated[float | None, typer.Option(help="H, mid-ankles to hands")] = None,
    vertical: Annotated[float | None, typer.Option(help="V, floor to hands")] = None,
    travel: Annotated[float, typer.Option(help="D, vertical travel")] = 0.0,
    angle: Annotated[float, typer.Option(help="A, angle of twist in degrees")] = 0.0,
    frequency: Annotated[float, typer.Option(help="F, lifts a minute")] = 0.2,
    duration: Annotated[str, typer.Option(help="short, moderate or long")] = "long",
    coupling: Annotated[str, typer.Option(help="good, fair or poor; gloved on a fragile core is poor")] = "poor",
    by_hand: Annotated[bool, typer.Option("--by-hand", help="two-digit multipliers, as the manual reckons")] = False,
    situation: Annotated[list[str] | None, typer.Option(help=f"not covered: {', '.join(SITUATIONS)}")] = None,
    file: Annotated[Path | None, typer.Option(help="table of lifts, .csv or .xlsx, instead of one lift")] = None,
    result: Annotated[Path | None, typer.Option(help="write the answers to this .csv or .xlsx")] = None,
    together: Annotated[
        float | None, typer.Option(help="the rows are lifts of one job, so many a minute in all: rate it as one (VLI)")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON document and nothing else")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))] = False,
) -> None:
    """Rate a lift, or a table of lifts, by the revised NIOSH lifting equation."""
    from coreset.cli import lift_answer, lift_file

    if file is not None:
        with tracking(quiet=quiet or as_json) as track:
            rows = lift_file.read_lifts(file, track)
            if together is None:
                found = lift_answer.rated(rows, by_hand, track)
                if result is not None:
                    lift_file.write_result(
                        result, [lift_answer.flat(row, answer) for row, answer in zip(rows, found, strict=True)], track
                    )
        if together is not None:
            typer.echo(lift_answer.together(rows, together, as_json=as_json))
        else:
            typer.echo(lift_answer.table(rows, found, by_hand=by_hand, as_json=as_json))
        return
    row = {
        "units": units,
        "mass": mass,
        "horizontal": horizontal,
        "vertical": vertical,
        "travel": travel,
        "angle": angle,
        "frequency": frequency,
        "duration": duration,
        "coupling": coupling,
    }
    lift_answer.checked(row, situation or [])
    row |= dict.fromkeys(situation or [], True)
    answer = lift_answer.answers([row], hand_arithmetic=by_hand)[0]
    if result is not None:
        lift_file.write_result(result, [lift_answer.flat(row, answer)])
    if as_json:
        typer.echo(json.dumps(lift_answer.document(row, answer, by_hand), indent=2, ensure_ascii=False))
    else:
        typer.echo("\n".join(lift_answer.lines(row, answer, by_hand)))
