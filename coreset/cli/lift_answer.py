"""What `coreset lift` answers: refusals, one lift with its working line by line, a table of lifts, lifts of one job."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from coreset.brief.say_handling import index_sentence, index_text, why_not
from coreset.brief.say_handling_crew import rule_text
from coreset.brief.text import say
from coreset.brief.working_handling import plain_number, working_of
from coreset.case import UNIT_SETS
from coreset.cli.lift_file import faults_of
from coreset.cli.watch import Track
from coreset.errors import Fault, StudyError
from coreset.handling.columns import SITUATIONS
from coreset.handling.constants import COUPLINGS, DURATIONS, constants
from coreset.handling.constants import UNIT_SETS as UNITS
from coreset.handling.duration import may_be_short
from coreset.handling.flat import Answer, answers, inside_body, variable_of_rows
from coreset.handling.rating import Posture, rate
from coreset.rounding import fixed

OPTIONS = "options of coreset lift"
FEW_ROWS = 40
BLOCK_ROWS = 500
SYMBOL_WIDTH, VALUE_WIDTH = 4, 9


def checked(row: Mapping[str, Any], situations: Sequence[str]) -> None:
    """Refuse options that are missing or cannot be, each with the likely slip."""
    missing = [name for name in ("mass", "horizontal", "vertical") if row[name] is None]
    faults = [{"column": f"--{name}", "found": "nothing", "expected": "a number"} for name in missing]
    for name, choices in (("units", UNITS), ("duration", DURATIONS), ("coupling", COUPLINGS)):
        if row[name] not in choices:
            expected = f"one of {', '.join(choices)}"
            faults.append({"column": f"--{name}", "found": repr(row[name]), "expected": expected})
    for code in situations:
        if code not in SITUATIONS:
            expected = f"one of {', '.join(SITUATIONS)}"
            faults.append({"column": "--situation", "found": repr(code), "expected": expected})
    if not faults:
        faults = [fault | {"column": f"--{fault['column']}"} for fault in faults_of(row)]
    if faults:
        raise StudyError(Fault(file=OPTIONS, **fault) for fault in faults)


def _figures(answer: Answer) -> dict[str, Any]:
    return asdict(answer) | {"why_not": why_not(answer.why_not)}


def flat(row: Mapping[str, Any], answer: Answer) -> dict[str, Any]:
    """A row with its answer, flat as in a table."""
    return {name: value for name, value in row.items() if name not in SITUATIONS} | _figures(answer)


def _posture(row: Mapping[str, Any]) -> Posture:
    return Posture(
        horizontal=row["horizontal"],
        vertical=row["vertical"],
        travel=row["travel"],
        angle_deg=row["angle"],
        frequency_per_min=row["frequency"],
        duration=row["duration"],
        coupling=row["coupling"],
        units=row["units"],
    )


def _working(row: Mapping[str, Any], by_hand: bool) -> list[Any]:
    posture = _posture(row)
    return working_of(posture, rate(posture, hand_arithmetic=by_hand), mass=row["mass"], hand_arithmetic=by_hand)


def document(row: Mapping[str, Any], answer: Answer, by_hand: bool) -> dict[str, Any]:
    """One lift answered as a document: row, answer, notes, working."""
    lines = [asdict(line) for line in _working(row, by_hand)] if answer.applies else []
    for line in lines:
        line["value"] = None if line["value"] != line["value"] else line["value"]
    notes = {"arithmetic": "by hand" if by_hand else "exact", "notes": _notes(row, answer, by_hand), "working": lines}
    return flat(row, answer) | notes


def _notes(row: Mapping[str, Any], answer: Answer, by_hand: bool) -> list[str]:
    unit, free = UNIT_SETS[row["units"]]["length"], constants(row["units"]).horizontal_free
    notes = [say("handling.lift.hand_note")] if by_hand else []
    if inside_body(row["horizontal"], row["units"]):
        notes.append(say("handling.lift.inside", free=plain_number(free), unit=unit))
    if answer.status == "memory":
        notes.append(say("handling.lift.memory"))
    if answer.li is not None and may_be_short(row["frequency"], row["duration"], units=row["units"]):
        short = answers([{**row, "duration": "short"}], hand_arithmetic=by_hand)[0]
        notes.append(say("handling.seldom.note", short=index_text(short.li)))
    return [*notes, say("handling.lift.caution")]


def _sentence(row: Mapping[str, Any], answer: Answer, by_hand: bool) -> str:
    return index_sentence(
        digits=1 if by_hand else 2,
        mass=row["mass"],
        units=row["units"],
        rwl=answer.rwl,
        li=answer.li,
        bound=answer.binding or "",
        codes=answer.why_not,
    )


def lines(row: Mapping[str, Any], answer: Answer, by_hand: bool) -> list[str]:
    """One lift answered as text: the sentence, the working, the notes."""
    lines = [_sentence(row, answer, by_hand), ""]
    if answer.applies:
        for line in _working(row, by_hand):
            digits = 1 if by_hand and line.symbol in {"RWL", "LI"} else 2 if by_hand else 4
            value = fixed(line.value, digits).rjust(VALUE_WIDTH)
            source = f"[{line.source} {line.where}, {line.status}]"
            figures = f"{line.formula} = {line.numbers}"
            lines.append(f"{line.symbol.ljust(SYMBOL_WIDTH)}{value} {line.unit.ljust(2)}  {figures}  {source}")
        lines.append("")
    return [*lines, *_notes(row, answer, by_hand)]


def rated(rows: Sequence[Mapping[str, Any]], by_hand: bool, track: Track) -> list[Answer]:
    """One answer a row, reckoned in blocks."""
    blocks = [rows[start : start + BLOCK_ROWS] for start in range(0, len(rows), BLOCK_ROWS)]
    return [one for block in track(blocks, "rate_rows") for one in answers(block, hand_arithmetic=by_hand)]


def table(rows: Sequence[Mapping[str, Any]], found: Sequence[Answer], *, by_hand: bool, as_json: bool) -> str:
    """The answers on a table as text: the first rows, how many stand where, the caution."""
    if as_json:
        return json.dumps([_figures(answer) for answer in found], ensure_ascii=False)
    lines = [
        say("handling.lift.row", number=row.get("task") or number, answer=_sentence(row, answer, by_hand))
        for number, (row, answer) in enumerate(zip(rows[:FEW_ROWS], found, strict=False), start=1)
    ]
    lines.append(say("handling.lift.summary", **_counts(found), shown=min(len(rows), FEW_ROWS)))
    return "\n".join([*lines, say("handling.lift.caution")])


def _counts(found: Sequence[Answer]) -> dict[str, int]:
    """How many rows stand where: total, above 1, above 3, without an index."""
    indices = [answer.li for answer in found if answer.li is not None]
    return {
        "total": len(found),
        "above_1": sum(li > 1 for li in indices),
        "above_3": sum(li > 3 for li in indices),
        "without": len(found) - len(indices),
    }


def together(rows: Sequence[Mapping[str, Any]], per_min: float, *, as_json: bool) -> str:
    """Lifts recorded one by one as one variable index; those not covered are left out and counted."""
    found = variable_of_rows(rows, per_min)
    left_out = len(rows) - found.rated
    one, grid = found.variable, found.gridded
    if as_json:
        return json.dumps(
            {
                "vli": one.index if one else None,
                "rule": one.rule if one else None,
                "mean_fili": one.mean_fili.tolist() if one else [],
                "share": one.share.tolist() if one else [],
                "vli_grid": grid.index if grid else None,
                "cells": found.cells,
                "rated": found.rated,
                "left_out": left_out,
            }
        )
    words = say(
        "handling.lift.together",
        vli=index_text(one.index if one else None),
        rule=rule_text(one),
        grid=index_text(grid.index if grid else None),
        cells=found.cells,
        rated=found.rated,
        left_out=left_out,
    )
    return f"{words}\n{say('handling.lift.caution')}"
