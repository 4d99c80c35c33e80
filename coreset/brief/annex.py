"""The annex of the long form: every study sheet, every lift's working at both ends, every working, every source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from coreset.brief import tables, tables_annex
from coreset.case import Range
from coreset.lifting.report.working import working_of
from coreset.lifting.screen import postures
from coreset.line.report.working import cycles, rates
from coreset.money.report.alternative_working import beside
from coreset.money.report.chance_working import chances
from coreset.money.report.working import workings
from coreset.report.blocks import Block, heading, heads, text
from coreset.report.blocks import table as block_table
from coreset.report.working_rows import rows
from coreset.sources import STATUSES, sources, table
from coreset.sources import tables as every_table
from coreset.study.report.standard_data import of_estimate
from coreset.study.report.working import of_pooled, of_standard
from coreset.text import say
from coreset.working import Working


def blocks(assessment: Any) -> list[Block]:
    """Blocks of the annex, in order."""
    found = [heading("annex"), *block_table("standards", tables.standards(assessment))]
    for row in assessment.standards:
        found += _study(assessment, row)
    found += _working(say("brief.head.pooled_working"), _pooled(assessment))
    found += block_table("mold_cycles", tables_annex.mold_cycles(assessment))
    found += _working(say("brief.head.cycle_working"), _cycles(assessment))
    found += block_table("jobs", tables.jobs(assessment))
    found += block_table("handling", tables.handling(assessment, full=True))
    for row in assessment.handling:
        found += _lift(assessment, row)
    found += block_table("line", tables.line(assessment))
    limited = [row for row in assessment.line if hasattr(row, "limits")]
    found += _working(
        say("brief.head.line_working"), rates(assessment.case, limited, seed=assessment.seed) if limited else []
    )
    if assessment.money is not None:
        found += _money(assessment)
    found += block_table("assumptions", tables.assumptions(assessment, full=True))
    return found + block_table("sources", source_rows(cited(assessment, found)))


def _cycles(assessment: Any) -> list[Working]:
    return cycles((row for row in assessment.mold_cycles if getattr(row, "steps", ())), seed=assessment.seed)


def _study(assessment: Any, row: Any) -> list[Block]:
    """Title, header, elements and working of one study; an estimate has no header."""
    study = next((s for s in assessment.case.studies if s.study == row.study), None)
    named = {"study": row.study, "pattern": row.pattern, "method": row.method}
    title = say("brief.estimate" if study is None else "brief.sheet", **named)
    elements = [tables_annex.element(item) for item in row.elements]
    if not elements:
        return []
    if study is None:
        return _estimate(assessment, row, title, elements)
    return [
        Block(kind="subheading", text=title),
        text(_header(study)),
        Block(kind="table", text=say("brief.sheet_elements", **named), rows=(heads("elements"), *elements)),
        *_working(say("brief.sheet_working", **named), of_standard(row, seed=assessment.seed)),
    ]


def _estimate(assessment: Any, row: Any, title: str, elements: Any) -> list[Block]:
    found = [Block(kind="table", text=title, rows=(heads("elements"), *elements))]
    lines = of_estimate(assessment.case, row, assessment.pooled, seed=assessment.seed)
    return found + _working(say("brief.estimate_working", pattern=row.pattern, method=row.method), lines)


def _pooled(assessment: Any) -> Iterator[Working]:
    """Standards that several studies of one pattern and method make together."""
    for row in assessment.pooled.values():
        for line in of_pooled(row, assessment.standards, seed=assessment.seed):
            yield replace(line, what=f"{row.pattern}, {line.what}")


def _header(study: Any) -> str:
    return say(
        "brief.study_header",
        observer=study.observer,
        operator=study.operator,
        date=study.date or say("common.not_known"),
        clock_in=study.clock_in or say("common.not_known"),
        clock_out=study.clock_out or say("common.not_known"),
        timing=study.timing,
        readings=len(study.readings),
        corrections=len(study.corrections),
    )


def _lift(assessment: Any, row: Any) -> list[Block]:
    """Working of both ends of one task."""
    lift = next((lift for lift in assessment.case.lifts if lift.task == row.task), None)
    if lift is None or row.rwl is None:
        return []
    ends = postures(assessment.case, lift, frequency_per_min=row.frequency_per_min, duration=row.duration)
    found: list[Block] = []
    for end, posture in ends.items():
        key = "brief.lift_governs" if end == row.end and len(ends) > 1 else "brief.lift_working"
        title = say(key, task=row.task, pattern=row.pattern, method=row.method, end=say(f"handling.end.{end}"))
        found += _working(title, working_of(posture, getattr(row, end), mass=row.mass))
    return found


def _money(assessment: Any) -> list[Block]:
    currency = assessment.case.currency
    found = block_table("patterns", tables.patterns(assessment, full=True), currency=currency)
    found += block_table("flow", tables.flow(assessment), currency=currency)
    for first, of_items in tables_annex.items(assessment):
        found.append(Block(kind="table", text=say("brief.head.items", currency=currency), rows=(first, *of_items)))
    found += _working(say("brief.head.money_working"), workings(assessment.money))
    found += _working(say("brief.head.drawn_working"), chances(assessment.money))
    found += _working(say("brief.head.beside_working"), beside(assessment.money))
    found += block_table("drivers", tables.drivers(assessment), currency=currency)
    return found + block_table("knowing", tables_annex.knowing(assessment), currency=currency)


def _working(title: str, lines: Iterable[Working]) -> list[Block]:
    """Lines of working as a table; nothing where there are none."""
    found = rows(lines)
    return [Block(kind="table", text=title, rows=(heads("working"), *found))] if found else []


def cited(assessment: Any, said: Iterable[Block] = ()) -> Iterator[str]:
    """Keys of every publication that the assessment, an input's origin or a line of working names."""
    yield from (item if isinstance(item, str) else getattr(item, "key", "") for item in assessment.sources)
    money = assessment.case.money
    ranges = (getattr(money, name) for name in type(money).__dataclass_fields__)
    words = [value.source for value in ranges if isinstance(value, Range)]
    words += [cell for block in said for row in block.rows for cell in row[-1:]]
    known = sources()
    yield from (key for text in words for key in text.replace(";", " ").replace(",", " ").split() if key in known)


def source_rows(keys: Iterable[Any]) -> list[list[str]]:
    """Every publication that figures rest on, with the weakest status of its tables; without one it is from memory.

    A table that is computed shows nothing of how its publication was read.
    """
    known = sources()
    status: dict[str, str] = {}
    order = STATUSES
    for path in every_table():
        found = table(path)
        if found.status != "computed":
            status[found.key] = max(status.get(found.key, order[0]), found.status, key=order.index)
    names = [item if isinstance(item, str) else getattr(item, "key", "") for item in keys]
    return [
        [key, known[key].authors, known[key].title, known[key].year, _status(status.get(key, order[-1]))]
        for key in dict.fromkeys(names)
        if key in known
    ]


def _status(name: str) -> str:
    return say(f"front.status.{name}")
