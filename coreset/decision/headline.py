"""The verdict as every output says it: sentence, lines, JSON, figures. In: an assessment. Out: words."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from coreset.decision import sentences
from coreset.decision.constraints import on_setter
from coreset.decision.exposure import MEASURES, ExposureChange
from coreset.decision.people_words import must_do
from coreset.decision.verdict import NOT_FEASIBLE
from coreset.money.irr import irr_roots
from coreset.money.report.names import payback_range, payback_value
from coreset.report.blocks import FigureBlock
from coreset.report.numbers import SPACE, between, borne, number, percent, styled
from coreset.text import say


def decision(assessment: Any) -> str:
    """What to do, in one sentence of at most 25 words.

    Parameters
    ----------
    assessment : Assessment
        The whole job; `money` None where no price is known.

    Returns
    -------
    str
        Plain text in the style of the case.
    """
    return _plain(sentences.first_sentence(assessment.verdict, assessment), assessment)


def lines(assessment: Any) -> list[str]:
    """At most five lines that carry the sentence, in the style of the case."""
    return [_plain(line, assessment) for line in sentences.lines(assessment.verdict, assessment)]


def _plain(text: str, assessment: Any) -> str:
    return styled(text, assessment.case).replace(SPACE, " ")


def as_document(assessment: Any) -> dict[str, Any]:
    """The verdict with fixed keys, its words as every output says them; `constraints` with statuses and chances."""
    v = assessment.verdict
    made = (sentences.because, sentences.conditions, must_do, sentences.not_proven)
    words = {one.__name__: [_plain(line, assessment) for line in one(v, assessment)] for one in made}
    return {
        "verdict": v.level,
        "option": v.option.name if v.option else None,
        "patterns": list(v.option.patterns) if v.option else [],
        "methods": list(v.option.methods) if v.option else [],
        "sentence": _plain(sentences.first_sentence(v, assessment), assessment),
        "lines": [_plain(line, assessment) for line in sentences.lines(v, assessment)],
        **words,
        "next_measurement": _plain(sentences.next_measurement(v, assessment), assessment),
        "constraints": [_constraint(row) for row in v.constraints],
        "load": [] if v.people is None else [_change(change) for change in (v.people.shift, *v.people.jobs)],
    }


def _change(change: ExposureChange) -> dict[str, Any]:
    """Load before and after, of a pattern or of the mean shift (null); a value is null where unknown or RWL is 0."""
    sides = {
        name: {each: _finite(getattr(side, each)) for each in MEASURES}
        for name, side in (("before", change.before), ("after", change.after))
    }
    return {"pattern": change.pattern or None, **sides, "verdict": {each: change.verdict(each) for each in MEASURES}}


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _constraint(row: Any) -> dict[str, Any]:
    found = {"key": row.key, "status": row.status, "hard": row.hard, "of": list(row.of), "why": list(row.why)}
    return found | {"chance": _finite(row.chance), "proof": row.proof or None}


def figures(assessment: Any) -> tuple[FigureBlock, ...]:
    """The four figures of page one: first cost, yearly saving, payback, net present value."""
    money, currency = assessment.money, assessment.case.currency
    if money is None:
        return ()
    v = assessment.verdict
    option, saving, worth = v.option, v.option.saving, v.option.npv
    masks = len(on_setter(assessment.case, option))
    ends = {
        "first_cost": say("brief.figure.one_mask" if masks == 1 else "brief.figure.masks", count=masks),
        "saving": say("brief.figure.likely", ends=between(saving.low, saving.high)),
        "payback": payback_range(option.payback) + _irr(option),
        "npv": say(
            "brief.figure.npv_ends",
            ends=between(worth.low, worth.high),
            years=money.years,
            rate=percent(money.discount_rate),
        )
        + _mean(option, money),
    }
    values = {
        "first_cost": _amount(option.first_cost, currency),
        "saving": f"{borne(option.yearly_saving, saving.low, saving.high)} {currency}",
        "payback": _years(option),
        "npv": f"{borne(option.base_npv, worth.low, worth.high)} {currency}",
    }
    case = assessment.case
    key = "brief.figure.if_allowed" if v.level == NOT_FEASIBLE else "brief.figure.plain"
    return tuple(
        FigureBlock(
            what=say(key, what=say(f"brief.figure.{name}")),
            value=styled(value, case),
            interval=styled(ends[name], case),
        )
        for name, value in values.items()
    )


def _mean(option: Any, money: Any) -> str:
    """Mean net present value of the runs, where it is printed otherwise than that of the base case."""
    worth = option.npv
    mean, base = (borne(value, worth.low, worth.high) for value in (worth.mean, option.base_npv))
    return say("brief.figure.npv_mean", mean=mean) if mean != base else ""


def _irr(option: Any) -> str:
    """Internal rate of return of an option's base case; nothing where there is none, or more than one."""
    rates = irr_roots(np.asarray(option.flow))
    return say("brief.figure.irr", irr=percent(rates[0])) if len(rates) == 1 else ""


def _amount(value: float, currency: str) -> str:
    digits = 2 - max(0, math.floor(math.log10(max(abs(value), 1.0))))
    return f"{number(value, min(0, digits))} {currency}"


def _years(option: Any) -> str:
    if not math.isfinite(option.payback_years):
        return say("front.number.never")
    return say("brief.figure.years", value=payback_value(option.payback_years, option.payback))
