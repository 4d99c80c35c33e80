"""What the lifting equation has no factor for: one hand and long shifts (EN/ISO), teams, and carrying."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from coreset.case import Lift
from coreset.errors import OutOfRange
from coreset.lifting.constants import constant_status, constants
from coreset.sources import table, weakest
from coreset.units import KG_PER_LB, M_PER_FT

SHIFT_LONGEST_H = 12.0
CARRIED_BY = "adult working population"


@dataclass(frozen=True, slots=True, kw_only=True)
class Factored:
    """An index in the form of the NIOSH equation with other factors; never to be shown as NIOSH's own.

    `load_share` is the share of the load that one person takes, `factors` each factor by name, `persons` how many lift.
    `at_least` says that a condition without a factor makes it harder still, as an uneven share of a team's load does.
    `index` is infinite where RWL is 0.
    """

    index: float
    rwl: float
    load_share: float
    factors: dict[str, float]
    status: str
    at_least: bool = False
    persons: int = 1


@cache
def _factor(name: str) -> float:
    return next(float(row["value"]) for row in table("en1005_2/multipliers").rows if row["name"] == name)


def long_shift_multiplier(hours: float) -> float:
    """Factor for shifts of 8 to 12 hours [iso11228_2021], from memory.

    Examples
    --------
    >>> long_shift_multiplier(8), long_shift_multiplier(10), long_shift_multiplier(10.5)
    (1.0, 0.93, 0.89)
    """
    rows = table("iso11228_2021/long_shift").rows
    if hours > SHIFT_LONGEST_H:
        raise OutOfRange(f"shift must be at most {SHIFT_LONGEST_H:g} hours for this method, got {hours:g}")
    found = [float(row["em"]) for row in rows if float(row["above_h"]) < hours <= float(row["to_h"])]
    return found[0] if found else 1.0


@cache
def team_factors() -> dict[int, float]:
    """Share of the sum of what each could lift alone, by the number of people [hse2004] paragraph 120, reprinted.

    Examples
    --------
    >>> team_factors()
    {2: 0.6666666666666666, 3: 0.5}
    """
    rows = table("hse2004/team_lifting").rows
    return {int(row["persons"]): int(row["numerator"]) / int(row["denominator"]) for row in rows}


def factored_index(
    rwl: float, mass: float, *, hands: int, persons: int, hours: float = 8.0, extra_tasks: bool = False
) -> Factored:
    """Index of a lift with one hand or by a team.

    A team is rated as if the load were shared evenly. More than three count as three: nothing is printed for them.

    Parameters
    ----------
    rwl : float
        Recommended weight limit of the same lift by the NIOSH equation. [mass]
    mass : float
        Load. [mass]
    hands, persons : int
        Hands of each person, and people who lift together.
    hours : float
        Length of the shift. [h]
    extra_tasks : bool
        Whether other heavy tasks come on top.

    Returns
    -------
    Factored
        Load share over RWL x factors. [-]

    Raises
    ------
    OutOfRange
        If there is no person, or the shift is above 12 h.

    References
    ----------
    [en1005_2], [iso11228_2021], from memory; teams [hse2004] paragraph 120, reprinted.

    Examples
    --------
    >>> round(factored_index(20.0, 12.0, hands=1, persons=1).index, 2)
    1.0
    >>> [round(factored_index(20.0, 12.0, hands=2, persons=n).index, 2) for n in (1, 2, 3, 4)]
    [0.6, 0.45, 0.4, 0.4]
    """
    if persons < 1:
        raise OutOfRange(f"persons must be one or more, got {persons}")
    lifting = min(persons, max(team_factors()))
    factors = {}
    if hands == 1:
        factors["one_hand"] = _factor("one_hand")
    if extra_tasks:
        factors["extra_tasks"] = _factor("extra_tasks")
    if (long := long_shift_multiplier(hours)) < 1:
        factors["long_shift"] = long
    if lifting > 1:
        factors["team"] = team_factors()[lifting]
    limit = rwl
    for factor in factors.values():
        limit *= factor
    share = mass / lifting
    return Factored(
        index=share / limit if limit > 0 else math.inf,
        rwl=limit,
        load_share=share,
        factors=factors,
        status=_read(factors),
        at_least=lifting > 1,
        persons=persons,
    )


def _read(factors: Iterable[str]) -> str:
    """Weakest status of the tables that factors are from; without any the index is that of the manual."""
    where = {"team": "hse2004/team_lifting", "long_shift": "iso11228_2021/long_shift"}
    found = [table(where.get(name, "en1005_2/multipliers")).status for name in factors]
    return weakest(found or [constant_status()])


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrying:
    """A carrying task against its limits; `share` is the worst ratio of what is done to what is allowed.

    `binding`: mass, frequency, kg_per_min, kg_per_h or kg_per_8h. `distance_m` is the row of the table that holds;
    `at_least` says that the distance is longer than the last row, or the pace not known, so that the share is a lower
    limit.
    """

    distance_m: float
    carried: dict[str, float]
    limits: dict[str, float]
    share: float
    binding: str
    at_least: bool
    status: str

    @property
    def beyond_mass(self) -> bool:
        """Whether the load alone is above the reference mass of the table, however seldom it is carried."""
        return self.carried["mass"] > self.limits["mass"]


@cache
def _reference_mass() -> float:
    """Reference mass that the carrying limits are made for. [kg]"""
    rows = table("iso11228_2003/reference_mass").rows
    return next(float(row["reference_mass_kg"]) for row in rows if row["population"] == CARRIED_BY)


def carrying(mass_kg: float, distance_m: float, *, per_min: float, minutes_per_shift: float = 480.0) -> Carrying:
    """A two-handed carrying task against the limits for its distance; the mass is checked before anything else.

    Parameters
    ----------
    mass_kg : float
        Load. [kg]
    distance_m : float
        Distance carried; the next longer row of the table holds, the last one beyond it. [m]
    per_min : float
        Times a minute; NaN where it is not known. [1/min]
    minutes_per_shift : float
        Minutes a shift in which it goes on. [min]

    Returns
    -------
    Carrying
        Each quantity that is known with its limit.

    References
    ----------
    [iso11228_2003], ideal conditions, reference mass 25 kg; all limits from memory.

    Examples
    --------
    >>> found = carrying(10.0, 3.0, per_min=2.0)
    >>> found.distance_m, found.binding, round(found.share, 2)
    (4.0, 'kg_per_8h', 0.96)
    >>> carrying(60.0, 3.0, per_min=0.01).beyond_mass
    True
    """
    rows = sorted(table("iso11228_2003/carrying").rows, key=lambda row: float(row["distance_m"]))
    row = next((row for row in rows if distance_m <= float(row["distance_m"])), rows[-1])
    per_h = per_min * min(60.0, minutes_per_shift)
    carried = {
        "mass": mass_kg,
        "frequency": per_min,
        "kg_per_min": mass_kg * per_min,
        "kg_per_h": mass_kg * per_h,
        "kg_per_8h": mass_kg * per_min * minutes_per_shift,
    }
    carried = {name: value for name, value in carried.items() if not math.isnan(value)}
    limits = {name: _carrying_limit(row, name) for name in carried}
    worst = max(carried, key=lambda name: carried[name] / limits[name])
    return Carrying(
        distance_m=float(row["distance_m"]),
        carried=carried,
        limits=limits,
        share=carried[worst] / limits[worst],
        binding=worst,
        at_least=distance_m > float(row["distance_m"]) or math.isnan(per_min),
        status=table("iso11228_2003/carrying").status,
    )


def _carrying_limit(row: Mapping[str, str], name: str) -> float:
    if name == "mass":
        return _reference_mass()
    return float(row["f_max_per_min" if name == "frequency" else name])


def in_kg_and_m(lift: Lift, mass: float, units: str) -> tuple[float, float]:
    """Load and way carried of a task in the units of the carrying limits. [kg, m]

    Parameters
    ----------
    lift : Lift
        Row with the way carried. [m or ft]
    mass : float
        Load. [kg or lb]
    units : {"metric", "us"}
        Unit set of both.
    """
    return (mass, lift.carry) if units == "metric" else (mass * KG_PER_LB, lift.carry * M_PER_FT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Referred:
    """Index with another reference mass in the place of the load constant, for one population."""

    population: str
    reference_kg: float
    index: float
    source: str
    status: str


def referred_indices(li: float) -> tuple[Referred, ...]:
    """Index of a lift for each reference mass of EN 1005-2 and ISO 11228-1 that is a single figure.

    Parameters
    ----------
    li : float
        Index with the load constant of 23 kg. [-]

    Returns
    -------
    tuple of Referred
        LI x 23 / reference mass; the constant of 51 lb is taken as 23 kg. [-]

    References
    ----------
    [iso11228_2003], [iso_tr12295]; all masses from memory.
    """
    found = []
    load_kg = constants("metric").load_constant
    for key in ("iso11228_2003", "iso_tr12295"):
        printed = table(f"{key}/reference_mass")
        for row in printed.rows:
            if row["reference_mass_kg"].isdecimal():
                mass = float(row["reference_mass_kg"])
                found.append(
                    Referred(
                        population=row["population"],
                        reference_kg=mass,
                        index=li * load_kg / mass,
                        source=key,
                        status=printed.row_status(row),
                    )
                )
    return tuple(found)
