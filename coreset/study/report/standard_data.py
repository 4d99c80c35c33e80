"""Standard data in words and rows: what each element follows, how well, in which range; a person's own choice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from coreset.case import UNIT_SETS, Case, Driver
from coreset.report.numbers import listed, number
from coreset.rounding import fixed
from coreset.sources import used
from coreset.study.drivers import drivers
from coreset.study.estimate import MethodData, data, unknown
from coreset.study.report.sentences import capital
from coreset.study.report.working import of_ends
from coreset.study.standard import Standard
from coreset.study.standard_data import CONSTANT, JOINT, VariableElement
from coreset.text import say
from coreset.working import Working

RULE = ""
"""In place of a driver: the rule chooses."""
UNITS = {"mass": "mass", "heaviest": "mass", "distance": "distance"}


def element_name(e: VariableElement) -> str:
    """Name of an element of standard data."""
    return e.element or say("study.data.rest")


def unit_of(driver: str, case: Case) -> str:
    """Unit of a driver, empty for a count."""
    return UNIT_SETS[case.units][UNITS[driver]] if driver in UNITS else ""


def driver_name(names: str, case: Case) -> str:
    """A driver, several or none in words, with their units."""
    if names in (RULE, CONSTANT):
        return say("study.data.by_rule" if names == RULE else "study.data.by_constant")
    return say("study.data.and").join(
        ", ".join(filter(None, [say(f"study.data.by_{name}"), unit_of(name, case)])) for name in names.split(JOINT)
    )


def followed(e: VariableElement) -> str:
    """Name of the drivers that an element follows."""
    return JOINT.join(e.fitted.drives) or CONSTANT


def formula(e: VariableElement) -> str:
    """The line of an element as a sum, its drivers as symbols."""
    constant, *slopes = e.fitted.coefficients
    terms = [f"{'−' if s < 0 else '+'} {fixed(abs(s), 2)} {say(f'study.data.symbol_{name}')}"
             for name, s in zip(e.fitted.drives, slopes, strict=True)]  # fmt: skip
    return " ".join([fixed(float(constant), 2), *terms])


def _range(e: VariableElement, case: Case) -> str:
    ends = zip(e.fitted.drives, e.fitted.lowest, e.fitted.highest, strict=True)
    return ", ".join(f"{number(low, _digits(n))}–{number(high, _digits(n))} {unit_of(n, case)}".strip()
                     for n, low, high in ends) or "–"  # fmt: skip


def _digits(driver: str) -> int:
    return 0 if driver == "cores" else 1


def driver_rows(one: MethodData, case: Case) -> list[dict[str, str]]:
    """Elements of a method with what they follow, their line, its fit and its range."""
    return [
        {
            say("study.table.element"): element_name(e),
            say("study.data.follows"): driver_name(followed(e), case) + (say("study.data.stated") if e.stated else ""),
            say("study.data.formula"): formula(e),
            say("study.data.r"): fixed(e.fitted.r_squared, 2) if e.fitted.drives else "–",
            say("study.data.missed"): fixed(e.fitted.left_out_sd, 2),
            say("study.data.range"): _range(e, case),
        }
        for e in one.elements
    ]


def tried(e: VariableElement, case: Case) -> list[dict[str, str]]:
    """Every driver that was tried for an element, with its error where a pattern is left out."""
    return [
        {say("study.data.follows"): driver_name(names, case), say("study.data.missed"): fixed(error, 2)}
        for names, error in sorted(e.tried, key=lambda each: each[1])
    ]


def sentence(e: VariableElement, case: Case) -> str:
    """What an element follows and why."""
    tried_as = dict(e.tried)
    blanks = {"element": capital(element_name(e)), "error": fixed(e.fitted.left_out_sd, 1), "constant": fixed(
        tried_as[CONSTANT], 1), "driver": driver_name(followed(e), case)}  # fmt: skip
    if e.stated:
        return say("study.data.chosen_stated", **blanks)
    if not e.fitted.drives:
        return say("study.data.chosen_constant", **blanks)
    middle = e.fitted.predict((e.fitted.lowest + e.fitted.highest) / 2)
    return say("study.data.chosen", half=fixed(middle[2] - middle[0], 1), range=_range(e, case), **blanks)


def notes(one: MethodData, case: Case) -> tuple[str, ...]:
    """The rule, what was left out of it, and how near the sum lies."""
    lines = [say("study.data.rule", count=len(one.patterns), sd=fixed(one.sd, 1))]
    for name, patterns in unknown(case, one.method).items():
        lines.append(say("study.data.unknown", driver=driver_name(name, case), patterns=listed(patterns)))
    return tuple(lines)


def options(e: VariableElement) -> list[str]:
    """What may be chosen for an element: the rule, then each set of drivers that could be fitted."""
    return [RULE, *(names for names, _ in e.tried)]


def chosen(e: VariableElement) -> int:
    """Place of what holds now among the options."""
    return options(e).index(followed(e)) if e.stated else 0


def with_driver(case: Case, method: str, e: VariableElement, by: Any) -> Case:
    """The case with what an element is to follow stated, or left to the rule.

    Parameters
    ----------
    case : Case
        Drivers stated so far.
    method : str
        The method.
    e : VariableElement
        The element.
    by : str
        Driver, or drivers joined, see `standard_data.name_of`; `RULE` leaves it to the rule.
    """
    others = tuple(row for row in case.drivers if (row.method, row.element) != (method, e.element))
    return replace(case, drivers=others if by == RULE else (*others, Driver(method=method, element=e.element, by=by)))


def working(found: Sequence[MethodData], values: dict[str, float], method: str) -> list[Working]:
    """How an estimate came about: each element by its line, then their sum.

    Parameters
    ----------
    found : sequence of MethodData
        Standard data by method.
    values : dict of float
        Drivers of the pattern estimated, by name, in their own units.
    method : str
        The method; no lines where it has no data.
    """
    one = next((each for each in found if each.method == method), None)
    if one is None:
        return []
    told, lines = one.foretell(values), []
    for e in one.elements:
        at = e.at(values)
        constant, *slopes = e.fitted.coefficients
        numbers = " + ".join(
            [fixed(float(constant), 3), *(f"{fixed(s, 3)} × {number(v, 2)}" for s, v in zip(slopes, at, strict=True))]
        )
        lines.append(Working(what=element_name(e), formula=formula(e), numbers=numbers, value=told[e.element],
                             unit="s", **used("montgomery1982", "DATA-predict")))  # fmt: skip
    middle, low, high = one.interval(values)
    spread = f"{fixed(one.sd, 3)} × {fixed(one.spread(values) / one.sd, 3) if one.sd else '–'}"
    parts = " + ".join(fixed(value, 3) for value in told.values())
    lines.append(Working(what=say("study.working.mold"), symbol="S", formula="S = Σ S", numbers=parts, value=middle,
                         unit="s"))  # fmt: skip
    for name, value in (("low", low), ("high", high)):
        lines.append(Working(what=say(f"study.working.{name}"), formula="S ± t s √(1 + h)",
                             numbers=f"{fixed(middle, 2)} ± t({one.freedom}) × {spread}", value=value, unit="s",
                             **used("montgomery1982", "DATA-predict")))  # fmt: skip
    return lines


def of_estimate(
    case: Case, row: Standard, pooled: Mapping[tuple[str, str], Standard], *, seed: int | None = None
) -> list[Working]:
    """The working of an estimated standard.

    Parameters
    ----------
    case : Case
        Cores of the pattern.
    row : Standard
        The estimate.
    pooled : mapping
        Standards by (pattern, method), from which the data are made.
    seed : int, optional
        Of the draws behind the interval.
    """
    return of_data(case, row, data(case, pooled), seed=seed)


def of_data(case: Case, row: Standard, known: Sequence[MethodData], *, seed: int | None = None) -> list[Working]:
    """The working of an estimated standard from standard data that are made already.

    Parameters
    ----------
    case : Case
        Cores of the pattern.
    row : Standard
        The estimate.
    known : sequence of MethodData
        From `estimate.data`, the same for all estimates of a case.
    seed : int or None
        Of the draws behind the interval.
    """
    lines = working(known, drivers(case, row.pattern, row.method), row.method)
    return [*lines, *of_ends(row, seed=seed)]
