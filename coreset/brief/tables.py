"""Rows of the brief's tables, as text in the digits that they bear."""

from __future__ import annotations

import math
from typing import Any

from coreset.case import Money, Range, meaning
from coreset.figures.words import number as digits
from coreset.lifting.report.job_status import cells
from coreset.lifting.report.sentences import binding, worst_first
from coreset.lifting.report.status import carry_text, job_text, row_index_text, why_not
from coreset.money.figures import MODEL
from coreset.money.report.base_figures import inputs, shown_unit
from coreset.money.report.names import input_name, input_unit
from coreset.report.numbers import NONE, borne, ends, number
from coreset.text import message, say

Rows = list[list[str]]
SHOWN = {"pairs": 5, "handling": 6, "assumptions": 4, "patterns": 11}
"""Rows on the two pages; the long form has all."""


def cut(rows: Rows, name: str) -> Rows:
    """The first rows, and a row that says how many more there are."""
    most = SHOWN[name]
    if len(rows) <= most:
        return rows
    rest = [say("brief.more", count=len(rows) - most + 1), *[""] * (len(rows[0]) - 1)]
    return [*rows[: most - 1], rest]


def pairs(assessment: Any) -> Rows:
    """One row a pattern: standard time and molds an hour under both methods, and what limits the line then."""
    case = assessment.case
    times = assessment.pooled
    rates = {(row.pattern, row.method): row for row in assessment.line}
    rows = []
    for code in dict.fromkeys(pattern for pattern, _ in (*times, *rates)):
        both = [(code, case.baseline), (code, case.candidate)]
        limit = rates[both[1]].limited_by if both[1] in rates else NONE
        rows.append([code, *(_time(times.get(key)) for key in both), *(_rate(rates.get(key)) for key in both), limit])
    return cut(rows, "pairs")


def _time(row: Any) -> str:
    if row is None:
        return NONE
    value = borne(row.standard_s, row.standard_low_s, row.standard_high_s, most=1)
    return f"{value} ({ends(row.standard_low_s, row.standard_high_s)})"


def _rate(row: Any) -> str:
    return NONE if row is None else f"{borne(row.molds_per_h, row.low, row.high, most=1)} ({ends(row.low, row.high)})"


def standards(assessment: Any) -> Rows:
    """Standard time of each study."""
    return [
        [
            row.pattern,
            row.method,
            row.study,
            str(row.cycles),
            borne(row.standard_s, row.standard_low_s, row.standard_high_s, most=1),
            ends(row.standard_low_s, row.standard_high_s),
            number(row.allowance_pct, 1),
            number(row.unaccounted_pct, 1),
        ]
        for row in assessment.standards
    ]


def handling(assessment: Any, *, full: bool = False) -> Rows:
    """Lifting index of each task and of its job, the worst first; why there is none, or why it is a lower limit."""
    rows = [
        [
            row.pattern,
            row.method,
            row.task,
            per_minute(row.frequency_per_min),
            row_index_text(row),
            job_text(row.job),
            _bears_on(row),
        ]
        for row in worst_first(assessment.handling)
    ]
    return rows if full else cut(rows, "handling")


def jobs(assessment: Any) -> Rows:
    """Status of every lifting job, the worst first; none where no lift is described."""
    return [cells(job) for job in assessment.jobs] if assessment.case.lifts else []


def per_minute(value: float) -> str:
    """Lifts a minute; two decimals, and a third where there are few."""
    return number(value, 1 if value >= 1 else 2 if value >= 0.1 else 3)


def _bears_on(row: Any) -> str:
    """What binds a lift and the first condition that it does not meet, or why it has no index; then a carry too far."""
    said = [binding(row.binding)] if row.li is not None else []
    said += [why_not(codes[:1]) for codes in (row.why_not, row.at_least) if codes]
    if row.carrying is not None and row.carrying.share > 1:
        said.append(carry_text(row.carrying))
    return "; ".join(said)


def line(assessment: Any) -> Rows:
    """Molds an hour by pattern and method, and what limits them."""
    return [
        [
            row.pattern,
            row.method,
            borne(row.molds_per_h, row.low, row.high, most=1),
            ends(row.low, row.high),
            row.limited_by,
        ]
        for row in assessment.line
    ]


def assumptions(assessment: Any, *, full: bool = False) -> Rows:
    """What was entered as a range or a price, with its source; the widest that bear on the answer first."""
    case = assessment.case
    named = [(name, message(meaning(Money, name)), getattr(case.money, name)) for name in Money.__dataclass_fields__]
    found = [one for one in named if isinstance(one[2], Range) and one[2].high > 0]
    found += [
        ("molds_per_year", say("brief.input.molds_per_year", pattern=p.pattern, method=""), p.molds_per_year)
        for p in case.patterns
    ]
    rows = [
        [
            words,
            entered(value.likely),
            say("brief.known") if value.known else _entered_ends(value),
            input_unit(name, case.currency),
            _origin(value),
        ]
        for name, words, value in found
    ]
    return rows if full else cut(rows, "assumptions")


def entered(value: float) -> str:
    """A figure as somebody entered it: no digit more, no digit less."""
    digits = next((d for d in range(4) if abs(value - round(value, d)) < 1e-9), 4)
    return number(value, digits)


def three(value: float) -> str:
    """A drawn figure in three digits that count.

    Examples
    --------
    >>> three(260.186), three(20.997), three(0.07001), three(0)
    ('260', '21.0', '0.0700', '0')
    """
    if not math.isfinite(value) or value == 0:
        return number(value)
    return number(value, min(4, 2 - math.floor(math.log10(abs(value)))))


def _entered_ends(value: Range) -> str:
    return f"{entered(value.low)}–{entered(value.high)}"


def _origin(value: Range) -> str:
    return value.source or say("brief.no_origin")


def flow(assessment: Any) -> Rows:
    """Cash flow by year, plain and cumulated."""
    if assessment.money is None:
        return []
    return [
        [str(y.year), number(y.total), number(y.cumulative), number(y.discounted_cumulative)]
        for y in assessment.money.cash_flow
    ]


def drivers(assessment: Any) -> Rows:
    """Each uncertain input that moves the net present value, from low to high and the value there, the widest first."""
    money = assessment.money
    rows = sorted(money.drivers, key=lambda d: -abs(d.at_high - d.at_low)) if money is not None else []
    found = [
        [
            input_name(d.name),
            three(d.low),
            three(d.high),
            input_unit(d.name, assessment.case.currency),
            number(d.at_low, -2),
            number(d.at_high, -2),
        ]
        for d in rows
    ]
    moving = [row for row in found if row[-1] != row[-2]]
    still = len(found) - len(moving)
    return [*moving, [say("brief.unmoved", count=still), *[""] * 5]] if still else moving


def base_inputs(assessment: Any) -> Rows:
    """Each input of the base case: low, likely, high, the value used, who vouches for it or what it rests on."""
    case, money = assessment.case, assessment.money
    return [
        [
            row["label"],
            row["pattern"] or "",
            *(digits(row[name]) for name in ("low", "likely", "high", "value")),
            shown_unit(row["unit"], case.currency),
            row["source"] or say(f"brief.input_status.{row['status']}"),
        ]
        for row in inputs(case, money)
    ]


def break_evens(assessment: Any) -> Rows:
    """Each input whose change alone brings the net present value of the base case to 0, the nearest first."""
    found = [row for row in assessment.money.break_evens if math.isfinite(row.break_even)]
    return [
        [
            message(MODEL.label(row.key)),
            row.pattern,
            three(row.value),
            three(row.break_even),
            shown_unit(row.unit, assessment.case.currency),
        ]
        for row in sorted(found, key=lambda row: abs(row.break_even / row.value - 1))
    ]
