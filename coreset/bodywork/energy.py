"""Energy that handling takes, against the energy limits of repeated lifting; rest that the energy calls for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from coreset.errors import OutOfRange
from coreset.lifting.constants import constants
from coreset.sources import table

STANDARD_BODY_KG = 70.0  # [acgih1992] components are for a worker of 70 kg
STYLES = ("stoop", "squat", "arm", "one_hand")
HUNDREDTH = 0.01  # [garg1978] lifting terms are per 100


@cache
def _components() -> dict[str, float]:
    rows = table("acgih1992/components").rows
    return {row["item"]: float(row["kcal_per_min"]) for row in rows if row["kcal_per_min"]}


def component_kcal_per_min(posture: str, work: str, *, walking_kcal_per_min: float = 0.0) -> float:
    """Energy by components: basal metabolism, posture or walking, and the kind of work.

    Parameters
    ----------
    posture : str
        sitting or standing; empty where somebody walks.
    work : str
        A row of the component table, such as "both arms heavy"; empty for none.
    walking_kcal_per_min : float
        Walking, 2 to 3 by the table. [kcal/min]

    Returns
    -------
    float
        Sum. [kcal/min], for a body of 70 kg.

    Raises
    ------
    OutOfRange
        If a row is not in the table.

    References
    ----------
    [acgih1992], reprinted.

    Examples
    --------
    >>> component_kcal_per_min("standing", "both arms heavy")
    4.1
    """
    parts = _components()
    for name in (posture, work):
        if name and name not in parts:
            raise OutOfRange(f"component must be a row of the table, got {name!r}")
    total = parts["basal metabolism"] + parts.get(posture, 0.0) + parts.get(work, 0.0)
    return round(total + walking_kcal_per_min, 6)


@cache
def coefficients() -> dict[str, float]:
    """Coefficients of the energy terms by name [garg1978], reprinted."""
    return {row["name"]: float(row["value"]) for row in table("garg1978/coefficients").rows}


@dataclass(frozen=True, slots=True, kw_only=True)
class Vertical:
    """One lift or lowering for the energy model: load and body in kg, heights of the hands in m, how, men or not."""

    load_kg: float
    low_m: float
    high_m: float
    style: str = "stoop"
    body_kg: float = STANDARD_BODY_KG
    men: bool = True
    lowering: bool = False


def vertical_kcal(move: Vertical) -> float:
    """Net energy of one lift or lowering.

    Parameters
    ----------
    move : Vertical
        Heights of the hands, load, body. Stoop, squat and one hand take the part below 0.81 m, arm that above it.

    Returns
    -------
    float
        Net of posture. [kcal]

    Raises
    ------
    OutOfRange
        If the style is none of these, a lowering with one hand, or the heights are upside down.

    References
    ----------
    [garg1978], lifting and lowering terms, reprinted.
    """
    c, m = coefficients(), move
    if m.style not in STYLES:
        raise OutOfRange(f"style must be one of {', '.join(STYLES)}, got {m.style!r}")
    if m.style == "one_hand" and m.lowering:
        raise OutOfRange("style one_hand must be a lift, for lowering has no such term")
    if m.high_m < m.low_m:
        raise OutOfRange(f"high_m must be at least low_m {m.low_m:g}, got {m.high_m:g}")
    kind = f"{m.style}_{'lower' if m.lowering else 'lift'}"
    men = 1.0 if m.men else 0.0
    reach = m.high_m - c["bend_height"] if m.style == "arm" else c["bend_height"] - m.low_m
    load = c[f"{kind}_load"] + c.get(f"{kind}_load_men", 0.0) * men
    body = c[f"{kind}_body"] * m.body_kg * max(0.0, reach)
    sex = c.get(f"{kind}_men", 0.0) * men * max(0.0, reach)
    return HUNDREDTH * (body + load * m.load_kg * (m.high_m - m.low_m) + sex)


def standing_kcal_per_min(body_kg: float) -> float:
    """Energy of standing [garg1978], reprinted. [kcal/min]"""
    return coefficients()["standing"] * body_kg


@cache
def _basis() -> dict[str, float]:
    return {row["name"]: float(row["value"]) for row in table("waters1993/energy_basis").rows}


def energy_limit_kcal_per_min(duration: str, vertical: float, *, units: str = "metric") -> float:
    """Energy limit of repeated lifting by duration class and height of the hands.

    Parameters
    ----------
    duration : {"short", "moderate", "long"}
        Duration class of the job.
    vertical : float
        Lowest height of the hands, V. [cm, or in]
    units : {"metric", "us"}
        Unit set of V.

    Returns
    -------
    float
        9.5 kcal/min, 70 % of it from the reference height up, times 50, 40 or 33 % by duration. [kcal/min]

    References
    ----------
    [waters1993] energetic criterion; basis reprinted. Printed with two digits as 4.7, 3.7, 3.1 and 3.3, 2.7, 2.2
    (memory), which are not all this product rounded.

    Examples
    --------
    >>> round(energy_limit_kcal_per_min("long", 50), 3), round(energy_limit_kcal_per_min("long", 80), 4)
    (3.135, 2.1945)
    """
    basis = _basis()
    if f"share_{duration}" not in basis:
        raise OutOfRange(f"duration must be short, moderate or long, got {duration!r}")
    arms = basis["arm_share"] if vertical >= constants(units).vertical_reference else 1.0
    return basis["capacity"] * arms * basis[f"share_{duration}"]


def rest_share(task: float, *, limit: float, rest: float) -> float:
    """Share of the total time, work and rest together, that must be rest so that the mean stays at the limit.

    Parameters
    ----------
    task, limit, rest : float
        Energy rates of the task, as a mean allowed, and at rest, in one unit.

    Returns
    -------
    float
        (task - limit)/(task - rest), 0 where the task is within the limit. [-]

    Raises
    ------
    OutOfRange
        If rest is not below the limit.

    References
    ----------
    [murrell1965]; the time is the total, for only then the energy balances.

    Examples
    --------
    >>> rest_share(6.5, limit=5.0, rest=1.5)
    0.3
    """
    if not rest < limit:
        raise OutOfRange(f"energy at rest must be below the limit {limit:g}, got {rest:g}")
    return 0.0 if task <= limit else (task - limit) / (task - rest)


def murrell_rest_min(task_kcal_per_min: float, total_min: float) -> float:
    """Rest within a total time by Murrell's figures: 5 kcal/min allowed, 1.5 at rest [murrell1965].

    Examples
    --------
    >>> murrell_rest_min(7.5, 480)
    200.0
    """
    figures = {row["name"]: float(row["value"]) for row in table("murrell1965/rest").rows}
    return total_min * rest_share(task_kcal_per_min, limit=figures["limit"], rest=figures["rest"])


def endurance_min(share_of_strength: float) -> float:
    """How long a static hold can be kept up.

    References
    ----------
    [bernard2006] after Rohmert: -1.5 + 2.1/f - 0.6/f^2 + 0.1/f^3 for 20 to 100 % of strength. Below that it is not to
    be used: shoulders tire at low forces too.

    Raises
    ------
    OutOfRange
        If the share is outside 0.20 to 1.

    Examples
    --------
    >>> round(endurance_min(0.2), 2), round(endurance_min(1.0), 2)
    (6.5, 0.1)
    """
    if not 0.2 <= share_of_strength <= 1:
        raise OutOfRange(f"share of strength must be 0.20 to 1 for this curve, got {share_of_strength:g}")
    rows = table("bernard2006/endurance").rows
    return sum(float(row["factor"]) / share_of_strength ** int(row["power"]) for row in rows)
