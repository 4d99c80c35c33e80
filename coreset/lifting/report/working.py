"""The working of one rated end of a lift, line by line, with the figures put in."""

from __future__ import annotations

import math
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.constants import constant_status, constants, coupling_status, frequency_status
from coreset.lifting.lift_end import End, Posture, rate
from coreset.rounding import fixed, half_up
from coreset.sources import used
from coreset.text import say
from coreset.working import Working

SOURCE = "waters1994"
HAND_DIGITS, EXACT_DIGITS = 2, 4
RULES = {
    "hm": ("N-formula-first",),
    "vm": ("N-formula-first", "N-vm-abs"),
    "dm": ("N-formula-first", "N-d-measure"),
    "am": ("N-formula-first",),
    "fm": ("N-v-fm", "N-v-col", "N-interp"),
    "cm": ("N-c-values", "N-v-cm", "N-v-col"),
}
"""Rules that a multiplier uses in every posture."""
CONSTANTS = {"hm": "horizontal", "vm": "vertical", "dm": "travel", "am": "asymmetry", "fm": "frequency"}
CONSTANTS["cm"] = "vertical_reference"
"""How the names of the printed constants of a multiplier begin."""
TABLES = {"hm": "Table 1", "vm": "Table 2", "dm": "Table 3", "am": "Table 4", "fm": "Table 5", "cm": "Table 7"}


def plain_number(value: float, digits: int = 3) -> str:
    """A number with no more decimals than it needs.

    Examples
    --------
    >>> plain_number(25.0), plain_number(0.0075, 4)
    ('25', '0.0075')
    """
    text = fixed(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _numbers(p: Posture) -> dict[str, tuple[str, str]]:
    """Formula and figures of each multiplier."""
    c, unit, n = constants(p.units), UNIT_SETS[p.units]["length"], plain_number
    h, v, d, a = (float(x) for x in (p.horizontal, p.vertical, p.travel, p.angle_deg))
    column = {"height": n(c.vertical_reference), "unit": unit}
    f = max(float(p.frequency_per_min), c.frequency_floor)
    lines = {
        "hm": (f"{n(c.horizontal_free)}/H", f"{n(c.horizontal_free)}/{n(h)}", h, c.horizontal_free, c.horizontal_limit),
        "dm": (
            f"{n(c.travel_constant)} + {n(c.travel_slope)}/D",
            f"{n(c.travel_constant)} + {n(c.travel_slope)}/{n(d)}",
            d,
            c.travel_free,
            c.travel_limit,
        ),
        "vm": (
            f"1 - {n(c.vertical_slope, 4)} |V - {n(c.vertical_reference)}|",
            f"1 - {n(c.vertical_slope, 4)} |{n(v)} - {n(c.vertical_reference)}|",
            v,
            -math.inf,
            c.vertical_limit,
        ),
        "am": (
            f"1 - {n(c.asymmetry_slope, 4)} A",
            f"1 - {n(c.asymmetry_slope, 4)} × {n(a)}",
            a,
            -1.0,
            c.asymmetry_limit,
        ),
    }
    found = {}
    for name, (formula, figures, value, free, limit) in lines.items():
        if value > limit:
            figures = say("handling.working.beyond", value=n(value), limit=n(limit))
        elif value <= free:
            figures = say("handling.working.within", value=n(value), free=n(free))
        found[name] = (formula, figures)
    begins = _side(float(p.vertical_of_frequency), p.units)
    table = say("handling.working.table", frequency=n(f, 2), duration=p.duration, side=begins, **column)
    found["fm"] = ("FM(F, duration, V at the origin)", table)
    grip = say("handling.working.class", coupling=p.coupling, side=_side(v, p.units), **column)
    found["cm"] = ("CM(coupling, V)", grip)
    return found


def _side(vertical: float, units: str) -> str:
    """On which side of the reference height a V lies, in words."""
    return say("handling.working.from" if vertical >= constants(units).vertical_reference else "handling.working.below")


def working_of(posture: Posture, end: End, *, mass: float, hand_arithmetic: bool = False) -> list[Working]:
    """Lines of working from six multipliers to RWL and LI, to be redone with a pocket calculator.

    Parameters
    ----------
    posture : Posture
        What is measured, scalars.
    end : End
        The same, rated.
    mass : float
        Load. [mass of the unit set]
    hand_arithmetic : bool
        Whether the end was rated by hand arithmetic.

    Returns
    -------
    list of Working
        HM, VM, DM, AM, FM, CM, RWL, LI.
    """
    digits = HAND_DIGITS if hand_arithmetic else EXACT_DIGITS
    lines, exact = [], rate(posture) if hand_arithmetic else end
    for name, (formula, numbers) in _numbers(posture).items():
        value = float(getattr(end, name))
        if hand_arithmetic and half_up(float(getattr(exact, name)), HAND_DIGITS) != half_up(value, HAND_DIGITS):
            rounds_to = fixed(float(getattr(exact, name)), HAND_DIGITS)
            numbers = say("handling.working.printed", numbers=numbers, rounded=rounds_to, printed=fixed(value, 2))
        lines.append(_line(name, formula, numbers, value, "", TABLES[name], _rests_on(name, posture, value)))
    lines.sort(key=lambda line: list(TABLES).index(line.symbol.lower()))
    unit, rwl = UNIT_SETS[posture.units]["mass"], float(end.rwl)
    factors = " × ".join(fixed(line.value, digits) for line in lines)
    product = f"{plain_number(constants(posture.units).load_constant)} × {factors}"
    lines.append(
        _line(
            "rwl",
            "LC × HM × VM × DM × AM × FM × CM",
            product,
            rwl,
            unit,
            "section 1.3",
            _with(lines, "N-formula", constant_status("load")),
        )
    )
    ratio = f"{plain_number(mass)} / {fixed(rwl, 1 if hand_arithmetic else digits)}"
    li = mass / rwl if rwl > 0 else math.nan
    numbers = ratio if rwl > 0 else say("handling.working.zero")
    lines.append(_line("li", "L / RWL", numbers, li, "", "section 1.3", _with(lines, "N-def-li")))
    return lines


def _line(name: str, formula: str, numbers: str, value: float, unit: str, where: str, rests: dict[str, Any]) -> Working:
    return Working(
        what=say(f"handling.working.{name}"),
        symbol=name.upper(),
        formula=formula,
        numbers=numbers,
        value=value,
        unit=unit,
        where=where,
        **rests,
    )


def _with(lines: list[Working], rule: str, *rows: str) -> dict[str, Any]:
    """What a figure rests on that follows from other lines, and from printed rows, by one rule."""
    return used(SOURCE, rule, rows=[*(line.status for line in lines), *rows])


def _rests_on(name: str, p: Posture, value: float) -> dict[str, Any]:
    """Rules and rows of the manual that one multiplier of a posture really uses."""
    c, rules = constants(p.units), RULES[name]
    h, d, f = float(p.horizontal), float(p.travel), float(p.frequency_per_min)
    beyond = {
        "hm": {"N-h-min": h < c.horizontal_free, "N-h-max": h > c.horizontal_limit},
        "vm": {"N-v-limits": float(p.vertical) > c.vertical_limit},
        "dm": {"N-d-min": d < c.travel_free, "N-d-max": d > c.travel_limit},
        "am": {"N-a-limits": float(p.angle_deg) > c.asymmetry_limit},
        "fm": {"N-f-low": f < c.frequency_floor, "N-f-max": value == 0},
    }.get(name, {})
    rows = (
        {"fm": frequency_status(f), "cm": coupling_status(p.coupling)}.get(name, ""),
        constant_status(CONSTANTS[name]),
    )
    return used(SOURCE, *rules, *(rule for rule, holds in beyond.items() if holds), rows=rows)
