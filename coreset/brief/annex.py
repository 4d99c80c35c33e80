"""The annex of the long form: every study sheet, every lift's working, every source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.brief import tables
from coreset.brief.blocks import Block, heading, heads, text
from coreset.brief.blocks import table as block_table
from coreset.brief.numbers import number
from coreset.brief.text import say
from coreset.brief.working_handling import working_of
from coreset.brief.working_money import workings
from coreset.handling.screen import postures
from coreset.rounding import fixed
from coreset.sources import sources, table
from coreset.sources import tables as every_table
from coreset.working import Working

DIGITS = 4


def blocks(assessment: Any) -> list[Block]:
    """Blocks of the annex, in order."""
    found = [heading("annex")]
    found += block_table("standards", tables.standards(assessment))
    for row in assessment.standards:
        found += _study(assessment, row)
    found += block_table("handling", tables.handling(assessment, full=True))
    for row in assessment.handling:
        found += _lift(assessment, row)
    found += block_table("line", tables.line(assessment))
    found += block_table("flow", tables.flow(assessment), currency=assessment.case.currency)
    if assessment.money is not None:
        found.append(_working(say("brief.head.money_working"), workings(assessment.money)))
    found += block_table("assumptions", tables.assumptions(assessment, full=True), currency=assessment.case.currency)
    return found + block_table("sources", source_rows(assessment.sources))


def _study(assessment: Any, row: Any) -> list[Block]:
    """Header and elements of one study sheet."""
    study = next((s for s in assessment.case.studies if s.study == row.study), None)
    lines = [] if study is None else [text(_header(study))]
    elements = [_element(item) for item in row.elements]
    if elements:
        named = heads("elements")
        title = say("brief.sheet", study=row.study, pattern=row.pattern, method=row.method)
        lines.append(Block(kind="table", text=title, rows=(named, *elements)))
    return lines


def _header(study: Any) -> str:
    return say(
        "brief.study_header",
        study=study.study,
        observer=study.observer,
        operator=study.operator,
        date=study.date or say("common.not_known"),
        clock_in=study.clock_in or say("common.not_known"),
        clock_out=study.clock_out or say("common.not_known"),
        timing=study.timing,
        readings=len(study.readings),
        corrections=len(study.corrections),
    )


def _element(item: Any) -> tuple[str, ...]:
    get = item.get if isinstance(item, dict) else lambda name, other=None: getattr(item, name, other)
    cells = [str(get("element", "") or get("name", "")), str(get("kind", ""))]
    for name in ("observed_s", "rating_pct", "normal_s", "standard_s"):
        value = get(name)
        cells.append(number(value, 2 if name.endswith("_s") else 0) if isinstance(value, int | float) else "–")
    return tuple(cells)


def _lift(assessment: Any, row: Any) -> list[Block]:
    """Working of the governing end of one task."""
    lift = next((lift for lift in assessment.case.lifts if lift.task == row.task), None)
    if lift is None or row.rwl is None:
        return []
    ends = postures(assessment.case, lift, frequency_per_min=row.frequency_per_min, duration=row.duration)
    lines = working_of(ends[row.end], getattr(row, row.end), mass=row.mass)
    title = say("brief.lift_working", task=row.task, end=say(f"handling.end.{row.end}"))
    return [_working(title, lines)]


def _working(title: str, lines: Iterable[Working]) -> Block:
    """Lines of working as a table."""
    rows = [
        (
            f"{line.what}, {line.symbol}" if line.symbol else line.what,
            line.formula,
            line.numbers,
            f"{fixed(line.value, DIGITS)} {line.unit}".strip(),
            f"{line.source} {line.where}".strip(),
        )
        for line in lines
    ]
    return Block(kind="table", text=title, rows=(heads("working"), *rows))


def source_rows(keys: Any) -> list[list[str]]:
    """Every publication that figures rest on, with the weakest status of its tables."""
    known = sources()
    status: dict[str, str] = {}
    order = ("verified", "reprinted", "memory")
    for path in every_table():
        found = table(path)
        status[found.key] = max(status.get(found.key, order[0]), found.status, key=order.index)
    names = [item if isinstance(item, str) else getattr(item, "key", "") for item in keys]
    return [
        [key, known[key].authors, known[key].title, known[key].year, _status(status.get(key, ""))]
        for key in dict.fromkeys(names)
        if key in known
    ]


def _status(name: str) -> str:
    return say(f"front.status.{name}") if name else "–"
