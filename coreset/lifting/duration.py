"""How long and how often: the duration class of spells of lifting, and the frequency over a quarter of an hour."""

from __future__ import annotations

from collections.abc import Sequence

from coreset.errors import OutOfRange
from coreset.lifting.constants import constants
from coreset.units import MIN_PER_H

SHORT_MAX_MIN = 60.0  # [waters1994] section 1.3, short duration
MODERATE_MAX_MIN = 120.0  # [waters1994] section 1.3, moderate duration
MODERATE_RECOVERY = 0.3  # [waters1994] section 1.3, light work over work time
SHORT_RECOVERY = {"1994": 1.2, "2021": 1.0}  # [waters1994] 1994 print from memory; 2021 revision p. 13 reprinted
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
    """Spells joined to sessions: a pause that the averaged frequency counts already is no recovery.

    A spell and its pause that both fit into the 15-minute sample belong to one session, which lasts through the pause.
    Where every spell is shorter than the sample, so that the frequency is averaged, a spell followed by a longer pause
    lasts the whole sample, and only the rest of the pause is recovery [waters1994] section 1.3.5.

    Examples
    --------
    >>> sessions([(5, 10)] * 4), sessions([(5, 11)] * 2), sessions([(20, 40)])
    ([(60.0, 0.0)], [(15.0, 1.0), (15.0, 1.0)], [(20.0, 40.0)])
    """
    if wrong := [minutes for spell in spells for minutes in spell if minutes < 0]:
        raise OutOfRange(f"spells of work must be zero or more minutes, got {min(wrong):g}")
    sample = constants("metric").frequency_sample
    averaged = is_averaged(spells)
    joined: list[tuple[float, float]] = []
    held = 0.0
    for work_min, pause_min in spells:
        if work_min + pause_min <= sample:
            held += float(work_min + pause_min)
        else:
            credited = min(pause_min, max(0.0, sample - work_min)) if averaged else 0.0
            joined.append((float(held + work_min + credited), float(pause_min - credited)))
            held = 0.0
    return [*joined, (held, 0.0)] if held else joined


def worked_together_min(spells: Spells, *, edition: str = "1994") -> float:
    """The longest work time that counts as one: sessions with too little recovery between them are added.

    References
    ----------
    [waters1994] section 1.3.

    Examples
    --------
    >>> worked_together_min([(30, 10), (45, 0)])
    75.0
    """
    longest, together = 0.0, 0.0
    for work_min, light_min in sessions(spells):
        together += work_min
        longest = max(longest, together)
        if together > MODERATE_MAX_MIN or light_min >= recovery_needed_min(together, edition=edition):
            longest = max(longest, together)
            together = together if together > MODERATE_MAX_MIN else 0.0
    return longest


def duration_class(spells: Spells, *, hours_per_shift: float = 8.0, edition: str = "1994") -> str:
    """short, moderate or long; without spells the whole shift, with its normal breaks, is one session.

    Examples
    --------
    >>> duration_class([(30, 10), (45, 0)]), duration_class([(55, 60), (55, 60)]), duration_class([])
    ('moderate', 'moderate', 'long')
    >>> duration_class([(55, 60), (55, 60)], edition="2021")
    'short'
    """
    if not spells:
        return class_of(hours_per_shift * MIN_PER_H)
    return class_of(worked_together_min(spells, edition=edition))


def may_be_short(frequency_per_min: float, duration: str, *, units: str) -> bool:
    """Whether the manual allows the short duration for a task that stands in a longer class.

    Below 0.1 lifts a minute the recovery between lifts will usually suffice [waters1994] section 1.3, reprinted. It is
    a permission: the stricter class stands until somebody sets the task's duration to short.

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


def is_averaged(spells: Spells) -> bool:
    """Whether no quarter of an hour is lifting throughout, so that the frequency is averaged over one."""
    return bool(spells) and _busiest_min(spells) < constants("metric").frequency_sample


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
