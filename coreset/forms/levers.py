"""The inputs that move an answer most, and a case with some of them changed. In: a case, a decision. Out: levers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from coreset.case import Case, Money, Range, most, range_names
from coreset.forms.fields import fields
from coreset.money.report.names import input_name, input_unit
from coreset.money.simulation_inputs import PER_PATTERN
from coreset.text import say

COUNT = 8
"""Inputs offered at once."""
HELD, MASK = "held", "mask_cost"
OF_PATTERN = {name: name for name in (*PER_PATTERN, MASK)} | {HELD: "hold_chance"}
"""Inputs of one pattern, and the field of the pattern that holds each."""
MAY_BE_NEGATIVE = ("residual", "margin_per_casting")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """One input as it stands in the case.

    `name` as the sensitivity has it; `pattern` empty for an input of the plant; `field` of `Money` or `Pattern`.
    `value` is the likely one of a range, with `low` and `high`. `step` is about a tenth of it, one digit.
    """

    name: str
    pattern: str
    field: str
    label: str
    value: float
    low: float
    high: float
    least: float | None
    most: float | None
    step: float


def levers(case: Case, decision: Any, count: int = COUNT) -> tuple[Lever, ...]:
    """The entered inputs that move the net present value most.

    Parameters
    ----------
    case : Case
    decision : Decision
        Of the same case: uncertain inputs come by falling swing; where they are fewer, others follow whose break-even
        lies nearest to their value. What studies and the line give is not entered and not among them.
    count : int
        Levers at most.
    """
    found: dict[str, Lever] = {}
    for name in (*_uncertain(decision), *_near_break_even(decision)):
        if len(found) < count and (lever := _lever(case, name)) is not None:
            found.setdefault(name, lever)
    return tuple(found.values())


def _uncertain(decision: Any) -> Iterator[str]:
    yield from (row.name for row in sorted(decision.drivers, key=lambda row: -row.swing) if row.swing > 0)


def _near_break_even(decision: Any) -> Iterator[str]:
    known = [row for row in decision.break_evens if math.isfinite(row.break_even)]
    for row in sorted(known, key=lambda row: abs(row.break_even / row.value - 1.0)):
        yield f"{row.key}.{row.pattern}" if row.pattern else row.key


def _lever(case: Case, name: str) -> Lever | None:
    kind, _, pattern = name.partition(".")
    holder: Any
    if pattern:
        holder, field = case.listed(pattern), OF_PATTERN.get(kind, "")
    else:
        holder, field = case.money, kind if kind in range_names(Money) or kind == "discount_rate" else ""
    now = getattr(holder, field, None) if field else None
    if now is None:
        return None
    ends = now if isinstance(now, Range) else Range.exactly(float(now))
    limits = next(one for one in fields(type(holder), case.units, {}, case.currency) if one.name == field)
    least = limits.least if limits.least is not None or field in MAY_BE_NEGATIVE else 0.0
    largest = min(most(type(holder), field), math.inf if limits.most is None else limits.most)
    return Lever(
        name=name,
        pattern=pattern,
        field=field,
        label=_label(name, case.currency),
        value=ends.likely,
        low=ends.low,
        high=ends.high,
        least=least,
        most=largest if math.isfinite(largest) else None,
        step=_step(ends.likely),
    )


def _label(name: str, currency: str) -> str:
    words = input_name(name)
    unit = input_unit(name, currency) if name != "discount_rate" else input_unit("scrap", currency)
    return say("front.field", meaning=words[:1].upper() + words[1:], unit=f", {unit}")


def _step(value: float) -> float:
    """A step of one digit, from a hundredth to a tenth of the value.

    Examples
    --------
    >>> _step(140_000.0), _step(24.0), _step(0.8), _step(0.0)
    (10000.0, 1.0, 0.01, 1.0)
    """
    return float(f"1e{math.floor(math.log10(abs(value))) - 1}") if abs(value) else 1.0


def changed_case(case: Case, values: Mapping[str, float]) -> Case:
    """The case with other likely values; the ends of a range move in the same proportion, its source stays.

    Parameters
    ----------
    case : Case
    values : mapping of str to float
        New likely values, by the name of the lever.
    """
    money, patterns = case.money, {p.pattern: p for p in case.patterns}
    for name, value in values.items():
        kind, _, pattern = name.partition(".")
        if pattern:
            patterns[pattern] = _with(patterns[pattern], OF_PATTERN[kind], value)
        else:
            money = _with(money, kind, value)
    return replace(case, money=money, patterns=tuple(patterns.values()))


def titled(case: Case, name: str) -> Case:
    """The case as a scenario: its title with the name of the scenario."""
    return replace(case, title=say("money.live.scenario_title", title=case.title, name=name))


def _with(holder: Any, field: str, value: float) -> Any:
    now = getattr(holder, field)
    return replace(holder, **{field: _moved(now, value, type(holder), field) if isinstance(now, Range) else value})


def _moved(now: Range, likely: float, kind: type, field: str) -> Range:
    if now.known or not now.likely:
        return replace(now, low=likely, likely=likely, high=likely)
    share = likely / now.likely
    low, high = sorted((now.low * share, now.high * share))
    limit = most(kind, field)
    return replace(now, low=min(low, limit), likely=min(likely, limit), high=min(high, limit))


def changes_in_words(found: Iterable[Lever], values: Mapping[str, float]) -> str:
    """What was changed, each with its old and its new value."""
    told = [
        say("money.live.changed", what=lever.label, old=f"{lever.value:.12g}", new=f"{values[lever.name]:.12g}")
        for lever in found
        if lever.name in values
    ]
    return "; ".join(told)
