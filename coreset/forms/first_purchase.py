"""A first purchase case from one form: typed cycle times, volumes and prices. In: what was typed. Out: a case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from coreset.case import (
    AllowanceLine,
    Allowances,
    Case,
    Element,
    Method,
    Money,
    Pattern,
    Range,
    Reading,
    Readings,
    Step,
    Study,
)
from coreset.errors import Fault, StudyError
from coreset.forms.typed import number_of
from coreset.text import say

PATTERN, MANUAL, SETTER, SET, MACHINE = "P1", "manual", "core setter", "typed", "machine cycle"
LEAST_CYCLES = 3
"""Cycles below which no variation can be told: common practice, no source."""
PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseField:
    """One number of the form: its name, and the least and the largest value that it may have."""

    name: str
    least: float = 0.0
    most: float | None = None


TIMES = ("manual_s", "setter_s")
"""Seconds that single cycles took, separated by semicolons."""
NUMBERS = (
    PurchaseField(name="allowance_pct", most=100.0),
    PurchaseField(name="machine_s", least=1.0, most=3600.0),
    PurchaseField(name="molds_per_year", least=1.0),
    PurchaseField(name="runs_per_year", least=1.0),
    PurchaseField(name="setter_price", least=1.0),
    PurchaseField(name="mask_cost"),
    PurchaseField(name="labor_per_h", least=1.0),
    PurchaseField(name="line_crew", most=100.0),
    PurchaseField(name="paid_pct", most=100.0),
    PurchaseField(name="discount_pct", most=100.0),
)


def first_purchase(start: Case, times: Mapping[str, str], numbers: Mapping[str, float | None], who: str) -> Case:
    """A case of one pattern under both methods, as far as the form asks for it.

    Parameters
    ----------
    start : Case
        Its title, units and currency.
    times : mapping
        By name of `TIMES`: at least three cycle times each. [s]
    numbers : mapping
        By name of `NUMBERS`; wages are per hour with all that the employer pays. [%, s, molds, money]
    who : str
        Code of the person who typed them: the observer of both studies.

    Returns
    -------
    Case
        Its studies say that their times were typed, not timed here.

    Raises
    ------
    StudyError
        With every field that is empty or cannot be read, by its name.
    """
    cycles, faults = {}, []
    for name in TIMES:
        try:
            cycles[name] = _cycles(times.get(name, ""))
        except ValueError:
            faults.append(Fault(file="", column=name, found=times.get(name, ""), expected=say("front.start.times")))
    for one in NUMBERS:
        if numbers.get(one.name) is None:
            faults.append(Fault(file="", column=one.name, found="", expected=say("front.start.number")))
    if faults:
        raise StudyError(faults)
    return _case(start, cycles, {name: float(value or 0.0) for name, value in numbers.items()}, who)


def _cycles(text: str) -> tuple[float, ...]:
    """Cycle times that were typed.

    Raises
    ------
    ValueError
        If one is no number above 0, or there are too few.
    """
    found = [number_of(part) for part in text.split(";") if part.strip()]
    if len(found) < LEAST_CYCLES or not all(one is not None and one > 0 for one in found):
        raise ValueError(text)
    return tuple(one for one in found if one is not None)


def _case(start: Case, cycles: Mapping[str, tuple[float, ...]], typed: Mapping[str, float], who: str) -> Case:
    line = AllowanceLine(
        cause=say("timing.stated_allowance"),
        percent=typed["allowance_pct"],
        source=say("timing.stated_allowance_source"),
    )
    return replace(
        start,
        baseline=MANUAL,
        candidate=SETTER,
        money=_money(typed),
        allowances=(Allowances(name=SET, basis="normal", lines=(line,)),),
        methods=(_method(MANUAL, "operator", typed["machine_s"]), _method(SETTER, "setter", typed["machine_s"])),
        patterns=(
            Pattern(
                pattern=PATTERN,
                molds_per_year=Range.exactly(typed["molds_per_year"]),
                runs_per_year=typed["runs_per_year"],
            ),
        ),
        studies=(
            _study(MANUAL, "manual", cycles["manual_s"], who),
            _study(SETTER, "machine", cycles["setter_s"], who),
        ),
    )


def _money(typed: Mapping[str, float]) -> Money:
    return Money(
        setter_price=Range.exactly(typed["setter_price"]),
        mask_cost=Range.exactly(typed["mask_cost"]),
        wage_per_h=Range.exactly(typed["labor_per_h"]),
        line_crew=Range.exactly(typed["line_crew"]),
        hours_saved_paid=Range.exactly(typed["paid_pct"] / PERCENT),
        discount_rate=typed["discount_pct"] / PERCENT,
    )


def _method(name: str, by: str, machine_s: float) -> Method:
    """The machine makes a mold, then the cores are set into it."""
    element = say(f"front.start.element_{'setter' if by == 'setter' else 'manual'}")
    return Method(
        method=name,
        mechanised=by == "setter",
        steps=(
            Step(
                name=MACHINE,
                by="machine",
                constant_s=machine_s,
                source=say("front.start.typed"),
                after_previous=(element,),
            ),
            Step(name=element, by=by, element=element, after=(MACHINE,)),
        ),
    )


def _study(method: str, kind: str, times_s: tuple[float, ...], who: str) -> Study:
    element = say(f"front.start.element_{'setter' if kind == 'machine' else 'manual'}")
    rows = [
        Reading(seq=n, cycle=n, element=element, reading_s=time_s, rating=float("nan"), mark="", note="")
        for n, time_s in enumerate(times_s, start=1)
    ]
    return Study(
        study=f"{PATTERN}-{'H1' if method == MANUAL else 'S1'}",
        method=method,
        pattern=PATTERN,
        observer=who,
        operator="W1",
        timing="snapback",
        allowances=SET,
        taken_with="import",
        origin=say("front.start.typed"),
        elements=(Element(name=element, kind="machine" if kind == "machine" else "manual"),),
        readings=Readings.of(rows),
    )
