"""Heat: wet-bulb globe temperature, its limits by work load and clothing, and how much of an hour may be work."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coreset.errors import OutOfRange
from coreset.sources import table
from coreset.units import MIN_PER_H

W_PER_KCAL_MIN = 69.78  # 4186.8 J / 60 s
WET_BULB, GLOBE_SHADE, GLOBE_SUN, AIR_SUN = 0.7, 0.3, 0.2, 0.1  # [iso7243_1989] both forms of WBGT
ISO_EDITIONS = {"1989": "iso7243_1989/limits", "2017": "iso7243_2017/limits"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit of WBGT for a work load: who sets it, its value, and its status."""

    scheme: str
    name: str
    wbgt_c: float
    metabolic_w: float
    status: str


def wbgt(*, wet_bulb_c: float, globe_c: float, air_c: float | None = None, sun: bool = False) -> float:
    """Wet-bulb globe temperature.

    Parameters
    ----------
    wet_bulb_c : float
        Natural wet-bulb temperature. [deg C]
    globe_c : float
        Globe temperature. [deg C]
    air_c : float, optional
        Air temperature; needed in the sun. [deg C]
    sun : bool
        Whether the sun shines on the place.

    Returns
    -------
    float
        0.7 wet bulb + 0.3 globe; in the sun 0.7 wet bulb + 0.2 globe + 0.1 air. [deg C]

    Raises
    ------
    OutOfRange
        If the sun shines and no air temperature is given.

    References
    ----------
    [iso7243_1989].

    Examples
    --------
    >>> round(wbgt(wet_bulb_c=25, globe_c=32), 1)
    27.1
    """
    if not sun:
        return WET_BULB * wet_bulb_c + GLOBE_SHADE * globe_c
    if air_c is None:
        raise OutOfRange("air temperature must be given for a place in the sun, got none")
    return WET_BULB * wet_bulb_c + GLOBE_SUN * globe_c + AIR_SUN * air_c


def niosh_limit(metabolic_w: float, *, acclimatized: bool) -> Limit:
    """NIOSH's limit for an hour's mean metabolic rate: REL for the acclimatized, RAL for others.

    References
    ----------
    [niosh2016] section 8: 56.7 - 11.5 log10 M and 59.9 - 14.1 log10 M. The publication's own example reads 27.8 and
    25 off its curves at 348.9 W, where the equations give 27.46 and 24.05.

    Examples
    --------
    >>> round(niosh_limit(348.9, acclimatized=True).wbgt_c, 2)
    27.46
    """
    if not metabolic_w > 0:
        raise OutOfRange(f"metabolic rate must be above zero, got {metabolic_w:g}")
    row = next(r for r in table("niosh2016/limits").rows if (r["acclimatized"] == "yes") == acclimatized)
    value = float(row["constant"]) - float(row["factor"]) * math.log10(metabolic_w)
    status = table("niosh2016/limits").status
    return Limit(scheme="niosh2016", name=row["limit"], wbgt_c=value, metabolic_w=metabolic_w, status=status)


def iso_limit(metabolic_w: float, *, acclimatized: bool, edition: str = "2017", moving_air: bool = False) -> Limit:
    """ISO 7243's reference value for the class of the metabolic rate.

    Parameters
    ----------
    metabolic_w : float
        Metabolic rate of the work. [W]
    acclimatized : bool
        Whether the person is used to the heat.
    edition : {"1989", "2017"}
        Edition of the standard.
    moving_air : bool
        Whether air moves noticeably; it matters in some classes of 1989.

    References
    ----------
    [iso7243_1989], [iso7243_2017] Table A.1; both reprinted.

    Examples
    --------
    >>> iso_limit(300, acclimatized=True, edition="1989").wbgt_c
    28.0
    """
    if edition not in ISO_EDITIONS:
        raise OutOfRange(f"edition must be one of {', '.join(ISO_EDITIONS)}, got {edition!r}")
    printed = table(ISO_EDITIONS[edition])
    air = "moving" if moving_air else "still"
    rows = [row for row in printed.rows if row["air"] in ("", air)]
    row = next(row for row in rows if metabolic_w <= float(row["to_w"] or "inf"))
    value = float(row["acclimatized_c" if acclimatized else "not_acclimatized_c"])
    return Limit(
        scheme=f"iso7243_{edition}", name=row["class"], wbgt_c=value, metabolic_w=metabolic_w, status=printed.status
    )


def clothing_adjustment_c(clothing: str) -> float:
    """What clothing adds to WBGT [iso7243_2017], reprinted but for a coverall without a hood. [deg C]

    Raises
    ------
    OutOfRange
        If the clothing is no row of the table.
    """
    rows = {row["clothing"]: float(row["adjustment_c"]) for row in table("iso7243_2017/clothing").rows}
    if clothing not in rows:
        raise OutOfRange(f"clothing must be one of {', '.join(rows)}, got {clothing!r}")
    return rows[clothing]


def work_minutes_per_h(
    wbgt_c: float, *, work_w: float, rest_w: float, acclimatized: bool, rest_wbgt_c: float | None = None
) -> float:
    """Minutes of an hour that may be worked so that the hour's mean stays within NIOSH's limit.

    Parameters
    ----------
    wbgt_c : float
        WBGT at work, clothing included. [deg C]
    work_w, rest_w : float
        Metabolic rates at work and at rest. [W]
    acclimatized : bool
        Whether REL or RAL holds.
    rest_wbgt_c : float, optional
        WBGT where the rest is taken; without it that of the work place. [deg C]

    Returns
    -------
    float
        60 where no rest is needed; 0 where rest alone is beyond the limit. [min]

    References
    ----------
    [niosh2016] section 8, the limit taken at the hour's time-weighted mean of metabolic rate and of WBGT.

    Examples
    --------
    >>> work_minutes_per_h(22.0, work_w=300, rest_w=117, acclimatized=True)
    60.0
    """
    cool = wbgt_c if rest_wbgt_c is None else rest_wbgt_c

    def within(share: float) -> bool:
        mean_w = share * work_w + (1 - share) * rest_w
        mean_c = share * wbgt_c + (1 - share) * cool
        return mean_c <= niosh_limit(mean_w, acclimatized=acclimatized).wbgt_c

    if within(1.0):
        return MIN_PER_H
    if not within(0.0):
        return 0.0
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if within(middle) else (low, middle)
    return low * MIN_PER_H
