"""After the purchase: what was promised against what new studies and actual costs give, item by item.

In: the decision as it was taken, and the same reckoning on the case as it stands now. Out: one row an item.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coreset.money.decision import Decision


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRow:
    """One item promised and achieved. `kind`: figure (of the whole), cost (paid at first) or year (of a running year).

    `within` is None where the promise had no interval.
    """

    kind: str
    item: str
    promised: float
    achieved: float
    within: bool | None = None

    @property
    def difference(self) -> float:
        """Achieved less promised."""
        return self.achieved - self.promised


def _within(value: float, low: float, high: float) -> bool:
    return bool(low <= value <= high)


def audit(promised: Decision, achieved: Decision) -> tuple[AuditRow, ...]:
    """Promised against achieved; a falling short shows as a negative difference.

    Parameters
    ----------
    promised : Decision
        The decision as it was taken.
    achieved : Decision
        The same with the new studies and actual costs.

    Returns
    -------
    tuple of AuditRow
        Whole figures, then first costs, then items of the first running year.
    """
    p, a = promised, achieved
    figures = [
        ("saving", p.yearly_saving.mean, a.yearly_saving.mean, p.yearly_saving),
        ("npv", p.npv, a.npv, p.npv_spread),
        ("payback", p.payback_years, a.payback_years, p.payback_spread),
        ("hours", p.hours_saved, a.hours_saved, None),
        ("molds", p.molds_sold, a.molds_sold, None),
    ]
    rows = [
        AuditRow(
            kind="figure",
            item=item,
            promised=before,
            achieved=now,
            within=_within(now, spread.low, spread.high) if spread else None,
        )
        for item, before, now, spread in figures
    ]
    for kind, t in (("cost", 0), ("year", 1)):
        before, now = p.cash_flow[t].parts, a.cash_flow[t].parts
        names = dict.fromkeys([*before, *now])
        rows += [
            AuditRow(kind=kind, item=name, promised=before.get(name, 0.0), achieved=now.get(name, 0.0))
            for name in names
        ]
    return tuple(rows)


def shortfall(rows: tuple[AuditRow, ...]) -> AuditRow | None:
    """The yearly item that falls shortest of its promise; None where none does."""
    yearly = [row for row in rows if row.kind == "year" and row.difference < 0]
    return min(yearly, key=lambda row: row.difference, default=None)


def keeps_promise(rows: tuple[AuditRow, ...]) -> bool:
    """Whether the yearly saving is at or above the low end of what was promised."""
    saving = next(row for row in rows if row.item == "saving")
    return bool(saving.within or saving.difference >= 0 or np.isclose(saving.promised, saving.achieved))
