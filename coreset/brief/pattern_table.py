"""Each pattern: how it is set under the verdict, what that saves, from which run and volume on it pays, and why not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from coreset.brief.tables import SHOWN, Rows, cut
from coreset.decision.constraints import mechanised
from coreset.decision.names import option_name
from coreset.decision.verdict import must_do
from coreset.report.numbers import borne, ends, listed, number
from coreset.text import say


def patterns(assessment: Any, *, full: bool = False) -> Rows:
    """Each pattern: by which way, seconds saved, saving a year, length of run from which it pays."""
    if assessment.money is None:
        return []
    settings = _settings(assessment)
    rows = [
        [
            row.pattern,
            settings[row.pattern],
            number(row.seconds_saved, 1),
            borne(row.saving_per_year, row.saving_low, row.saving_high, most=0),
            ends(row.saving_low, row.saving_high, most=0),
            number(row.run_molds),
            borne(row.break_even_run_molds, row.break_even_run_low, row.break_even_run_high, most=0),
        ]
        for row in _most_first(assessment.money.patterns, full)
    ]
    return rows if full else cut(rows, "patterns")


def _most_first(rows: Sequence[Any], full: bool) -> Sequence[Any]:
    """Patterns of the highest yearly saving first where not all of them are shown; else as in the case."""
    if full or len(rows) <= SHOWN["patterns"]:
        return rows
    return sorted(rows, key=lambda row: -row.saving_per_year if math.isfinite(row.saving_per_year) else math.inf)


def _settings(assessment: Any) -> dict[str, str]:
    """How each pattern is set under the verdict, in words; with the setter only if it is to be bought.

    By hand never without a remark where a lift by hand is beyond the limits.
    """
    v, case = assessment.verdict, assessment.case
    beyond = {row.pattern for row in must_do(assessment, None)}
    over = dict(zip(v.option.patterns, v.option.methods, strict=True)) if v.recommended else {}

    def setting(row: Any) -> str:
        if row.pattern in over:
            method = over[row.pattern]
            return say("brief.masked") if mechanised(case, method) else method
        key = "masked_if_bought" if row.masked and not v.recommended else "by_hand"
        return say(f"brief.{key}_beyond" if row.pattern in beyond else f"brief.{key}")

    return {row.pattern: setting(row) for row in assessment.money.patterns}


def patterns_in_full(assessment: Any) -> Rows:
    """The same of every pattern, with its volume, the volume from which it pays and why it does not go over."""
    return [
        [*row, number(one.molds_per_year), _from_volume(one), _why(one)]
        for row, one in zip(
            patterns(assessment, full=True), assessment.money.patterns if assessment.money else (), strict=True
        )
    ]


def _from_volume(row: Any) -> str:
    least, low, high = row.break_even_molds_per_year, row.break_even_year_low, row.break_even_year_high
    return f"{borne(least, low, high, most=0)} ({ends(low, high, most=0)})" if math.isfinite(least) else number(least)


def _why(row: Any) -> str:
    """Why a pattern is not of the best set, or must be."""
    if row.masked:
        return say("money.column.forced") if row.forced else ""
    return say(f"money.why_not.{row.why_not}")


def which_patterns(assessment: Any) -> str:
    """Which patterns go over and which stay, as the verdict has it: no pattern goes over to what is not bought."""
    v, money = assessment.verdict, assessment.money
    over = list(v.option.patterns if v.recommended else money.chosen or money.nearest)
    stay = [row.pattern for row in money.patterns if row.pattern not in over]
    if not over:
        said = say("money.view.nothing_chosen")
    elif v.recommended:
        option = option_name(v.option, money.candidate)
        said = say("money.view.chosen", option=option, patterns=listed(over))
    else:
        said = say("money.view.if_bought", patterns=listed(over))
    return " ".join([said, *([say("money.view.stay", patterns=listed(stay))] if stay else [])])
