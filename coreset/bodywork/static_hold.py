"""Rest that static holding calls for: how long a core is held still, with what share of strength, how often."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from coreset.bodywork.energy import endurance_min
from coreset.case import Case, Lift
from coreset.errors import OutOfRange
from coreset.lifting.screen import frequency, standard_seconds
from coreset.sources import table
from coreset.units import MIN_PER_H, S_PER_MIN

BORG_FULL = 10.0  # common practice, no source: 10 on the CR10 scale is taken as all strength
LEAST_SHARE = 0.20  # [bernard2006] the endurance curve holds from here on


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """One lift whose hold was described. `share` of strength; `hold_s` of one hold; `per_h` holds in an hour.

    `endurance_min`, `rest_min_per_h` are 0 where the share is below what the curve is good for.
    """

    task: str
    share: float
    hold_s: float
    per_h: float
    endurance_min: float
    rest_min_per_h: float


def static_rest_share(hold_min: float, share_of_strength: float) -> float:
    """Rest after a static hold as a share of the holding time: 18 (t/T)^1.4 (f - 0.15)^0.5. [-]

    Parameters
    ----------
    hold_min : float
        t. [min]
    share_of_strength : float
        f, 0.20 to 1: T is the endurance by [bernard2006].

    References
    ----------
    [rohmert1960], from memory.

    Examples
    --------
    >>> round(static_rest_share(1.0, 0.3), 3), round(static_rest_share(0.025, 0.2), 4)
    (1.893, 0.0017)
    """
    if hold_min < 0:
        raise OutOfRange(f"hold_min must not be negative, got {hold_min:g}")
    c = {row["name"]: float(row["value"]) for row in table("rohmert1960/rest").rows}
    used = (hold_min / endurance_min(share_of_strength)) ** c["power_time"]
    return c["factor"] * used * (share_of_strength - c["least"]) ** c["power_force"]


def hold(case: Case, lift: Lift, standard_s: float) -> Hold | None:
    """The hold of one lift at standard pace; None where effort or seconds are not stated or the pace is not known.

    Parameters
    ----------
    case : Case
        Sessions and units.
    lift : Lift
        Effort, seconds of one hold, lifts a mold.
    standard_s : float
        Standard time of a mold. [s]
    """
    per_h = MIN_PER_H * frequency(case, lift, standard_s)[0]
    if not (lift.effort_borg and lift.exertion_s) or per_h != per_h:
        return None
    share, minutes = min(1.0, lift.effort_borg / BORG_FULL), lift.exertion_s / S_PER_MIN
    known = share >= LEAST_SHARE
    return Hold(
        task=lift.task,
        share=share,
        hold_s=lift.exertion_s,
        per_h=per_h,
        endurance_min=endurance_min(share) if known else 0.0,
        rest_min_per_h=per_h * minutes * static_rest_share(minutes, share) if known else 0.0,
    )


def holds(case: Case, pattern: str, method: str, standards: Iterable[Any]) -> tuple[Hold, ...]:
    """Holds that are described of a pattern's lifts under a method.

    Parameters
    ----------
    case : Case
        Lifts with effort and seconds.
    pattern, method : str
        Whose lifts.
    standards : iterable of Standard
        Standard times by pattern and method; none of this pattern and method gives no hold.
    """
    seconds = standard_seconds(standards)
    if (pattern, method) not in seconds:
        return ()
    own = [lift for lift in case.lifts if (lift.pattern, lift.method) == (pattern, method)]
    found = (hold(case, lift, seconds[pattern, method]) for lift in own)
    return tuple(one for one in found if one is not None)
