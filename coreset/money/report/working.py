"""The working of the money figures, line by line, to be redone with a pocket calculator."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from coreset.money.decision import Decision
from coreset.money.report.sentences import amount
from coreset.rounding import fixed
from coreset.text import say
from coreset.working import Working


def _sum(parts: dict[str, float]) -> str:
    return " ".join(
        f"{'−' if value < 0 else '+'} {say(f'money.item.{name}')} {amount(abs(value))}" for name, value in parts.items()
    )


def workings(d: Decision) -> tuple[Working, ...]:
    """Every figure of the answer with its formula and the figures put in."""
    return (*_outlay_and_year(d), *_runs(d), *_worth(d), *_back(d))


def _outlay_and_year(d: Decision) -> list[Working]:
    now, first = d.cash_flow[0], d.cash_flow[1]
    line: dict[str, Any] = {"unit": d.currency}
    return [
        Working(what=say("money.working.first_cost"), formula="Σ", numbers=_sum(now.parts), value=-now.total, **line),
        Working(
            what=say("money.working.first_year"), formula="Σ", numbers=_sum(first.parts), value=first.total, **line
        ),
    ]


def _runs(d: Decision) -> list[Working]:
    """Run length that earns the change and the mask: c/(w s - m/N), from the means; the table has the draws' middle."""
    found = []
    for row in d.patterns:
        left = row.saving_per_second * row.seconds_saved - row.mask_per_year / row.molds_per_year
        if d.grid is None or not left > 0:
            continue
        numbers = (
            f"{amount(d.grid.change_cost, digits=2)} / "
            f"({fixed(row.saving_per_second, 4)} · {fixed(row.seconds_saved, 1)} "
            f"− {amount(row.mask_per_year)} / {amount(row.molds_per_year)})"
        )
        what = say("money.working.run", pattern=row.pattern)
        found.append(
            Working(
                what=what, symbol="Q", formula="c / (w · s − m / N)", numbers=numbers, value=d.grid.change_cost / left
            )
        )
    return found


def discounted(what: str, flow: Sequence[float], value: float, d: Decision) -> Working:
    """Net present value of a flow by year, now first, term by term.

    Parameters
    ----------
    what : str
        Name of the line.
    flow : sequence of float, shape (years + 1,)
        Cash flow of each year. [currency]
    value : float
        Its net present value. [currency]
    d : Decision
        Discount rate and currency.
    """
    return Working(
        what=what,
        symbol="NPV",
        formula="Σ Cₜ/(1 + i)ᵗ",
        numbers=_terms(flow, d.discount_rate),
        value=value,
        unit=d.currency,
        where=say("money.working.convention"),
    )


def _terms(flow: Sequence[float], rate: float) -> str:
    return " ".join(
        f"{'−' if total < 0 else '+'} {amount(abs(total))}/{fixed(1 + rate, 3)}^{year}"
        for year, total in enumerate(flow)
    )


def _worth(d: Decision) -> list[Working]:
    flow = [row.total for row in d.cash_flow]
    found = [discounted(say("money.working.npv"), flow, d.npv_at_means, d)]
    found += [
        Working(
            what=say("money.working.irr"),
            symbol="IRR",
            formula="Σ Cₜ/(1 + r)ᵗ = 0",
            numbers=_terms(flow, rate),
            value=100.0 * rate,
            unit="%",
        )
        for rate in d.irr
    ]
    annuity = (
        d.npv_at_means / (d.equivalent_annual_cost_baseline - d.equivalent_annual_cost_candidate)
        if d.npv_at_means
        else math.nan
    )
    found.append(
        Working(
            what=say("money.working.annual"),
            formula="NPV / a",
            numbers=f"{amount(d.npv_at_means)} / {fixed(annuity, 4)}",
            value=d.equivalent_annual_cost_baseline - d.equivalent_annual_cost_candidate,
            unit=d.currency,
        )
    )
    return found


def interpolated(what: str, sums: Sequence[float], value: float) -> Working | None:
    """When the money is back, on the straight line within a year; None where it never is, or never was away.

    Parameters
    ----------
    what : str
        Name of the line.
    sums : sequence of float
        Flow added up by year, now first.
    value : float
        The payback. [years]
    """
    if not math.isfinite(value) or value == 0:
        return None
    last = max(t for t, total in enumerate(sums) if total < 0)
    return Working(
        what=what,
        formula="T + |ΣC_T| / (ΣC_T₊₁ − ΣC_T)",
        numbers=f"{last} + {amount(-sums[last])} / {amount(sums[last + 1] - sums[last])}",
        value=value,
        unit=say("money.working.years"),
    )


def _back(d: Decision) -> list[Working]:
    plain = [row.cumulative for row in d.cash_flow]
    discounted = [row.discounted_cumulative for row in d.cash_flow]
    found = [
        interpolated(say("money.working.payback"), plain, d.payback_years),
        interpolated(say("money.working.discounted"), discounted, d.discounted_payback_years),
    ]
    return [line for line in found if line is not None]
