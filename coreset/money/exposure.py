"""How much of the plant's lifting exposure goes away with each pattern. In: rates, lifting indices. Out: shares."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.case import Case
from coreset.money.alternatives import rated_in_full, worst_index
from coreset.money.year_plan import exposure_name


def exposure_removed(case: Case, rates: Iterable[Any], screened: Iterable[Any]) -> dict[str, float]:
    """Share of the hours of lifting above the limit that go away, by pattern and method.

    Exposed are the line hours per year of patterns whose governing index under the current method is above the limit.
    They go away where every lift under the other method is rated in full, or hoisted, and none is above the limit:
    an index that only falls, stays, rises or is not known removes nothing.

    Parameters
    ----------
    case : Case
        Volumes, methods, and the plant's own limit of the lifting index; 1 where it has none.
    rates : iterable of Rate
        Molds per scheduled hour by pattern and method.
    screened : iterable of Screened
        Lifting indices by pattern and method.

    Returns
    -------
    dict of str to float
        By :func:`coreset.money.year_plan.exposure_name`. [-] Patterns and methods that remove nothing are left out.
    """
    limit, tasks = case.money.li_limit or 1.0, tuple(screened)
    speed = {rate.pattern: rate.molds_per_h for rate in rates if rate.method == case.baseline}

    def of(code: str, method: str) -> list[Any]:
        return [row for row in tasks if (row.pattern, row.method) == (code, method)]

    hours = {
        p.pattern: p.molds_per_year.likely / speed[p.pattern]
        for p in case.patterns
        if p.pattern in speed and worst_index(of(p.pattern, case.baseline), case.baseline) > limit
    }
    total = sum(hours.values())
    return {
        exposure_name(code, m.method): exposed / total
        for code, exposed in hours.items()
        for m in case.methods
        if exposed and (rows := of(code, m.method)) and rated_in_full(rows) and not worst_index(rows, m.method) > limit
    }
