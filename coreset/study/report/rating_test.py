"""A rater's check in words, rows and working: how an observer rates known paces, and what it does to a standard."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from coreset.case import Case, RatedPace
from coreset.report.numbers import number, percent
from coreset.rounding import fixed
from coreset.study import known_paces
from coreset.study.rating_scales import scale, scales
from coreset.study.rating_test import RaterCheck, checked, of_observer
from coreset.text import catalogue, say
from coreset.working import Working

FLAT = 0.8
"""Slope of rated on known pace below which the observer is said to flatten: common practice, no source."""


def observers(case: Case) -> list[str]:
    """Codes of those who observed a study or took a check, in the order of the case."""
    return list(dict.fromkeys([*(s.observer for s in case.studies), *(row.observer for row in case.raters)]))


def scale_names() -> list[str]:
    """Names of the rating scales."""
    return list(scales())


def scale_of(case: Case, observer: str) -> int:
    """Place of the scale that the observer's last study was rated on, among the names; the first if there is none."""
    used = [s.rating_scale for s in case.studies if s.observer == observer and s.rating_scale in scales()]
    return scale_names().index(used[-1]) if used else scale_names().index("100-133")


def explain(scale_name: str) -> str:
    """How a check goes, with what 100 means on the scale."""
    walk, deal = 3.6 * known_paces.walk_m_s(100, scale_name), known_paces.CARDS * known_paces.deal_s(100, scale_name)
    return say("study.rater.explain", walk=fixed(walk, 1), deal=fixed(deal, 1))


def asked(case: Case, observer: str, scale_name: str) -> dict[str, Any]:
    """What the browser shows: scenes in their order without their figures, ratings to choose from, words, seed.

    Parameters
    ----------
    case : Case
        Checks taken so far; seed.
    observer : str
        Code.
    scale_name : str
        Rating scale of the answers.
    """
    taken = len({row.taken for row in case.raters if row.observer == observer})
    seed = known_paces.seed_of(observer, taken, case.seed)
    scenes = known_paces.scenes(seed, scale_name=scale_name)
    names = ("start", "go_on", "stop", "motion", "ready", "scene", "done", "ratings", "walking", "dealing", "metre")
    return {
        "seed": seed,
        "scenes": [{"shown": s.shown, "metres_s": s.metres_s, "card_s": s.card_s} for s in scenes],
        "offered": known_paces.offered(scale_name),
        "middle": round(scale(scale_name)["daywork"]),
        "words": {name: catalogue()[f"study.rater.{name}"] for name in names},
    }


def with_check(case: Case, observer: str, scale_name: str, given: Iterable[float], *, taken: str, seed: int) -> Case:
    """The case with a check more: the scenes that were shown, told by their seed, with the ratings that were given.

    Parameters
    ----------
    case : Case
        The case.
    observer : str
        Code.
    scale_name : str
        Rating scale of the answers.
    given : iterable of float
        Ratings, in the order in which the scenes were shown. [on the scale]
    taken : str
        When, ISO 8601.
    seed : int
        Of the scenes that were shown, as `asked` gave it.

    Raises
    ------
    ValueError
        If there are more or fewer ratings than scenes.
    """
    rows = tuple(
        RatedPace(observer=observer, taken=taken, shown=scene.shown, known_pct=scene.known_pct,
                  rated_pct=float(rating), rating_scale=scale_name)
        for scene, rating in zip(known_paces.scenes(seed, scale_name=scale_name), given, strict=True)
    )  # fmt: skip
    return replace(case, raters=(*case.raters, *rows))


def sentences(case: Case, observer: str) -> tuple[str, ...]:
    """What an observer's last check says of him or her, and what it does to the standards."""
    found = checked(case.raters, observer)
    if found is None:
        return (say("study.rater.none", observer=observer),)
    code = "low" if found.bias_pct < 0 else "high"
    lines = [
        say(f"study.rater.found_{code}", observer=observer, bias=fixed(abs(found.bias_pct), 1),
            se=fixed(found.bias_se_pct, 1), sd=fixed(found.sd_pct, 1), share=percent(found.within_goal),
            count=found.ratings, taken=of_observer(case.raters, observer)[0].taken),
        say("study.rater.enters", error=fixed(found.error_pct, 1)),
    ]  # fmt: skip
    if found.slope < FLAT:
        lines.append(say("study.rater.flat", slope=fixed(found.slope, 2)))
    return tuple(lines)


def rating_rows(case: Case, observer: str) -> list[dict[str, str]]:
    """Each pace of the last check with its rating and error."""
    return [
        {
            say("study.rater.head_shown"): say(f"study.rater.{row.shown}_short"),
            say("study.rater.head_known"): fixed(row.known_pct),
            say("study.rater.head_rated"): fixed(row.rated_pct),
            say("study.rater.head_error"): number(100 * (row.rated_pct / row.known_pct - 1), 1),
        }
        for row in of_observer(case.raters, observer)
    ]


def working(case: Case, observer: str) -> list[Working]:
    """Systematic and random error of a check, step by step; nothing where there is none."""
    found = checked(case.raters, observer)
    return _working(found) if found else []


def _working(c: RaterCheck) -> list[Working]:
    def line(name: str, symbol: str, formula: str, numbers: str, value: float, unit: str = "%") -> Working:
        what = say(f"study.rater.work_{name}")
        return Working(what=what, symbol=symbol, formula=formula, numbers=numbers, value=value, unit=unit)

    total, square = c.bias_pct * c.ratings, c.sd_pct**2 * (c.ratings - 1)
    lines = [
        line("bias", "b", "Σe/n, e = 100 (r/k − 1)", f"{fixed(total, 2)}/{c.ratings}", c.bias_pct),
        line("sd", "s", "√(Σ(e − b)²/(n − 1))", f"√({fixed(square, 2)}/{c.ratings - 1})", c.sd_pct),
        line("se", "", "s/√n", f"{fixed(c.sd_pct, 3)}/√{c.ratings}", c.bias_se_pct),
        line("error", "E", "√(b² + s²)", f"√({fixed(c.bias_pct, 3)}² + {fixed(c.sd_pct, 3)}²)", c.error_pct),
        line("line", "", "r = a + m k", f"{fixed(c.level_pct, 2)} + {fixed(c.slope, 3)} k", c.slope, ""),
        line("line_sd", "", "√(Σ(r − a − m k)²/(n − 2))/k̄", f"n = {c.ratings}", c.line_sd_pct),
    ]
    return [one for one in lines if math.isfinite(one.value)]
