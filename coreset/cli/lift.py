"""`coreset lift`: one lift from options, with its working line by line, or a whole table of lifts.

What answers is imported when it runs, so that other commands do not wait for the array library.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from coreset.cli.typed import number_option
from coreset.cli.watch import tracking
from coreset.lifting.columns import SITUATIONS
from coreset.text import say

GIVEN = "must be given"
CONTROLLED = "must be given unless --no-control"


def lift(  # noqa: PLR0913 - one parameter an option of the command
    units: Annotated[str | None, typer.Option(help="us (lb, in) or metric (kg, cm); metric if left out")] = None,
    mass: Annotated[float | None, number_option("load L; must be given")] = None,
    horizontal: Annotated[float | None, number_option(f"H at the origin, mid-ankles to hands; {GIVEN}")] = None,
    vertical: Annotated[float | None, number_option(f"V at the origin, floor to hands; {GIVEN}")] = None,
    angle: Annotated[float | None, number_option(f"A at the origin, angle of twist in degrees; {GIVEN}")] = None,
    horizontal_destination: Annotated[float | None, number_option(f"H at the destination; {CONTROLLED}")] = None,
    vertical_destination: Annotated[float | None, number_option(f"V at the destination; {CONTROLLED}")] = None,
    angle_destination: Annotated[float | None, number_option(f"A at the destination; {CONTROLLED}")] = None,
    travel: Annotated[
        float | None, number_option("D, vertical travel; the difference of the two heights if left out")
    ] = None,
    control: Annotated[
        bool | None,
        typer.Option(
            "--control/--no-control",
            help="whether the load is regrasped, held or guided where it is set down, as a core always is, so that "
            "both ends are rated; --control if left out",
        ),
    ] = None,
    frequency: Annotated[
        float | None, number_option(f"F, lifts per minute; {GIVEN}, or --lifts-per-mold with --molds-per-h")
    ] = None,
    lifts_per_mold: Annotated[float | None, number_option("lifts for one mold, instead of --frequency")] = None,
    molds_per_h: Annotated[float | None, number_option("pace of the line, with --lifts-per-mold")] = None,
    hours: Annotated[
        float | None,
        number_option("hours of this work per shift, instead of --duration; above 8 the index is a lower limit"),
    ] = None,
    duration: Annotated[str | None, typer.Option(help="short, moderate or long; long if left out")] = None,
    coupling: Annotated[
        str | None, typer.Option(help="good, fair or poor; gloved on a fragile core is poor; poor if left out")
    ] = None,
    core_depth: Annotated[
        float | None, number_option("depth of the core front to back: no reach is advised that it does not allow")
    ] = None,
    by_hand: Annotated[bool, typer.Option("--by-hand", help="two-digit multipliers, as the manual has them")] = False,
    situation: Annotated[list[str] | None, typer.Option(help=f"outside the method: {', '.join(SITUATIONS)}")] = None,
    push_start: Annotated[
        float | None, number_option("force that starts or stops a push or pull, with a lift or alone")
    ] = None,
    push_keep: Annotated[float | None, number_option("force that keeps it moving")] = None,
    push_height: Annotated[float | None, number_option("height of the hands that push or pull")] = None,
    push_distance: Annotated[float | None, number_option("distance pushed or pulled without rest, m or ft")] = None,
    file: Annotated[
        Path | None,
        typer.Option(help="table of lifts, .csv or .xlsx, instead of one lift; needs all but the destination"),
    ] = None,
    result: Annotated[Path | None, typer.Option(help="write the answers to this .csv or .xlsx")] = None,
    together: Annotated[
        float | None, number_option("the rows are lifts of one job, so many a minute in all: rate it as one (VLI)")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON document and nothing else")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))] = False,
) -> None:
    """Check one lift, or a table of lifts, by the revised NIOSH lifting equation: index, status, what would help."""
    from coreset.cli import lift_answer, lift_file, lift_many, lift_options, lift_push, lift_together
    from coreset.lifting import lift_table

    given = {
        "units": units,
        "mass": mass,
        "horizontal": horizontal,
        "vertical": vertical,
        "travel": travel,
        "angle": angle,
        "frequency": frequency,
        "duration": duration,
        "coupling": coupling,
        "horizontal_destination": horizontal_destination,
        "vertical_destination": vertical_destination,
        "angle_destination": angle_destination,
        "core_depth": core_depth,
    }
    said = {"hours": hours, "lifts_per_mold": lifts_per_mold, "molds_per_h": molds_per_h}
    situations = [*(situation or [])]
    forces = dict(zip(lift_push.PUSH, (push_start, push_keep, push_height, push_distance), strict=True))
    lift_options.fitting(
        {**given, **said, **forces, "control": control}, situations, file, result, together, by_hand=by_hand
    )
    if file is not None:
        plain = not (as_json or by_hand or result is not None or together is not None)
        if plain and (said_at_once := lift_many.many_lifts(file, situations)) is not None:
            typer.echo(said_at_once)
            return
        with tracking(quiet=quiet or as_json) as track:
            rows = [row | dict.fromkeys(situations, True) for row in lift_file.read_lifts(file, track)]
            if together is None:
                found = lift_answer.rated(rows, by_hand, track)
                if result is not None:
                    lift_file.write_result(
                        result, [lift_answer.flat(row, answer) for row, answer in zip(rows, found, strict=True)], track
                    )
        if together is not None:
            typer.echo(lift_together.together(rows, together, as_json=as_json))
        else:
            typer.echo(lift_answer.table(rows, found, by_hand=by_hand, as_json=as_json))
        return
    push = lift_push.push_of(forces, situations, units)
    if push is not None and result is None and lift_push.alone({**given, **said, "control": control}):
        typer.echo(lift_push.answer(push, units, as_json=as_json))
        return
    situations += [lift_push.PUSHED] * (push is not None)
    given, beyond = lift_options.derived(given, **said)
    situations += beyond
    row, assumed = lift_options.completed(given, control)
    row |= dict.fromkeys(situations, True)
    answer = lift_table.answers([row], hand_arithmetic=by_hand)[0]
    if result is not None:
        lift_file.write_result(result, [lift_answer.flat(row, answer)])
    if as_json:
        document = lift_answer.document(row, answer, by_hand, assumed) | lift_push.document(push)
        typer.echo(json.dumps(document, indent=2, ensure_ascii=False))
    else:
        beside = [*lift_push.lines(push, row["units"]), *assumed]
        typer.echo("\n".join(lift_answer.lines(row, answer, by_hand, beside)))
