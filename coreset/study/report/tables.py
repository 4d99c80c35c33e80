"""Tables on studies: elements, allowances, time balance, units, figures of a series, fits, tests, odd readings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import Case
from coreset.report.numbers import ends, number
from coreset.rounding import fixed
from coreset.sources import sources
from coreset.study import sample_size
from coreset.study.comparison import Compared, ValueWithInterval
from coreset.study.descriptive import Described
from coreset.study.distribution_fit import DistributionFit
from coreset.study.report.sentences import MOST_LISTED, family_name
from coreset.study.run_order import Ordered
from coreset.study.series import Series
from coreset.study.standard import Standard
from coreset.study.unit_conversion import units
from coreset.text import message, say

Row = dict[str, Any]
UNIT_DIGITS = {"mold": 1, "core": 1, "castings_100": 0, "work_100": 2, "shift": 0}


def head(name: str) -> str:
    """Head of a column."""
    return say(f"study.table.{name}")


def elements(row: Standard) -> list[Row]:
    """Elements of a standard, for one mold."""
    return [
        {
            head("element"): e.element,
            head("kind"): head("occasional") if e.occasional else head(e.kind),
            head("readings"): str(e.readings),
            head("mean"): fixed(e.mean_s, 2),
            head("cv"): fixed(100 * e.sd_s / e.mean_s, 0) if e.mean_s > 0 else "–",
            head("rating"): fixed(e.rating_pct, 1),
            head("per_mold"): fixed(e.per_mold, 3).rstrip("0").rstrip("."),
            head("normal"): fixed(e.normal_s, 2),
            head("allowance"): fixed(e.allowance_pct, 1),
            head("standard"): fixed(e.standard_s, 2),
            head("interval"): ends(e.standard_low_s, e.standard_high_s, digits=1),
            head("needed"): number(e.readings_needed) if e.readings_needed else "–",
        }
        for e in row.elements
    ]


def standards(rows: Iterable[Standard]) -> list[Row]:
    """Every standard in a row."""
    return [
        {
            head("pattern"): row.pattern,
            head("method"): row.method,
            head("study"): row.study or "–",
            head("readings"): str(row.cycles),
            head("standard"): fixed(row.standard_s, 1),
            head("interval"): ends(row.standard_low_s, row.standard_high_s, digits=1),
            head("allowance"): fixed(row.allowance_pct, 1),
        }
        for row in rows
    ]


def allowances(row: Standard) -> list[Row]:
    """Lines of the allowance with cause, percent and source."""
    found = [
        {
            head("cause"): f"{line.cause}, {line.condition}" if line.condition else message(line.cause),
            head("percent"): fixed(line.percent, 1),
            head("source"): _source(line),
        }
        for line in row.allowance_lines
    ]
    return [*found, {head("cause"): head("total"), head("percent"): fixed(row.allowance_pct, 1), head("source"): ""}]


def _source(line: Any) -> str:
    known = sources().get(line.source)
    if known is None:
        return line.source or head("own")
    name = f"{known.publisher or known.authors} {known.year}"
    return f"{name} ({say(f'front.status.{line.status}')})" if line.status else name


def balance(row: Standard) -> list[Row]:
    """The time balance, its parts in seconds and as a share of the elapsed time."""
    b = row.balance
    if b is None:
        return []
    parts = {
        "elapsed": b.elapsed_s, "check": b.check_s, "effective": b.effective_s, "missed": b.missed_s,
        "failed": b.failed_s, "excluded": b.excluded_s, "ineffective": b.ineffective_s, "unaccounted": b.unaccounted_s,
    }  # fmt: skip
    return [
        {
            head("what"): say(f"study.standard.{name}"),
            head("seconds"): number(seconds, 1),
            head("share"): fixed(100 * seconds / b.elapsed_s, 1) if b.elapsed_s else "–",
        }
        for name, seconds in parts.items()
    ]


def in_units(case: Case, row: Standard) -> list[Row]:
    """The standard in other units."""
    return [
        {
            head("unit"): say(f"study.unit.{u.unit}"),
            head("value"): number(u.value, digits=UNIT_DIGITS[u.unit]),
            head("interval").partition(",")[0]: ends(u.low, u.high, digits=UNIT_DIGITS[u.unit]),
        }
        for u in units(case, row)
    ]


def described(found: Described) -> list[Row]:
    """Mean, scatter and quantiles with their intervals."""
    rows = [
        ("mean_name", found.mean, found.mean_interval),
        ("sd_name", found.sd, found.sd_interval),
    ]
    lines = [_measure(head(name), value, *interval) for name, value, interval in rows]
    lines.append(_measure(f"{head('cv_name')}, %", 100 * found.cv, *(100 * end for end in found.cv_interval)))
    lines += [_measure(say("study.table.q", q=fixed(100 * q)), *values) for q, values in found.quantiles.items()]
    return lines


def _measure(name: str, value: float, low: float, high: float) -> Row:
    return {
        head("measure"): name,
        head("value"): fixed(value, 2),
        head("interval").partition(",")[0]: ends(low, high, digits=2),
    }


def shapes(found: Sequence[DistributionFit]) -> list[Row]:
    """Fitted shapes, best first."""
    return [
        {
            head("fit"): family_name(fit),
            head("weight"): fixed(fit.weight, 2),
            head("p_value"): fixed(fit.p_value, 3),
            head("distance"): f"{fixed(100 * fit.distance, 1)} %",
            head("median"): fixed(fit.quantiles[0.50], 1),
            head("p90"): fixed(fit.quantiles[0.90], 1),
            head("p95"): fixed(fit.quantiles[0.95], 1),
        }
        for fit in found
    ]


def tests(found: Ordered) -> list[Row]:
    """The tests behind the sentences on the order."""
    rows = [("test_runs", found.runs), ("test_trend", found.trend)]
    lines = [
        {
            say("study.order.test"): say(f"study.order.{name}"),
            say("study.order.value"): number(test.statistic, 3),
            say("study.order.p"): fixed(test.p, 3),
            say("study.order.speaks"): say("study.order.yes" if test.speaks else "study.order.no"),
        }
        for name, test in rows
    ]
    lag = dict.fromkeys(lines[0], "")
    lag |= {say("study.order.test"): say("study.order.test_lag"), say("study.order.value"): number(found.lag_one, 3)}
    return [*lines, lag]


def forms(series: Series) -> list[Row]:
    """Readings needed by each form, with what it takes for granted."""
    x = series.kept
    mean, sd = float(x.mean()), float(x.std(ddof=1))
    values = {
        "z": math.ceil(sample_size.by_z(mean, sd, share=sample_size.PRECISION)),
        "t": sample_size.by_t(mean, sd),
        "effective": sample_size.needed(x),
        "root": math.ceil(sample_size.by_root(x)),
    }
    return [
        {
            say("study.needed.form"): say(f"study.needed.by_{name}"),
            say("study.needed.count"): number(value),
            say("study.needed.how"): say(f"study.needed.how_{name}"),
        }
        for name, value in values.items()
    ]


def odd(series: Series) -> list[Row]:
    """Readings that look odd or were set aside, the first of them."""
    listed = [
        {
            say("study.odd.cycle"): str(cycle),
            say("study.odd.seconds"): fixed(seconds, 2),
            say("study.odd.state"): say("study.odd.state_odd" if used else "study.odd.state_excluded"),
        }
        for cycle, seconds, used, flag in zip(series.cycle, series.seconds, series.used, series.odd, strict=True)
        if flag or not used
    ]
    return listed[:MOST_LISTED]


def compared(found: Compared) -> list[Row]:
    """Figures of a comparison with their intervals."""
    rows: dict[str, tuple[ValueWithInterval, int]] = {
        "mean_difference": (found.mean_difference, 1), "mean_ratio": (found.mean_ratio, 2),
        "p90_difference": (found.p90_difference, 1), "p90_ratio": (found.p90_ratio, 2),
        "chance": (found.chance_faster, 2),
    }  # fmt: skip
    lines = [
        {head("figure"): say(f"study.compared.{name}"), head("value"): number(f.value, digits),
         head("interval").partition(",")[0]: ends(f.low, f.high, digits=digits)}
        for name, (f, digits) in rows.items()
    ]  # fmt: skip
    p = {"welch": found.welch_p, "rank": found.rank_p, "spread": found.spread_p}
    return lines + [
        {head("figure"): say(f"study.compared.{name}"), head("value"): fixed(value, 4),
         head("interval").partition(",")[0]: ""}
        for name, value in p.items()
    ]  # fmt: skip
