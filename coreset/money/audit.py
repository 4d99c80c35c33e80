"""After the purchase: what was promised against what new studies and actual costs give, item by item.

In: the decision as it was taken, the same reckoning on the case as it stands now, what was really paid and saved. Out:
one row an item and year. What has not been entered stands as the case reckons it now, and says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from coreset.case import Actual
from coreset.money.decision import Decision
from coreset.money.discount import npv, payback

STUDIED = frozenset({"labour", "overtime", "mask_changes", "throughput", "ramp_up"})
"""Items that follow from times and rates: new studies give them where nothing was entered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRow:
    """One item promised and achieved. `kind`: figure (of the whole), cost (paid at first), year (an item of a running
    year) or total (all items of a year).

    `within` is None where the promise had no interval. `basis`: entered; studied (from the studies as they are now);
    missing (neither: as the case reckons it now).
    """

    kind: str
    item: str
    promised: float
    achieved: float
    within: bool | None = None
    year: int | None = None
    basis: str = "studied"

    @property
    def difference(self) -> float:
        """Achieved less promised."""
        return self.achieved - self.promised


def _within(value: float, low: float, high: float) -> bool:
    return bool(low <= value <= high)


def _entered(actuals: Iterable[Actual]) -> dict[tuple[int, str], float]:
    """Flow entered by year and item."""
    found: dict[tuple[int, str], float] = {}
    for row in actuals:
        found[row.year, row.item] = found.get((row.year, row.item), 0.0) + row.flow
    return found


def _year(p: Decision, a: Decision, entered: dict[tuple[int, str], float], t: int) -> list[AuditRow]:
    """Every item of one year, and their sum."""
    before, now = p.cash_flow[t].parts, a.cash_flow[t].parts
    names = dict.fromkeys([*before, *now, *(item for year, item in entered if year == t)])
    rows = [
        AuditRow(
            kind="year" if t else "cost",
            item=name,
            year=t,
            promised=before.get(name, 0.0),
            achieved=entered.get((t, name), now.get(name, 0.0)),
            basis="entered" if (t, name) in entered else "studied" if name in STUDIED else "missing",
        )
        for name in names
    ]
    known = {row.basis for row in rows}
    basis = known.pop() if len(known) == 1 else "missing" if "missing" in known else "entered"
    promised, achieved = (sum(getattr(row, side) for row in rows) for side in ("promised", "achieved"))
    return [*rows, AuditRow(kind="total", item="total", year=t, promised=promised, achieved=achieved, basis=basis)]


def audit(promised: Decision, achieved: Decision, actuals: Iterable[Actual] = ()) -> tuple[AuditRow, ...]:
    """Promised against achieved; a falling short shows as a negative difference.

    Parameters
    ----------
    promised : Decision
        The decision as it was taken.
    achieved : Decision
        The same on the case as it stands now, with its new studies and prices.
    actuals : iterable of Actual
        What was really paid and saved, by year and item.

    Returns
    -------
    tuple of AuditRow
        Whole figures, then first costs, then the items of each year that has run: up to the last one entered, the
        first at least. The present value and the payback take what was entered in place of what is reckoned.
    """
    p, a, entered = promised, achieved, _entered(actuals)
    run = min(max([1, *(t for t, _ in entered)]), p.years, a.years)
    rows = [row for t in range(run + 1) for row in _year(p, a, entered, t)]
    flow = np.array([row.total for row in a.cash_flow])
    for (t, item), value in entered.items():
        flow[t] += value - a.cash_flow[t].parts.get(item, 0.0)
    worth, back = float(npv(flow, a.discount_rate)), float(payback(flow))
    figures = [
        ("saving", p.yearly_saving.mean, a.yearly_saving.mean, p.yearly_saving, "studied"),
        ("npv", p.npv, worth, p.npv_spread, "entered" if entered else "studied"),
        ("payback", p.payback_years, back, p.payback_spread, "entered" if entered else "studied"),
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
        )
        for item, before, now, spread, basis in figures
    ]
    return (*whole, *rows)


def shortfall(rows: Iterable[AuditRow]) -> AuditRow | None:
    """The item that falls shortest of its promise in one year; None where none does."""
    found = [row for row in rows if row.kind in ("cost", "year") and row.difference < 0]
    return min(found, key=lambda row: row.difference, default=None)


def missing(rows: Iterable[AuditRow]) -> dict[int, tuple[str, ...]]:
    """Items of each year that has run for which nothing was entered and no study speaks."""
    found: dict[int, list[str]] = {}
    for row in rows:
        if row.kind in ("cost", "year") and row.basis == "missing":
            found.setdefault(row.year, []).append(row.item)
    return {year: tuple(items) for year, items in found.items()}


def judged(rows: Iterable[AuditRow]) -> AuditRow:
    """The figure by which the promise is judged: the present value once anything was entered, else the saving."""
    by_item = {row.item: row for row in rows if row.kind == "figure"}
    return by_item["npv"] if by_item["npv"].basis == "entered" else by_item["saving"]


def keeps_promise(rows: Iterable[AuditRow]) -> bool:
    """Whether the figure judged by is at or above the low end of what was promised."""
    row = judged(rows)
    return bool(row.within or row.difference >= 0 or np.isclose(row.promised, row.achieved))
