"""What `coreset lift` answers: refusals, one lift with its working line by line, a table of lifts."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from math import isfinite
from typing import Any

from coreset.case import UNIT_SETS
from coreset.cli.watch import Track
from coreset.lifting.columns import SITUATIONS
from coreset.lifting.constants import constants
from coreset.lifting.duration import may_be_short
from coreset.lifting.lift_end import rate
from coreset.lifting.lift_table import Answer, answers, has_destination, inside_body, postures_of
from coreset.lifting.one_lift import advised
from coreset.lifting.redesign import Change
from coreset.lifting.report.one_lift import (
    advice_sentences,
    answer_sentence,
    cost_sentence,
    first_sentence,
    near_sentence,
    status_sentence,
)
from coreset.lifting.report.status import index_text, why_not
from coreset.lifting.report.working import plain_number, working_of
from coreset.lifting.task_values import TaskAt, deepest_core
from coreset.rounding import fixed
from coreset.text import say

FEW_ROWS = 40
BLOCK_ROWS = 500
SYMBOL_WIDTH, VALUE_WIDTH = 4, 9


def _figures(answer: Answer) -> dict[str, Any]:
    return asdict(answer) | {"why_not": why_not(answer.why_not), "at_least": why_not(answer.at_least)}


def flat(row: Mapping[str, Any], answer: Answer) -> dict[str, Any]:
    """A row with its answer, flat as in a table; situations that hold as yes, so that it can be read again."""
    words = {name: "yes" if row.get(name) else "" for name in SITUATIONS}
    return {name: value for name, value in row.items() if name not in SITUATIONS} | words | _figures(answer)


def _workings(row: Mapping[str, Any], by_hand: bool) -> dict[str, list[Any]]:
    """Lines of working of each end that is rated, by its name."""
    return {
        name: working_of(posture, rate(posture, hand_arithmetic=by_hand), mass=row["mass"], hand_arithmetic=by_hand)
        for name, posture in postures_of(row, row["units"]).items()
    }


def document(row: Mapping[str, Any], answer: Answer, by_hand: bool, assumed: Sequence[str]) -> dict[str, Any]:
    """One lift answered as a document: row, answer, what was assumed, notes, working of each end.

    Parameters
    ----------
    row : mapping
        The lift, by column.
    answer : Answer
        Its answer.
    by_hand : bool
        Whether multipliers have two digits.
    assumed : sequence of str
        Sentences on what was not given.
    """
    lines = []
    if answer.applies:
        lines = [{"end": end} | asdict(line) for end, found in _workings(row, by_hand).items() for line in found]
    for line in lines:
        line["value"] = None if line["value"] != line["value"] else line["value"]
    notes = {
        "arithmetic": "by hand" if by_hand else "exact",
        "assumed": [*assumed],
        "notes": _notes(row, answer, by_hand),
    }
    return flat(row, answer) | notes | _advice(row, answer) | {"working": lines}


def _advice(row: Mapping[str, Any], answer: Answer) -> dict[str, Any]:
    """The best index that can be reached, the changes that reach 1, what the core may be; null where there is none."""
    if (found := advised(row, answer)) is None:
        return {"best_li": None, "first_change": None, "changes": [], "core_box": None}
    redesign = found.redesign
    changes = [one for one in (*redesign.singles, redesign.total) if one is not None and one.after]
    shown = [_change(found.task, one) for one in changes]
    first = _change(found.task, found.first) if found.first.after and isfinite(found.first.high) else None
    best = redesign.best.li if isfinite(redesign.best.li) else None
    return {"best_li": best, "first_change": first, "changes": shown, "core_box": asdict(found.core_box)}


def _change(task: TaskAt, one: Change) -> dict[str, Any]:
    return {"li": one.li, "li_90_pct": one.high, "after": one.after, "deepest_core": deepest_core(task, one.after)}


def _notes(row: Mapping[str, Any], answer: Answer, by_hand: bool) -> list[str]:
    unit, free = UNIT_SETS[row["units"]]["length"], constants(row["units"]).horizontal_free
    notes = [say("handling.lift.hand_note")] if by_hand else []
    reaches = [row["horizontal"], *([row["horizontal_destination"]] if has_destination(row) else [])]
    if inside_body(min(reaches), row["units"]):
        notes.append(say("handling.lift.inside", free=plain_number(free), unit=unit))
    if answer.at_least:
        notes.append(say("handling.lift.conditions", why=why_not(answer.at_least)))
    if answer.status == "memory":
        notes.append(say("handling.lift.memory"))
    if answer.li is not None and may_be_short(row["frequency"], row["duration"], units=row["units"]):
        short = answers([{**row, "duration": "short"}], hand_arithmetic=by_hand)[0]
        notes.append(say("handling.seldom.note", short=index_text(short.li)))
    return [*notes, say("handling.lift.caution")]


def lines(row: Mapping[str, Any], answer: Answer, by_hand: bool, beside: Sequence[str]) -> list[str]:
    """One lift as text: index, status, governing end, what costs most and what helps; `beside` it, working, notes.

    Parameters
    ----------
    row : mapping
        The lift, by column.
    answer : Answer
        Its answer.
    by_hand : bool
        Whether multipliers have two digits.
    beside : sequence of str
        Lines that follow the answer: a push, what was assumed.
    """
    advice = advised(row, answer)
    found = [
        answer_sentence(row, answer, digits=1 if by_hand else 2),
        status_sentence(answer),
        *_ends(row, answer),
        cost_sentence(row, answer),
        near_sentence(row, advice),
        first_sentence(row, advice),
    ]
    found = [*filter(None, found), *beside]
    workings = _workings(row, by_hand) if answer.applies else {}
    for end, working in workings.items():
        found.append("")
        if len(workings) > 1:
            found.append(say("handling.lift.at", end=say(f"handling.end.{end}")))
        found += [_line(line, by_hand) for line in working]
    more = ["", say("handling.lift.more"), *behind] if (behind := advice_sentences(row, answer, advice)) else []
    return [*found, *more, "", *_notes(row, answer, by_hand)]


def _ends(row: Mapping[str, Any], answer: Answer) -> list[str]:
    """Which end governs, with what may be lifted at each; or that one end alone was rated."""
    if not answer.applies:
        return []
    if answer.rwl_destination is None:
        return [say("handling.lift.one_end")]
    limits = [fixed(rwl, 1) for rwl in (answer.rwl_origin, answer.rwl_destination) if rwl is not None]
    words = dict(zip(("origin", "destination"), limits, strict=True)) | {"unit": UNIT_SETS[row["units"]]["mass"]}
    return [say("handling.lift.both_ends", governs=say(f"handling.end.{answer.end}"), **words)]


def _line(line: Any, by_hand: bool) -> str:
    digits = 1 if by_hand and line.symbol in {"RWL", "LI"} else 2 if by_hand else 4
    value = fixed(line.value, digits).rjust(VALUE_WIDTH)
    source = f"[{line.source} {line.where}, {line.status}]"
    figures = f"{line.formula} = {line.numbers}"
    return f"{line.symbol.ljust(SYMBOL_WIDTH)}{value} {line.unit.ljust(2)}  {figures}  {source}"


def rated(rows: Sequence[Mapping[str, Any]], by_hand: bool, track: Track) -> list[Answer]:
    """One answer a row, calculated in blocks.

    Parameters
    ----------
    rows : sequence of mapping
        Lifts, by column.
    by_hand : bool
        Whether multipliers have two digits.
    track : Track
        Shows how far it is.
    """
    blocks = [rows[start : start + BLOCK_ROWS] for start in range(0, len(rows), BLOCK_ROWS)]
    return [one for block in track(blocks, "rate_rows") for one in answers(block, hand_arithmetic=by_hand)]


def table(rows: Sequence[Mapping[str, Any]], found: Sequence[Answer], *, by_hand: bool, as_json: bool) -> str:
    """The answers on a table: as JSON in the order of its rows; as text the worst rows, counts, the caution.

    Parameters
    ----------
    rows : sequence of mapping
        Lifts, by column.
    found : sequence of Answer
        One a row.
    by_hand : bool
        Whether multipliers have two digits.
    as_json : bool
        Figures of every row instead of text.
    """
    if as_json:
        return json.dumps([_figures(answer) for answer in found], ensure_ascii=False)
    worst = sorted(range(len(rows)), key=lambda place: _rank(found[place]))[:FEW_ROWS]
    numbers = [str(rows[place].get("task") or place + 1) for place in worst]
    one_end = sum(not has_destination(row) for row in rows)
    shown = [rows[place] for place in worst], [found[place] for place in worst]
    return summary(*shown, numbers, _counts(found), one_end, by_hand=by_hand)


def _rank(answer: Answer) -> tuple[int, float]:
    """Place of a row in a list: RWL 0 first, then by falling index, what has no index last."""
    if not answer.applies:
        return 2, 0.0
    return (0, 0.0) if answer.li is None else (1, -answer.li)


def summary(
    rows: Sequence[Mapping[str, Any]],
    found: Sequence[Answer],
    numbers: Sequence[str],
    counts: Mapping[str, int],
    one_end: int,
    *,
    by_hand: bool,
) -> str:
    """The worst rows of a table, each by its name or number, and how many of all stand where; then the caution.

    Parameters
    ----------
    rows : sequence of mapping
        The worst lifts, worst first.
    found : sequence of Answer
        One a row.
    numbers : sequence of str
        Name of each, or its number in the table.
    counts : mapping
        Blanks of the summary: how many of all rows stand where.
    one_end : int
        Rows of the table without a destination.
    by_hand : bool
        Whether multipliers have two digits.
    """
    lines = [
        say("handling.lift.row", number=number, answer=answer_sentence(row, answer, digits=1 if by_hand else 2))
        for number, row, answer in zip(numbers, rows, found, strict=True)
    ]
    lines.append(say("handling.lift.summary", **counts, shown=len(rows)))
    if one_end:
        lines.append(say("handling.lift.one_end_rows", count=one_end))
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
