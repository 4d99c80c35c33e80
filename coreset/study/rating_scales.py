"""Ratings: what a figure of the observer means on its named scale, and how many times the observed time it makes."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from coreset.errors import OutOfRange
from coreset.sources import table

SCALES = "bs3138/rating_scales"


@cache
def scales() -> dict[str, dict[str, float]]:
    """Each rating scale by name: daywork pace, incentive pace, and the rating at which time counts as observed."""
    return {
        row["scale"]: {name: float(row[name]) for name in ("daywork", "incentive", "unity")}
        for row in table(SCALES).rows
    }


def scale(name: str) -> dict[str, float]:
    """One rating scale.

    Raises
    ------
    OutOfRange
        If the name is no scale: a rating without its scale is ambiguous by a third.
    """
    if name not in scales():
        raise OutOfRange(f"rating_scale must be one of {', '.join(scales())}, got {name!r}")
    return scales()[name]


def on_scale(rating: float, scale_from: str, scale_to: str) -> float:
    """The same pace on another scale, by the daywork pace of both.

    Parameters
    ----------
    rating : float
        Rating on the first scale.
    scale_from, scale_to : str
        Names of the scales, see `scales`.

    Raises
    ------
    OutOfRange
        If there is no scale of a name.

    References
    ----------
    [bs3138] daywork 60, 75 and 100 are one pace; so is 80, 100 and 133.

    Examples
    --------
    >>> on_scale(75, "0-100 BSI", "100-133"), on_scale(100, "100-133", "60-80")
    (100.0, 60.0)
    """
    return rating / scale(scale_from)["daywork"] * scale(scale_to)["daywork"]


@cache
def levelling_table() -> dict[tuple[str, str], float]:
    """Levelling factors by factor (skill, effort, conditions, consistency) and grade code."""
    return {(row["factor"], row["code"]): float(row["value"]) for row in table("lowry1940/levelling").rows}


def levelling(*, skill: str, effort: str, conditions: str, consistency: str) -> float:
    """Levelling factor: 1 and the sum of the four grades' values; times observed gives normal.

    Parameters
    ----------
    skill, effort, conditions, consistency : str
        Grade of each by its code, as printed.

    Raises
    ------
    OutOfRange
        If a code is no grade of its factor.

    References
    ----------
    [lowry1940] levelling table. Another table of seven grades circulates under the same name; it is not this one.

    Examples
    --------
    >>> levelling(skill="C2", effort="C1", conditions="D", consistency="E")
    1.06
    """
    grades: Mapping[str, str] = {
        "skill": skill, "effort": effort, "conditions": conditions, "consistency": consistency,
    }  # fmt: skip
    known = levelling_table()
    for name, code in grades.items():
        if (name, code) not in known:
            raise OutOfRange(f"{name} must be a grade of the levelling table, got {code!r}")
    return round(1 + sum(known[name, code] for name, code in grades.items()), 10)


def difficulty_pct(codes: tuple[str, ...]) -> float:
    """Difficulty adjustment of objective rating: sum of the rows that could be confirmed.

    Raises
    ------
    OutOfRange
        If a code is no row, or a row known from memory only: those are not offered.

    References
    ----------
    [mundel] amount of body used, foot pedals, bimanualness.
    """
    found = table("mundel/difficulty")
    known = {row["code"]: float(row["percent"]) for row in found.rows if found.row_status(row) != "memory"}
    for code in codes:
        if code not in known:
            raise OutOfRange(f"difficulty must be one of {', '.join(known)}, got {code!r}")
    return sum(known[code] for code in codes)


def objective(observed_s: float, *, pace_pct: float, difficulty: float) -> float:
    """Normal time by objective rating: observed x pace x (1 + difficulty/100). [unit of observed_s]

    Parameters
    ----------
    observed_s : float
        Observed time. [any unit]
    pace_pct : float
        Pace against the one standard pace, whatever the job. [%]
    difficulty : float
        Sum of the secondary adjustments. [%]

    Examples
    --------
    >>> round(objective(0.26, pace_pct=95, difficulty=20), 4)
    0.2964
    """
    return observed_s * pace_pct / 100 * (1 + difficulty / 100)
