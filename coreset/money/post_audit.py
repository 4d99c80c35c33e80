"""After the purchase: what was promised against what new studies and actual costs give, item by item.

In: the decision as it was taken, the same calculation on the case as it stands now, what was really paid and saved.
Out: one row an item and year. An item that nobody entered is not measured: it has no actual value, and no part in the
answer.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from coreset.case import Actual
from coreset.money.decision import Decision
from coreset.money.discount import npv, payback
from coreset.money.promise import Promised
from coreset.money.reforecast import entered_by_place, updated_flow

ROUND_OFF = 1e-9
"""Share of a sum that is rounding of the arithmetic."""
STUDIED = frozenset({"labour", "overtime", "mask_changes", "throughput", "ramp_up"})
"""Items that follow from times and rates: new studies give them where nothing was entered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRow:
    """One item promised and achieved. `kind`: figure (of the whole), cost (paid at first), year (an item of a running
    year) or total (the measured items of a year).

    `within` is None where the promise had no interval. `basis`: entered (measured); studied (no actual: what the
    studies as they are now imply); missing (neither: `achieved` is NaN); forecast (a figure of the whole life, of
    `reforecast`). `margin`: of the yearly saving, the
    share by which its low end lay below its mean. [-]
    """

    kind: str
    item: str
    promised: float
    achieved: float
    within: bool | None = None
    year: int | None = None
    basis: str = "studied"
    margin: float = 0.0

    @property
    def difference(self) -> float:
        """Achieved less promised."""
        return self.achieved - self.promised


def _within(value: float, low: float, high: float) -> bool:
    return bool(low <= value <= high)


def _year(p: Decision | Promised, a: Decision, entered: dict[tuple[int, str], float], t: int) -> list[AuditRow]:
    """Every item of one year, and the sum of those that were measured."""
    before, now = p.cash_flow[t].parts, a.cash_flow[t].parts
    names = dict.fromkeys([*before, *now, *(item for year, item in entered if year == t)])
    rows = [
        AuditRow(
            kind="year" if t else "cost",
            item=name,
            year=t,
            promised=before.get(name, 0.0),
            achieved=_actual(entered.get((t, name)), now.get(name, 0.0), name),
            basis="entered" if (t, name) in entered else "studied" if name in STUDIED else "missing",
        )
        for name in names
    ]
    return [*rows, _sum([row for row in rows if row.basis == "entered"], t)]


def _actual(entered: float | None, implied: float, item: str) -> float:
    """What was entered; else what the studies imply; else unknown."""
    if entered is not None:
        return entered
    return implied if item in STUDIED else math.nan


def _sum(measured: Iterable[AuditRow], year: int | None) -> AuditRow:
    """Measured items promised and achieved; of none the actual sum is unknown."""
    measured = tuple(measured)
    achieved = sum(row.achieved for row in measured) if measured else math.nan
    promised = sum(row.promised for row in measured)
    basis = "entered" if measured else "missing"
    return AuditRow(kind="total", item="measured", year=year, promised=promised, achieved=achieved, basis=basis)


def audit(promised: Decision | Promised, achieved: Decision, actuals: Iterable[Actual] = ()) -> tuple[AuditRow, ...]:
    """Promised against achieved; a falling short shows as a negative difference.

    Parameters
    ----------
    promised : Decision or Promised
        The decision as it was taken, or what was stored at its approval.
    achieved : Decision
        The same on the case as it stands now, with its new studies and prices.
    actuals : iterable of Actual
        What was really paid and saved, by year and item.

    Returns
    -------
    tuple of AuditRow
        Whole figures, then first costs, then the items of each year that has run: up to the last one entered, the
        first at least. Present value and payback are those of `reforecast`.
    """
    p, a, entered = promised, achieved, entered_by_place(actuals)
    run = min(max([1, *(t for t, _ in entered)]), p.years, a.years)
    rows = [row for t in range(run + 1) for row in _year(p, a, entered, t)]
    flow = updated_flow(a, entered)
    worth, back = float(npv(flow, a.discount_rate)), float(payback(flow))
    figures = [
        ("saving", p.saving_at_means, a.saving_at_means, p.yearly_saving, "studied"),
        ("npv", p.npv_at_means, worth, p.npv_spread, "forecast"),
        ("payback", p.payback_years, back, p.payback_spread, "forecast"),
        ("hours", p.hours_saved, a.hours_saved, None, "studied"),
        ("molds", p.molds_sold, a.molds_sold, None, "studied"),
    ]
    whole = [
        AuditRow(
            kind="figure",
            item=item,
            promised=before,
            achieved=now,
            within=_within(now, spread.low, spread.high) if spread else None,
            basis=basis,
            margin=max(0.0, (before - spread.low) / abs(before)) if item == "saving" and spread and before else 0.0,
        )
        for item, before, now, spread, basis in figures
    ]
    return (*whole, *rows)


def measured(rows: Iterable[AuditRow]) -> AuditRow:
    """All items that were measured, promised and achieved; first costs and running years together."""
    return _sum([row for row in rows if row.kind in ("cost", "year") and row.basis == "entered"], None)


def shortfall(rows: Iterable[AuditRow]) -> AuditRow | None:
    """The measured item that falls shortest of its promise in one year; None where none does."""
    rows = [row for row in rows if row.kind in ("cost", "year") and row.basis == "entered" and row.difference < 0]
    return min(rows, key=lambda row: row.difference, default=None)


def not_measured(rows: Iterable[AuditRow]) -> dict[int, tuple[str, ...]]:
    """Items of each year that has run for which nothing was entered."""
    items: dict[int, list[str]] = {}
    for row in rows:
        if row.kind in ("cost", "year") and row.basis != "entered" and row.year is not None:
            items.setdefault(row.year, []).append(row.item)
    return {year: tuple(names) for year, names in items.items()}


def verdict(rows: Iterable[AuditRow]) -> str:
    """What the measured items say of the promise.

    Returns
    -------
    str
        not_measured where nothing was entered; short where the measured items are worth less than was promised for
        them by more than the promised saving itself was uncertain, or any year's savings are; else kept.

    Notes
    -----
    The margin is the share by which the low end of the promised yearly saving lies below its mean: our choice, no
    source. It holds for running years only: a first cost above its promise counts in full.
    """
    rows = tuple(rows)
    if measured(rows).basis != "entered":
        return "not_measured"
    saving = next(row for row in rows if row.item == "saving")
    years = [row for row in rows if row.kind == "total" and row.basis == "entered" and row.year]
    allowed = [-abs(row.promised) * saving.margin - ROUND_OFF * abs(row.promised) for row in years]
    total = measured(rows)
    below = [row.difference < least for row, least in zip(years, allowed, strict=True)]
    return "short" if any(below) or total.difference < sum(allowed) - ROUND_OFF * abs(total.promised) else "kept"
