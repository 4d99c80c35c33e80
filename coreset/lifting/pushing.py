"""A push or pull beside the guideline figures of a national risk filter: measured forces -> why a specialist is needed.

No table of pushing capacities could be read, so nothing here says how much a person may push: the figures part what may
pass a first look from what may not.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from coreset.case import Lift
from coreset.sources import table
from coreset.units import CM_PER_IN, M_PER_FT, N_PER_LBF

LOWEST_CM, HIGHEST_CM = 85.0, 120.0  # common practice, no source: between anybody's knuckles and shoulders
FARTHEST_M = 20.0  # [hse_pushpull] below the table
SCALE = {"metric": (1.0, 1.0, 1.0), "us": (N_PER_LBF, CM_PER_IN, M_PER_FT)}
"""Newtons, centimeters and meters of a unit of force, length and distance."""
SAME = 1.0 + 1e-9
"""A limit that is met in one unit set is met in the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pushed:
    """Forces of one push or pull and the guideline figures; 0 where a force was not measured. [N]

    `why` are the reasons for a specialist, as codes: a figure that is exceeded, what the figures assume and is not met,
    what was not measured. Empty is within the figures, which approve nothing.
    """

    start_n: float
    keep_n: float
    start_most_n: float
    keep_most_n: float
    why: tuple[str, ...]
    status: str


@cache
def _figures() -> tuple[float, float, str]:
    found = table("hse_pushpull/guideline")
    start, keep = ({row["what"]: float(row["women_n"]) for row in found.rows}[what] for what in ("start", "keep"))
    return start, keep, found.status


def pushed(lift: Lift, *, units: str) -> Pushed | None:
    """A task's push or pull beside the guideline figures; None where no force is entered.

    Parameters
    ----------
    lift : Lift
        Forces at the handle, height of the hands, distance, state of the place.
    units : {"metric", "us"}
        Unit set of them.

    References
    ----------
    [hse_pushpull]: the lower of its two columns.

    Examples
    --------
    >>> mask = Lift(task="t", method="m", pattern="p", horizontal_origin=30, vertical_origin=90, hoist=True,
    ...     horizontal_destination=30, vertical_destination=90, push_start=180, push_keep=60, push_height=100)
    >>> pushed(mask, units="metric").why
    ('start', 'distance_unknown')
    """
    if not (lift.push_start or lift.push_keep):
        return None
    newton, cm, m = SCALE[units]
    start_most, keep_most, status = _figures()
    start, keep, height = newton * lift.push_start, newton * lift.push_keep, cm * lift.push_height
    found = {
        "start": start > start_most * SAME,
        "keep": keep > keep_most * SAME,
        "not_measured": not (start and keep),
        "height": bool(height) and not LOWEST_CM / SAME <= height <= HIGHEST_CM * SAME,
        "height_unknown": not height,
        "distance": m * lift.push_distance > FARTHEST_M * SAME,
        "distance_unknown": not lift.push_distance,
        "place": lift.restricted or lift.unstable or lift.slippery,
    }
    return Pushed(
        start_n=start,
        keep_n=keep,
        start_most_n=start_most,
        keep_most_n=keep_most,
        why=tuple(code for code, true in found.items() if true),
        status=status,
    )
