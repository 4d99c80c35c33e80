"""The annex of the long form: every study sheet, every lift's working at both ends, every working, every source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.brief import tables, tables_annex, workings
from coreset.brief.alternatives import alternatives_in_full
from coreset.brief.pattern_table import patterns_in_full
from coreset.brief.sources_used import SourceUsed, sources_used
from coreset.decision.people_words import load_heads, load_rows
from coreset.line.report import bridge
from coreset.money.report import financing
from coreset.money.report.alternative_working import beside
from coreset.money.report.base_figures import highest_prices, lines
from coreset.money.report.chance_working import chances
from coreset.money.report.tax_working import written_off
from coreset.money.report.working import workings as money_workings
from coreset.report.blocks import Block, heading, heads, text
from coreset.report.blocks import table as block_table
from coreset.report.working_rows import working_cells
from coreset.study.delay_study import delay_studies
from coreset.study.report.delays import delay_rows, delay_sentences
from coreset.text import message, say
from coreset.working import Working


def blocks(assessment: Any) -> list[Block]:
    """Blocks of the annex, in order."""
    found = [heading("annex"), *block_table("standards", tables.standards(assessment))]
    for row in assessment.standards:
        found += _study(assessment, row)
    found += _working(say("brief.head.pooled_working"), workings.pooled(assessment))
    delays = delay_studies(assessment.case.delays).values()
    found += block_table("delays", delay_rows(delays)) if delays else []
    found += [Block(kind="text", text=line) for line in delay_sentences(delays)]
    found += block_table("mold_cycles", tables_annex.mold_cycles(assessment))
    found += _working(say("brief.head.cycle_working"), workings.cycles(assessment))
    found += block_table("jobs", tables.jobs(assessment))
    found += block_table("load", load_rows(assessment.verdict, assessment), **load_heads(assessment))
    found += block_table("handling", tables.handling(assessment, full=True))
    for row in assessment.handling:
        found += _lift(assessment, row)
    found += _working(say("brief.head.job_working"), workings.jobs(assessment) + workings.not_lifted(assessment))
    found += block_table("line", tables.line(assessment))
    found += _bridges(assessment)
    found += _working(say("brief.head.line_working"), workings.rates(assessment))
    found += _working(say("brief.head.hold_working"), workings.hold(assessment))
    if assessment.money is not None:
        found += _money(assessment)
    found += block_table("assumptions", tables.assumptions(assessment, full=True))
    return found + block_table("sources", source_rows(sources_used(assessment)))


def _study(assessment: Any, row: Any) -> list[Block]:
    """Title, header, elements and working of one study; an estimate has no header."""
    study = next((s for s in assessment.case.studies if s.study == row.study), None)
    named = {"study": row.study, "pattern": row.pattern, "method": row.method}
    title = say("brief.estimate" if study is None else "brief.sheet", **named)
    elements = [tables_annex.element(item) for item in row.elements]
    if not elements:
        return []
    lines = workings.of_study(assessment, row)
    if study is None:
        words = say("brief.estimate_working", pattern=row.pattern, method=row.method)
        return [Block(kind="table", text=title, rows=(heads("elements"), *elements)), *_working(words, lines)]
    return [
        Block(kind="subheading", text=title),
        text(_header(study)),
        Block(kind="table", text=say("brief.sheet_elements", **named), rows=(heads("elements"), *elements)),
        *_working(say("brief.sheet_working", **named), lines),
    ]


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
    ends, found = dict(workings.of_lift(assessment, row)), []
    for end, of_end in ends.items():
        key = "brief.lift_governs" if end == row.end and len(ends) > 1 else "brief.lift_working"
        title = say(key, task=row.task, pattern=row.pattern, method=row.method, end=say(f"handling.end.{end}"))
        found += _working(title, of_end)
    return found


def _bridges(assessment: Any) -> list[Block]:
    """From the stopwatch to the schedule, a table a pattern."""
    found: list[Block] = []
    for one in getattr(assessment, "bridges", ()):
        lines = bridge.bridge_rows(one)
        cells = tuple(tuple(row.values()) for row in lines)
        table = Block(kind="table", text=say("line.bridge.title"), rows=(tuple(lines[0]), *cells))
        found += [text(bridge.answer(one)), table]
    return found


def _money(assessment: Any) -> list[Block]:
    currency = assessment.case.currency
    found = block_table("patterns_full", patterns_in_full(assessment), currency=currency)
    found += block_table("alternatives_full", alternatives_in_full(assessment), currency=currency)
    found += block_table("flow", tables.flow(assessment), currency=currency)
    for first, of_items in tables_annex.items(assessment):
        found.append(Block(kind="table", text=say("brief.head.items", currency=currency), rows=(first, *of_items)))
    found += [text(line) for line in financing.sentences(assessment.money)]
    for first, of_lines in tables_annex.own_money(assessment):
        found.append(Block(kind="table", text=say("brief.head.own_money", currency=currency), rows=(first, *of_lines)))
    found += _working(say("brief.head.money_working"), money_workings(assessment.money))
    found += map(text, highest_prices(assessment.money))
    found += block_table("break_evens", tables.break_evens(assessment))
    found += _working(say("brief.head.tax_working"), written_off(assessment.case, assessment.money))
    found += _working(say("brief.head.base_working"), lines(assessment.money))
    found += block_table("base_inputs", tables.base_inputs(assessment))
    found += _working(say("brief.head.drawn_working"), chances(assessment.money))
    found += _working(say("brief.head.beside_working"), beside(assessment.money))
    found += block_table("drivers", tables.drivers(assessment), currency=currency)
    return found + block_table("knowing", tables_annex.knowing(assessment), currency=currency)


def _working(title: str, lines: Iterable[Working]) -> list[Block]:
    """Lines of working as a table; nothing where there are none."""
    found = working_cells(lines)
    return [Block(kind="table", text=title, rows=(heads("working"), *found))] if found else []


def source_rows(found: Iterable[SourceUsed]) -> list[list[str]]:
    """Every publication that figures rest on: for what, with the status of what was used of it, and its rules."""
    return [[one.key, one.authors, one.title, one.year, _uses(one), _status(one.status), _rules(one)] for one in found]


def _uses(one: SourceUsed) -> str:
    """For what, where, and how well that was read where several uses differ."""
    several = len({use.status for use in one.used}) > 1
    words = []
    for use in one.used:
        what = (
            say("brief.used.at", what=use.what, places=", ".join(map(message, use.places))) if use.places else use.what
        )
        words.append(say("brief.used.rule", name=what, status=_status(use.status)) if several else what)
    return "; ".join(words)


def _rules(one: SourceUsed) -> str:
    rules = [say("brief.used.rule", name=name, status=_status(status)) for name, status in one.rules]
    return ", ".join(rules) or say("brief.used.none")


def _status(name: str) -> str:
    return say(f"front.status.{name}")
