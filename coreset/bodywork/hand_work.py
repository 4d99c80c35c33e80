"""Light, one-handed or seated work with the hands: the Strain Index of 1995 and the Revised Strain Index of 2017."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from coreset.errors import OutOfRange
from coreset.lifting.equation import checked
from coreset.sources import table, weakest
from coreset.units import S_PER_MIN

FULL_CYCLE_PCT = 100.0
FLEXION_DEG = (5.0, 15.0, 30.0, 50.0)  # [moore1995] upper ends of the wrist ratings 1-4, memory
EXTENSION_DEG = (10.0, 25.0, 40.0, 55.0)  # [moore1995] upper ends of the wrist ratings 1-4, memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """What is known of the work of one hand.

    `effort_borg` on the CR10 scale; `efforts_per_min`; `exertion_s`, seconds of one effort; `wrist_deg`, flexion
    positive, extension negative; `speed_pct` of predetermined-time pace; `hours` a day.
    """

    effort_borg: float
    efforts_per_min: float
    exertion_s: float
    wrist_deg: float = 0.0
    speed_pct: float = 100.0
    hours: float = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Strain:
    """An index of hand work with its multipliers by name, the one that binds, and the weakest status it rests on."""

    index: float
    multipliers: dict[str, float]
    binding: str
    status: str
    source: str


@cache
def _ratings(variable: str) -> tuple[tuple[float, float], ...]:
    """Lower end and multiplier of each rating of a variable that is measured, in order."""
    rows = [row for row in table("moore1995/ratings").rows if row["variable"] == variable]
    return tuple((float(row["lower"]), float(row["multiplier"])) for row in rows)


def _by_lower_end(variable: str, value: float) -> float:
    """Multiplier of the last rating whose lower end is reached: half-open intervals, so that no value falls between."""
    return [multiplier for lower, multiplier in _ratings(variable) if value >= lower][-1]


def intensity_multiplier(effort_borg: float) -> float:
    """Multiplier of the effort: Borg up to 2, 3, 4-5, 6-7, above 7; a value between belongs to the rating above.

    Examples
    --------
    >>> [intensity_multiplier(b) for b in (0, 2, 3, 4.5, 6, 10)]
    [1.0, 1.0, 3.0, 6.0, 9.0, 13.0]
    """
    rows = [row for row in table("moore1995/ratings").rows if row["variable"] == "IE"]
    if not 0 <= effort_borg <= float(rows[-1]["upper"]):
        raise OutOfRange(f"effort must be 0 to 10 on the Borg CR10 scale, got {effort_borg:g}")
    return next(float(row["multiplier"]) for row in rows if effort_borg <= float(row["upper"]))


def wrist_multiplier(wrist_deg: float) -> float:
    """Multiplier of the wrist's posture by its angle, flexion positive; anchors from memory.

    Examples
    --------
    >>> [wrist_multiplier(a) for a in (0, 20, -30, 60)]
    [1.0, 1.5, 1.5, 3.0]
    """
    ends = FLEXION_DEG if wrist_deg >= 0 else EXTENSION_DEG
    rating = sum(abs(wrist_deg) > end for end in ends)
    return [float(row["multiplier"]) for row in table("moore1995/ratings").rows if row["variable"] == "HWP"][rating]


def strain_index(hands: Hands) -> Strain:
    """The Strain Index of 1995: the product of six multipliers of rated variables.

    Parameters
    ----------
    hands : Hands
        The work of one hand.

    Returns
    -------
    Strain
        SI = IE x DE x EM x HWP x SW x DD. [-]

    Raises
    ------
    OutOfRange
        If the effort is outside 0-10, or a duration or rate negative, or the efforts fill more than the time there is.

    References
    ----------
    [moore1995], multipliers reprinted, anchors of wrist and speed from memory; with efforts that never pause the
    multiplier for their rate is 3 (memory).

    Examples
    --------
    >>> strain_index(Hands(effort_borg=3, efforts_per_min=12, exertion_s=2.5)).index
    9.0
    """
    _possible(hands)
    share = _share_pct(hands)
    parts = {
        "intensity": intensity_multiplier(hands.effort_borg),
        "exertion": _by_lower_end("DE", share),
        "rate": _by_lower_end("EM", hands.efforts_per_min),
        "wrist": wrist_multiplier(hands.wrist_deg),
        "speed": _speed_multiplier(hands.speed_pct),
        "hours": _hours_multiplier(hands.hours),
    }
    if share >= FULL_CYCLE_PCT:
        parts["rate"] = _ratings("EM")[-1][1]
    memory = abs(hands.wrist_deg) > FLEXION_DEG[0] or parts["speed"] != 1 or share >= FULL_CYCLE_PCT
    return Strain(
        index=math.prod(parts.values()),
        multipliers=parts,
        binding=max(parts, key=lambda name: parts[name]),
        status=weakest(["memory" if memory else "", *(row["status"] for row in table("moore1995/ratings").rows)]),
        source="moore1995",
    )


def _speed_multiplier(speed_pct: float) -> float:
    """A pace that is the upper end of a rating still belongs to it."""
    rows = [row for row in table("moore1995/ratings").rows if row["variable"] == "SW"]
    return next(float(row["multiplier"]) for row in rows if speed_pct <= float(row["upper"] or "inf"))


def _hours_multiplier(hours: float) -> float:
    """Hours a day: 4 to 8 includes 8 itself; the ratings below take their lower end."""
    longest = _ratings("DD")[-1][0]
    return _by_lower_end("DD", math.nextafter(longest, 0.0) if hours == longest else hours)


def _share_pct(hands: Hands) -> float:
    return hands.efforts_per_min * hands.exertion_s / S_PER_MIN * 100.0


def _possible(hands: Hands) -> None:
    for name in ("efforts_per_min", "exertion_s", "speed_pct", "hours"):
        checked(getattr(hands, name), name)
    if _share_pct(hands) > FULL_CYCLE_PCT * (1 + 1e-9):
        raise OutOfRange(f"efforts must fit into their time, got {_share_pct(hands):.0f} % of it")
    if abs(hands.wrist_deg) > 90.0:
        raise OutOfRange(f"wrist angle must be within 90 degrees, got {hands.wrist_deg:g}")


@cache
def _coefficients() -> dict[str, float]:
    return {row["name"]: float(row["value"]) for row in table("garg2017/coefficients").rows}


def revised_intensity(share: float) -> float:
    """IM of the Revised Strain Index for an effort as a share of the greatest, 0 to 1."""
    c = _coefficients()
    branch = "low" if share <= c["im_break"] else "high"
    return sum(c[f"im_{branch}_{power}"] * share**power for power in range(4))


def revised_rate(efforts_per_min: float) -> float:
    """EM of the Revised Strain Index."""
    c = _coefficients()
    if efforts_per_min <= c["em_break"]:
        return c["em_low_0"] + c["em_low_1"] * efforts_per_min
    return c["em_high_factor"] * efforts_per_min ** c["em_high_power"]


def revised_exertion(exertion_s: float) -> float:
    """DM of the Revised Strain Index."""
    c = _coefficients()
    if exertion_s <= c["dm_break"]:
        return c["dm_low_0"] + c["dm_low_1"] * exertion_s
    return c["dm_high_factor"] * math.log(exertion_s) + c["dm_high_0"]


def revised_wrist(wrist_deg: float) -> float:
    """PM of the Revised Strain Index, flexion positive."""
    c = _coefficients()
    if wrist_deg >= 0:
        return c["pm_flexion_factor"] * math.exp(c["pm_flexion_rate"] * wrist_deg) + c["pm_flexion_0"]
    over = max(0.0, -wrist_deg - c["pm_extension_free"])
    return 1.0 + c["pm_extension_factor"] * over**2


def revised_hours(hours: float) -> float:
    """HM of the Revised Strain Index."""
    c = _coefficients()
    if hours <= c["hm_break"]:
        return c["hm_low"]
    return c["hm_high_1"] * hours + c["hm_high_log"] * math.log(hours) + c["hm_high_0"]


def revised_strain_index(hands: Hands) -> Strain:
    """The Revised Strain Index of 2017: the product of five continuous multipliers.

    Parameters
    ----------
    hands : Hands
        The work of one hand.

    Returns
    -------
    Strain
        RSI = IM x EM x DM x PM x HM. [-]

    References
    ----------
    [garg2017], coefficients reprinted; the limit that the index is held against is from memory.
    """
    _possible(hands)
    parts = {
        "intensity": revised_intensity(hands.effort_borg / 10.0),
        "rate": revised_rate(hands.efforts_per_min),
        "exertion": revised_exertion(hands.exertion_s),
        "wrist": revised_wrist(hands.wrist_deg),
        "hours": revised_hours(hands.hours),
    }
    return Strain(
        index=math.prod(parts.values()),
        multipliers=parts,
        binding=max(parts, key=lambda name: parts[name]),
        status=weakest(row["status"] for row in table("garg2017/coefficients").rows if row["name"] != "limit"),
        source="garg2017",
    )
