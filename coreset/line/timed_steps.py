"""The steps of a pattern and method with the times of their study: what is timed, what lacks. In: case, standards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.line.core_supply import by_hand, with_supply
from coreset.line.line_kinds import front_of
from coreset.line.method_steps import Activity, activities
from coreset.line.rest import RestOfMethod
from coreset.line.step_durations import WHOLE, as_one, forgotten, table


def untimed(stated: tuple[Activity, ...], elements: Mapping[str, Any]) -> list[str]:
    """Elements that steps take and no study of the pattern and method has, in the order of the steps."""
    return list(dict.fromkeys(a.element for a in stated if a.constant_s is None and a.element not in elements))


def untimed_pairs(case: Case, standards: Iterable[Any]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Pattern, method and elements wherever a pair was timed but a step takes an element that it was not timed for."""
    pooled = by_pair(standards)
    for pattern in case.patterns:
        for method in case.methods:
            elements = elements_of(pooled.get((pattern.pattern, method.method)))
            way = by_hand(case, pattern.pattern, method)
            stated = activities(way, pattern.pattern, core_window_s=case.line.core_window_s)
            if elements and WHOLE not in elements and (lacking := untimed(stated, elements)):
                yield pattern.pattern, method.method, tuple(lacking)


def manual_elements(timed: Any | None) -> frozenset[str]:
    """Elements that people do; a machine's time is neither rated nor anybody's work."""
    return frozenset(row.element for row in getattr(timed, "elements", ()) if row.kind == "manual")


def by_pair(standards: Iterable[Any]) -> dict[tuple[str, str], Any]:
    """Standards by pattern and method."""
    rows = standards.values() if isinstance(standards, dict) else standards
    return {(standard.pattern, standard.method): standard for standard in rows}


def chart_of(case: Case, pattern: str, method: str, timed: Any | None) -> tuple[Activity, ...] | None:
    """The activities of one pattern and method, with what its kind of line adds; None where one was not timed.

    Parameters
    ----------
    case : Case
        Methods with their steps, cores, line.
    pattern, method : str
        The pair.
    timed : Standard, optional
        Its standard; without one the steps must all be constants.
    """
    found = _stated_chart(case, pattern, method, timed)
    return None if found is None else front_of(case.line, with_supply(case, pattern, method, found))


def _stated_chart(case: Case, pattern: str, method: str, timed: Any | None) -> tuple[Activity, ...] | None:
    """The method's own activities; None where one was neither timed nor stated as a constant."""
    way = by_hand(case, pattern, case.method(method))
    stated = activities(way, pattern, core_window_s=case.line.core_window_s)
    if timed is None:
        return stated if stated and all(a.constant_s is not None for a in stated) else None
    elements = elements_of(timed)
    if not stated or WHOLE in elements:
        return as_one(timed)
    if untimed(stated, elements):
        return None
    dropped = {s.element for s in case.method(method).steps} - {s.element for s in way.steps}
    return forgotten(stated, [name for name in elements if name in manual_elements(timed) - dropped])


def elements_of(timed: Any | None, rest: RestOfMethod | None = None) -> dict[str, NDArray[np.float64]]:
    """Standard times by element and timed cycle, (cycles,) each. [s]

    With the rest of the pair its manual times are as long as rest and pace make them.
    """
    return _rested(table(timed), timed, rest)


def targets(timed: Any | None, rest: RestOfMethod | None, count: int) -> dict[str, NDArray[np.float64]]:
    """Mean of each element over a run, (count,) each: the draws of the standard, and so with all its errors. [s]

    Where only the standard as a whole was drawn, as of an estimate, its elements err in proportion.

    Parameters
    ----------
    timed : Standard, optional
        Standard of the pair; without one nothing is timed.
    rest : RestOfMethod, optional
        Lengthens manual elements by rest and pace.
    count : int
        Runs; the draws of the standard are repeated if they are fewer.
    """
    if timed is None:
        return {}
    known = getattr(timed, "element_draws_s", None) or {}
    whole = np.resize(timed.draws_s, count) / timed.standard_s if timed.standard_s > 0 else np.ones(count)
    rows = table(timed)
    drawn = {name: np.resize(known[name], count) if name in known else rows[name].mean() * whole for name in rows}
    return _rested(drawn, timed, rest)


def _rested(
    rows: dict[str, NDArray[np.float64]], timed: Any | None, rest: RestOfMethod | None
) -> dict[str, NDArray[np.float64]]:
    manual, times = manual_elements(timed), 1.0 if rest is None else rest.times
    return {name: seconds * times if name in manual or name == WHOLE else seconds for name, seconds in rows.items()}
