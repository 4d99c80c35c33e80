"""Energy and heat of each kind of setting against its limit, in sentences and rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import UNIT_SETS, fahrenheit
from coreset.case.fields import SHOWN_UNITS
from coreset.rounding import fixed
from coreset.text import say


def workload_rows(loads: Iterable[Any]) -> list[dict[str, str]]:
    """Energy of each pattern and method against its limit, and the rest it calls for."""
    return [
        {
            say("handling.column.pattern"): w.pattern,
            say("handling.column.method"): w.method,
            say("handling.column.terms"): say(
                "handling.energy.range",
                kcal=fixed(w.lifting_kcal_per_min, 1),
                low=fixed(w.lifting_low_kcal_per_min, 1),
                high=fixed(w.lifting_high_kcal_per_min, 1),
            ),
            say("handling.column.components"): fixed(w.kcal_per_min, 1),
            say("handling.column.energy_limit"): fixed(w.limit_kcal_per_min, 1),
            say("handling.column.rest"): fixed(w.rest_min_per_h),
        }
        for w in loads
    ]


def workload_names(loads: Iterable[Any]) -> dict[str, int]:
    """Each pattern set by a method, as it is called in a list, with its place."""
    return {say("handling.body.setting", pattern=w.pattern, method=w.method): place for place, w in enumerate(loads)}


def energy_sentence(loads: Sequence[Any]) -> str:
    """How many kinds of setting take more energy than their limit by terms, the worst; the classes as a second line.

    Empty where no setting is timed.
    """
    if not loads:
        return ""
    above = [w for w in loads if w.lifting_kcal_per_min > w.limit_kcal_per_min]
    near = [w for w in loads if w.lifting_kcal_per_min <= w.limit_kcal_per_min < w.lifting_high_kcal_per_min]
    by_class = [w for w in loads if w.kcal_per_min > w.limit_kcal_per_min]
    worst = max(loads, key=lambda w: w.lifting_kcal_per_min / w.limit_kcal_per_min)
    figures = {
        "kcal": worst.lifting_kcal_per_min,
        "low": worst.lifting_low_kcal_per_min,
        "high": worst.lifting_high_kcal_per_min,
        "limit": worst.limit_kcal_per_min,
    }
    texts = {name: fixed(value, 1) for name, value in figures.items()}
    said = [
        say(f"handling.energy.{'above' if above else 'within'}", count=len(above), all=len(loads)),
        say("handling.energy.most", pattern=worst.pattern, method=worst.method, **texts),
    ]
    if near:
        said.append(say("handling.energy.near", count=len(near)))
    said.append(say("handling.energy.classes", count=len(by_class), all=len(loads)))
    return " ".join([*said, say("handling.energy.note")])


def temperature_text(value_c: float, units: str, digits: int = 0) -> str:
    """A temperature in the case's units.

    Parameters
    ----------
    value_c : float
        Temperature. [degrees C]
    units : {"metric", "us"}
        Unit set of the case.
    digits : int
        Decimals.

    Examples
    --------
    >>> temperature_text(27.46, "metric", 1), temperature_text(25.0, "us")
    ('27.5 °C', '77 °F')
    """
    value = value_c if units == "metric" else fahrenheit(value_c)
    return f"{fixed(value, digits)} {SHOWN_UNITS[UNIT_SETS[units]['temperature']]}"


def heat_sentence(loads: Sequence[Any], units: str) -> str:
    """Heat at the place for the hardest pattern, in the case's units, or that it was not measured."""
    hot = [w for w in loads if w.heat is not None]
    if not hot:
        return say("handling.heat.none")
    worst = min(hot, key=lambda w: w.heat.work_min_per_h)
    heat = worst.heat
    return say(
        "handling.heat.row",
        wbgt=temperature_text(heat.adjusted_c, units, 1),
        name=heat.niosh.name,
        limit=temperature_text(heat.niosh.wbgt_c, units, 1),
        iso=", ".join(f"{temperature_text(one.wbgt_c, units)} ({one.scheme[-4:]})" for one in heat.iso),
        watts=fixed(worst.watts),
        minutes=fixed(heat.work_min_per_h),
        pattern=worst.pattern,
        method=worst.method,
    )
