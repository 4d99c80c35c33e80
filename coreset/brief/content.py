"""The brief as plain blocks, before any typesetting. In: an assessment and its pictures. Out: two pages and an annex.

Renderers (PDF, HTML) set the same blocks, so that both say the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from coreset.brief import annex, tables
from coreset.brief.alternatives import alternatives
from coreset.brief.main_working import main_working
from coreset.brief.pattern_table import patterns
from coreset.brief.pictures import CHARTED
from coreset.brief.sources_page import in_brief
from coreset.brief.sources_used import sources_used
from coreset.decision.headline import decision, figures, lines
from coreset.decision.recommendation import load_on_people, of_the_purchase, would_change
from coreset.line.report.sentences import floor
from coreset.money.report import financing
from coreset.money.report.base_figures import baseline
from coreset.report.blocks import Block, Content, heading, table, text
from coreset.report.numbers import SPACE, day, styled
from coreset.text import say

WITH_TIMES = 5
"""Patterns up to which page one has room for the table of standard times beside the one of alternatives."""
PAPER = {"metric": "a4", "us": "us-letter"}


def content(assessment: Any, pictures: Mapping[str, Any], *, full: bool = False) -> Content:
    """Everything that the brief says, in the order in which it is said.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    pictures : mapping
        Pictures by name; a block names only those that are there.
    full : bool
        Whether the annex is set as well: every study, every lift's working, every source.
    """
    case = assessment.case
    first, second = _page_one(assessment, pictures), _page_two(assessment, pictures)
    return Content(
        title=say("brief.title"),
        line=" · ".join(filter(None, [case.title, case.plant, day(case.date, case.date_style)])),
        headline=_set(decision(assessment), case),
        language="en",
        paper=PAPER[case.units],
        one=in_style(first, case),
        two=in_style(second, case),
        annex=in_style(annex.blocks(assessment), case) if full else (),
    )


def in_style(blocks: Sequence[Block], case: Any) -> tuple[Block, ...]:
    """Blocks with numbers and days as the case writes them."""
    return tuple(
        replace(
            block,
            text=_set(block.text, case),
            rows=tuple(tuple(_set(cell, case) for cell in row) for row in block.rows),
            figures=tuple(
                replace(f, what=_set(f.what, case), value=_set(f.value, case), interval=_set(f.interval, case))
                for f in block.figures
            ),
        )
        for block in blocks
    )


def _set(text: str, case: Any) -> str:
    """Text in the style of the case, no line broken before a percent sign."""
    return styled(text, case).replace(" %", f"{SPACE}%")


def _shown(pictures: Mapping[str, Any], *names: str) -> list[Block]:
    there = tuple(name for name in names if name in pictures)
    return [Block(kind="picture" if len(there) == 1 else "pair", pictures=there)] if there else []


def _page_one(assessment: Any, pictures: Mapping[str, Any]) -> list[Block]:
    found = [text(say("common.invented"))] if assessment.case.invented else []
    found += [text(line) for line in lines(assessment)]
    if assessment.money is not None:
        found += [Block(kind="figures", figures=figures(assessment))]
    found += [text(words) for words in of_the_purchase(assessment)]
    found += _shown(pictures, "cash_flow", "drivers")
    found += [heading("change"), *(text(words) for words in would_change(assessment))]
    options = table("alternatives", alternatives(assessment), currency=assessment.case.currency)
    found += options
    found += table("patterns", patterns(assessment), currency=assessment.case.currency)
    few = len(assessment.case.patterns) <= WITH_TIMES
    return found + _pairs(assessment) if few or not options else found


def _pairs(assessment: Any) -> list[Block]:
    case = assessment.case
    return table("pairs", tables.pairs(assessment), baseline=case.baseline, candidate=case.candidate)


def _page_two(assessment: Any, pictures: Mapping[str, Any]) -> list[Block]:
    case = assessment.case
    found = _shown(pictures, "mold_cycles", "worst_indices")
    if (rest := len(case.patterns) - CHARTED) > 0:
        found += [text(say("brief.charted", count=CHARTED, rest=rest))]
    found += [text(words) for words in floor(getattr(assessment, "today", None))]
    found += [text(load_on_people(assessment)), *table("handling", tables.handling(assessment))]
    found += table("main_working", main_working(assessment))
    found += [] if assessment.money is None else [text(baseline(assessment.money))]
    found += table("assumptions", tables.assumptions(assessment))
    if assessment.money is not None and financing.financed(assessment.money):
        found += [text(words) for words in financing.sentences(assessment.money)]
    read = in_brief(sources_used(assessment))
    found += [heading("limits"), text(f"{say('brief.limits')} {read}"), text(say("front.safety"))]
    return [
        *found,
        Block(kind="sign", rows=tuple((say(f"brief.sign.{who}"),) for who in ("engineer", "safety", "manager"))),
    ]
