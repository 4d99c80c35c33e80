"""Energy of a whole handling task by its terms: lift below and above the bend, carry and walk back, hold, push."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from coreset.bodywork.energy import HUNDREDTH, Vertical, coefficients, vertical_kcal
from coreset.errors import OutOfRange
from coreset.units import S_PER_MIN

SPEED_M_S = 1.0  # common practice, no source: a slow walk with a core in the hands
PLACES = ("waist", "sides")
"""Where a load is carried: against waist or thighs, or at arms' length at the sides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A load carried over a way and the walk back without it. [kg, m, kg, m/s]"""

    load_kg: float
    distance_m: float
    body_kg: float
    speed_m_s: float = SPEED_M_S
    place: str = "waist"


def walk_kcal(carried: Carried) -> float:
    """Net energy of walking the way once, level and without a load [garg1978], reprinted. [kcal]

    Examples
    --------
    >>> round(walk_kcal(Carried(load_kg=12, distance_m=3, body_kg=80)), 4)
    0.1271
    """
    c, one = coefficients(), carried
    rate = c["walk"] + c["walk_body"] * one.body_kg * one.speed_m_s**2
    return HUNDREDTH * rate * one.distance_m / one.speed_m_s / S_PER_MIN


def carry_kcal(carried: Carried) -> float:
    """Net energy of carrying a load over the way once, level.

    Parameters
    ----------
    carried : Carried
        Load, way, body and where it is carried.

    Returns
    -------
    float
        (c + c_body BW V^2 + c_moved L V^2 + c_load L) t / 100, t in minutes. [kcal]

    Raises
    ------
    OutOfRange
        If the place is not waist or sides.

    References
    ----------
    [garg1978] carrying terms, reprinted.

    Examples
    --------
    >>> round(carry_kcal(Carried(load_kg=12, distance_m=3, body_kg=80)), 4)
    0.2285
    """
    if carried.place not in PLACES:
        raise OutOfRange(f"place must be one of {', '.join(PLACES)}, got {carried.place!r}")
    c, one = coefficients(), carried
    term = {name: c[f"carry_{one.place}{name}"] for name in ("", "_body", "_moved", "_load")}
    square = one.speed_m_s**2
    rate = term[""] + (term["_body"] * one.body_kg + term["_moved"] * one.load_kg) * square
    rate += term["_load"] * one.load_kg
    return HUNDREDTH * rate * one.distance_m / one.speed_m_s / S_PER_MIN


def hold_kcal(carried: Carried, seconds: float, *, hands: int = 2) -> float:
    """Net energy of holding a load still.

    Parameters
    ----------
    carried : Carried
        Load, and whether it is held at the waist or at the sides.
    seconds : float
        How long. [s]
    hands : int
        With one hand the term is one of its own, wherever the load is.

    References
    ----------
    [garg1978] holding terms, reprinted.

    Examples
    --------
    >>> round(hold_kcal(Carried(load_kg=12, distance_m=0, body_kg=80), 4.0), 4)
    0.0496
    """
    name = "one_hand" if hands == 1 else carried.place
    return coefficients()[f"hold_{name}_load"] * carried.load_kg * seconds / S_PER_MIN


def push_kcal(force_kgf: float, distance_m: float, *, body_kg: float, men: bool) -> tuple[float, float]:
    """Least and most net energy of a push: with the hands at 0.8 m and at 1.5 m, as far as anything is printed.

    Parameters
    ----------
    force_kgf : float
        Force at the handle. [kgf]
    distance_m : float
        Way pushed. [m]
    body_kg : float
        Body mass. [kg]
    men : bool
        Whether a man pushes.

    Returns
    -------
    tuple of float
        The smaller and the larger of the two. [kcal]

    References
    ----------
    [garg1978] pushing terms, reprinted.

    Examples
    --------
    >>> [round(x, 2) for x in push_kcal(10.0, 5.0, body_kg=80.0, men=True)]
    [1.28, 2.23]
    """
    c = coefficients()
    force = c["push_low_force"] + c["push_low_force_men"] * men
    low = HUNDREDTH * distance_m * (c["push_low_body"] * body_kg + force * force_kgf)
    high = distance_m * (c["push_high"] + c["push_high_force"] * force_kgf)
    return min(low, high), max(low, high)


def lift_kcal(move: Vertical, *, hands: int = 2) -> float:
    """Net energy of a lift or lowering over any heights: bent below 0.81 m, by the arms above it. [kcal]

    `move.style` says how the part below is done, stoop or squat; with one hand a lift there has a term of its own.

    References
    ----------
    [garg1978]; the heights are parted at the bend, as its terms are for either side of it.
    """
    return sum(vertical_kcal(part) for part in _parts(move, hands))


def _parts(move: Vertical, hands: int) -> Iterator[Vertical]:
    bend = coefficients()["bend_height"]
    if move.low_m < bend:
        style = "one_hand" if hands == 1 and not move.lowering else move.style
        yield replace(move, high_m=min(move.high_m, bend), style=style)
    if move.high_m > bend:
        yield replace(move, low_m=max(move.low_m, bend), style="arm")
