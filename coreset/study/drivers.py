"""What the time of setting cores may depend on: how many, how heavy, how far, for a pattern under a method."""

from __future__ import annotations

import math

from coreset.case import Case, Lift

DRIVERS = ("cores", "mass", "heaviest", "distance")
"""Cores in a mold; their mass together; the heaviest one; the way that all of them are moved. The simplest first."""
LENGTHS_PER_DISTANCE = {"metric": 100.0, "us": 12.0}


def moved(lift: Lift, units: str) -> float:
    """Way of one lift: what is carried, and the straight way of the hands from H, V and A at both ends. [m or ft]

    Examples
    --------
    >>> lift = Lift(task="t", method="manual", pattern="P", core="A", horizontal_origin=30, horizontal_destination=40,
    ...             vertical_origin=70, vertical_destination=70, asymmetry_origin_deg=90, carry=2)
    >>> moved(lift, "metric")
    2.5
    """
    turn = math.radians(lift.asymmetry_destination_deg - lift.asymmetry_origin_deg)
    near, far = lift.horizontal_origin, lift.horizontal_destination
    flat = near**2 + far**2 - 2 * near * far * math.cos(turn)
    hands = math.sqrt(max(0.0, flat) + (lift.vertical_destination - lift.vertical_origin) ** 2)
    return lift.carry + hands / LENGTHS_PER_DISTANCE[units]


def drivers(case: Case, pattern: str, method: str) -> dict[str, float]:
    """What drives the time of one mold of a pattern under a method, by the names of `DRIVERS`.

    Parameters
    ----------
    case : Case
        Cores and lifts.
    pattern, method : str
        The pair.

    Returns
    -------
    dict
        `cores` [-], `mass` and `heaviest` [kg or lb], `distance` for one mold [m or ft], NaN where no lift of a core is
        described.
    """
    cores = case.cores_of(pattern)
    lifts = [
        lift for lift in case.lifts
        if (lift.pattern, lift.method) == (pattern, method) and lift.core and lift.lifts_per_mold
    ]  # fmt: skip
    return {
        "cores": float(case.core_count(pattern)),
        "mass": sum(core.per_mold * core.mass for core in cores),
        "heaviest": max((core.mass for core in cores), default=0.0),
        "distance": sum(lift.lifts_per_mold * moved(lift, case.units) for lift in lifts) if lifts else math.nan,
    }
