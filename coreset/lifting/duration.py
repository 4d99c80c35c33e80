"""How long and how often: the duration class of spells of lifting, and the frequency over a quarter of an hour."""

from __future__ import annotations

import math
from collections.abc import Sequence

from coreset.errors import OutOfRange
from coreset.lifting.constants import constants
from coreset.units import MIN_PER_H

SHORT_MAX_MIN = 60.0  # [waters1994] section 1.3, short duration
MODERATE_MAX_MIN = 120.0  # [waters1994] section 1.3, moderate duration
MODERATE_RECOVERY = 0.3  # [waters1994] section 1.3, light work over work time
SHORT_RECOVERY = {"1994": 1.2, "2021": 1.0}  # [waters1994] 1994 print and 2021 revision, p. 13, reprinted
Spells = Sequence[tuple[float, float]]


def class_of(work_min: float) -> str:
    """Duration class of one unbroken session.

    Examples
    --------
    >>> class_of(60), class_of(61), class_of(121)
    ('short', 'moderate', 'long')
    """
    if work_min <= SHORT_MAX_MIN:
        return "short"
    return "moderate" if work_min <= MODERATE_MAX_MIN else "long"


def recovery_needed_min(work_min: float, *, edition: str = "1994") -> float:
    """Light work that must follow a session for its class to hold; none for a long one.

    Raises
    ------
    OutOfRange
        If the edition is not 1994 or 2021.

    References
    ----------
    [waters1994] section 1.3; the two editions differ for short sessions.

    Examples
    --------
    >>> recovery_needed_min(60), recovery_needed_min(60, edition="2021"), recovery_needed_min(100)
    (72.0, 60.0, 30.0)
    """
    if edition not in SHORT_RECOVERY:
        raise OutOfRange(f"recovery edition must be one of {', '.join(SHORT_RECOVERY)}, got {edition!r}")
    if work_min <= SHORT_MAX_MIN:
        return work_min * SHORT_RECOVERY[edition]
    return work_min * MODERATE_RECOVERY if work_min <= MODERATE_MAX_MIN else 0.0


def sessions(spells: Spells) -> list[tuple[float, float]]:
    """Sessions of a shift in which the spells repeat: minutes that each counts, and the light work after it.

    A spell shorter than the 15-minute sample counts the whole sample, because its frequency is averaged over one
    [waters1994] section 1.3.5. Light work without lifting before it belongs to the session that ended last.

    Examples
    --------
    >>> sessions([(5, 10), (20, 30), (0, 10)])
    [(15.0, 10.0), (20.0, 40.0)]
    """
    if wrong := [minutes for spell in spells for minutes in spell if minutes < 0]:
        raise OutOfRange(f"spells of work must be zero or more minutes, got {min(wrong):g}")
    sample = constants("metric").frequency_sample
    joined: list[tuple[float, float]] = []
    before = 0.0
    for work_min, light_min in spells:
        if work_min > 0:
            joined.append((max(float(work_min), sample), float(light_min)))
        elif joined:
            joined[-1] = joined[-1][0], joined[-1][1] + float(light_min)
        else:
            before += float(light_min)
    return [*joined[:-1], (joined[-1][0], joined[-1][1] + before)] if joined else []


def enough_recovery_min(work_min: float, *, duration: str, edition: str = "1994") -> float:
    """Light work that ends a session, so that the next one is not added to it, for a short or a moderate class.

    Parameters
    ----------
    work_min : float
        Work since the last recovery, at least a sample of 15 minutes. [min]
    duration : {"short", "moderate"}
        Class that is asked for.
    edition : {"1994", "2021"}
        Edition whose ratio of a short session holds.

    Returns
    -------
    float
        Short: 1.2 (2021: 1.0) of the work, and at least what a sample of 15 minutes needs plus the 15 minutes that its
        averaged frequency may have counted already. Moderate: 0.3 of the work, of an hour at least. [min]

    References
    ----------
    [waters1994] section 1.3.5.2. The least values are our own rule: without them more work or a shorter pause could
    give a shorter class, as an hour would need 72 minutes and an hour and a minute 18.

    Examples
    --------
    >>> enough_recovery_min(15, duration="short"), enough_recovery_min(50, duration="short")
    (33.0, 60.0)
    >>> enough_recovery_min(20, duration="moderate"), enough_recovery_min(120, duration="moderate")
    (18.0, 36.0)
    """
    if duration != "short":
        return MODERATE_RECOVERY * max(work_min, SHORT_MAX_MIN)
    sample = constants("metric").frequency_sample
    least = sample + recovery_needed_min(sample, edition=edition)
    return max(least, recovery_needed_min(min(work_min, SHORT_MAX_MIN), edition=edition))


def worked_together_min(spells: Spells, *, duration: str, edition: str = "1994") -> float:
    """The longest work time that counts as one while the spells repeat; infinite where no light work ends a session.

    Sessions with too little recovery between them are added [waters1994] section 1.3.5.2.

    Parameters
    ----------
    spells : sequence of (work, light work)
        Spells in order. [min]
    duration : {"short", "moderate"}
        Class whose recovery is asked for.
    edition : {"1994", "2021"}
        Edition of the manual that says how much.

    Examples
    --------
    >>> worked_together_min([(30, 10), (45, 30)], duration="moderate")
    75.0
    """
    joined = sessions(spells)
    longest = together = 0.0
    while joined:
        before, ended = together, False
        for work_min, light_min in joined:
            together += work_min
            longest = max(longest, together)
            if light_min >= enough_recovery_min(together, duration=duration, edition=edition):
                together, ended = 0.0, True
        if not ended:
            return math.inf
        if together == before:
            break
    return longest


def duration_class(spells: Spells, *, hours_per_shift: float = 8.0, edition: str = "1994") -> str:
    """short, moderate or long; without spells the whole shift, with its normal breaks, is one session.

    Parameters
    ----------
    spells : sequence of (work, light work)
        One pattern in minutes, repeated until the hours of the shift are full; how often it is listed changes nothing.
    hours_per_shift : float
        Hours of the shift at this work, or all listed work where that is more. [h]
    edition : {"1994", "2021"}
        Edition whose recovery rule holds.

    Returns
    -------
    str
        The shortest class whose recovery rule the spells meet, and never longer than that of the shift's hours. More
        work or less light work never gives a shorter one.

    References
    ----------
    [waters1994] section 1.3.5.2.

    Examples
    --------
    >>> duration_class([(30, 10), (45, 30)]), duration_class([(55, 66)]), duration_class([(5, 10)]), duration_class([])
    ('moderate', 'short', 'long', 'long')
    >>> duration_class([(55, 60)]), duration_class([(55, 60)], edition="2021")
    ('moderate', 'short')
    """
    of_shift = class_of(max(hours_per_shift * MIN_PER_H, float(sum(work for work, _ in spells))))
    if not spells:
        return of_shift
    for duration, most in (("short", SHORT_MAX_MIN), ("moderate", MODERATE_MAX_MIN)):
        if duration == of_shift or worked_together_min(spells, duration=duration, edition=edition) <= most:
            return duration
    return "long"


def lifting_share(spells: Spells) -> float:
    """Share of the shift in which lifting goes on, 1 without spells. [-]

    Examples
    --------
    >>> lifting_share([(50, 10), (30, 30)]), lifting_share([])
    (0.6666666666666666, 1.0)
    """
    total = float(sum(work + light for work, light in spells))
    return float(sum(work for work, _ in spells)) / total if total else 1.0


def may_be_short(frequency_per_min: float, duration: str, *, units: str) -> bool:
    """Whether the manual allows the short duration for a task that stands in a longer class.

    Below 0.1 lifts a minute the recovery between lifts will usually suffice [waters1994] section 1.3, reprinted. It is
    a permission: the stricter class stands until somebody sets the task's duration to short.

    Parameters
    ----------
    frequency_per_min : float
        F. [lifts/min]
    duration : str
        Class in which the task stands.
    units : {"metric", "us"}
        Unit set.

    Examples
    --------
    >>> may_be_short(0.05, "long", units="metric"), may_be_short(0.1, "long", units="metric")
    (True, False)
    """
    return duration != "short" and frequency_per_min < constants(units).frequency_seldom


def averaged_per_min(rate_per_min: float, spells: Spells) -> float:
    """Lifts a minute over the busiest 15 minutes, for work in bursts shorter than that.

    Parameters
    ----------
    rate_per_min : float
        Lifts a minute while lifting goes on. [1/min]
    spells : sequence of (work, light work)
        In minutes, repeated as they stand; none is work without pause.

    Returns
    -------
    float
        Lifts in the busiest quarter of an hour over 15; the rate itself where a spell lasts that long, or where the
        rate is above the table, for which averaging is not allowed. [1/min]

    References
    ----------
    [waters1994] section 1.3.

    Examples
    --------
    >>> round(averaged_per_min(10, [(8, 7)]), 2)
    5.33
    """
    c = constants("metric")
    if not spells or rate_per_min > c.frequency_limit:
        return rate_per_min
    return rate_per_min * _busiest_min(spells) / c.frequency_sample


def _busiest_min(spells: Spells) -> float:
    """Minutes of lifting in the busiest sample."""
    sample = constants("metric").frequency_sample
    return max(_busy_min(spells, start, sample) for start in range(len(spells)))


def _busy_min(spells: Spells, start: int, sample_min: float) -> float:
    """Minutes of lifting in the sample that begins with one of the spells; the spells go round."""
    left, busy, place = sample_min, 0.0, start
    if sum(work + light for work, light in spells) <= 0:
        return 0.0
    while left > 0:
        work_min, light_min = spells[place % len(spells)]
        busy += min(work_min, left)
        left -= work_min + light_min
        place += 1
    return busy
