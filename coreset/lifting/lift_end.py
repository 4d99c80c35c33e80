"""One end of one or many lifts rated: six multipliers, what may be lifted (RWL), the index (LI), and what binds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.lifting import equation
from coreset.lifting.by_hand import MULTIPLIER_DIGITS, RESULT_DIGITS, by_hand, rounded
from coreset.lifting.constants import constants
from coreset.lifting.equation import checked

MULTIPLIERS = ("hm", "vm", "dm", "am", "fm", "cm")
NOTHING_BINDS = -1
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture:
    """What is measured at one end of lifts: H, V, D, A, F, duration class and coupling; scalars or arrays.

    Lengths in cm or in, the angle in degrees, the frequency in lifts a minute. `vertical_at_origin` is V where the lift
    begins, by which FM is found at both ends [waters1994] section 1.3.5; None where this end is the origin.
    """

    horizontal: ArrayLike
    vertical: ArrayLike
    travel: ArrayLike = 0.0
    angle_deg: ArrayLike = 0.0
    frequency_per_min: ArrayLike = 0.0
    duration: ArrayLike = "short"
    coupling: ArrayLike = "poor"
    units: str = "metric"
    vertical_at_origin: ArrayLike | None = None

    @property
    def vertical_of_frequency(self) -> ArrayLike:
        """V that chooses the column of FM: that of the origin."""
        return self.vertical if self.vertical_at_origin is None else self.vertical_at_origin


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One end of lifts, rated: the six multipliers and the recommended weight limit in the unit set's mass."""

    hm: Floats
    vm: Floats
    dm: Floats
    am: Floats
    fm: Floats
    cm: Floats
    rwl: Floats

    @property
    def multipliers(self) -> tuple[Floats, ...]:
        """The six in the order of the equation."""
        return self.hm, self.vm, self.dm, self.am, self.fm, self.cm

    @property
    def independent(self) -> Floats:
        """Product of the multipliers but FM: FIRWL over the load constant."""
        return self.hm * self.vm * self.dm * self.am * self.cm

    @property
    def binding(self) -> NDArray[np.int8]:
        """Place of the smallest multiplier in `MULTIPLIERS`, the first if several; -1 where all are 1."""
        return smallest(self.multipliers)


def smallest(multipliers: tuple[Floats, ...]) -> NDArray[np.int8]:
    """Place of the smallest of several arrays, element by element; -1 where none is below 1.

    Examples
    --------
    >>> smallest((np.array([0.9, 1.0]), np.array([0.8, 1.0])))
    array([ 1, -1], dtype=int8)
    """
    least = np.ones(np.broadcast_shapes(*(np.shape(m) for m in multipliers)))
    place = np.full(least.shape, NOTHING_BINDS, dtype=np.int8)
    for number, multiplier in enumerate(multipliers):
        lower = multiplier < least
        np.copyto(place, number, where=lower)
        np.minimum(least, multiplier, out=least)
    return place[()]


def name_of(place: int) -> str:
    """Name of a binding multiplier by its place, empty where nothing binds.

    Examples
    --------
    >>> name_of(0), name_of(-1)
    ('hm', '')
    """
    return MULTIPLIERS[place] if place >= 0 else ""


def rate(posture: Posture, *, hand_arithmetic: bool = False) -> End:
    """Multipliers and RWL of one end of lifts.

    Parameters
    ----------
    posture : Posture
        What is measured; scalars and arrays broadcast.
    hand_arithmetic : bool
        Calculate as the manual does by hand: two-digit multipliers, RWL of one decimal.

    Returns
    -------
    End
        RWL = LC HM VM DM AM FM CM [kg, or lb]; 0 where a limit is passed.

    Raises
    ------
    OutOfRange
        If a value cannot be: H not above zero, V, D, A or F negative, A above 180 degrees.

    References
    ----------
    [waters1994] section 1.3.

    Examples
    --------
    >>> round(float(rate(Posture(horizontal=50, vertical=75, coupling="good")).rwl), 2)
    11.5
    """
    p = posture
    hm = equation.horizontal_multiplier(p.horizontal, units=p.units)
    vm = equation.vertical_multiplier(p.vertical, units=p.units)
    dm = equation.distance_multiplier(p.travel, units=p.units)
    am = equation.asymmetry_multiplier(p.angle_deg)
    fm = equation.frequency_multiplier(p.frequency_per_min, p.duration, p.vertical_of_frequency, units=p.units)
    cm = equation.coupling_multiplier(p.coupling, p.vertical, units=p.units)
    if hand_arithmetic:
        hm = by_hand("hm", hm, p.horizontal, p.units)
        vm = by_hand("vm", vm, p.vertical, p.units)
        dm = by_hand("dm", dm, p.travel, p.units)
        am = by_hand("am", am, p.angle_deg, p.units)
        fm = rounded(fm, MULTIPLIER_DIGITS)
    rwl = constants(p.units).load_constant * hm * vm * dm * am * fm * cm
    return End(hm=hm, vm=vm, dm=dm, am=am, fm=fm, cm=cm, rwl=rounded(rwl, RESULT_DIGITS) if hand_arithmetic else rwl)


def lifting_index(mass: ArrayLike, rwl: ArrayLike, *, hand_arithmetic: bool = False) -> Floats:
    """LI, the load over what may be lifted; NaN where nothing may be lifted.

    Parameters
    ----------
    mass : array_like
        Load. [unit of rwl]
    rwl : array_like, shapes that go together
        Recommended weight limit.
    hand_arithmetic : bool
        Round half up to one decimal, as printed.

    Examples
    --------
    >>> lifting_index(11.5, [23, 0])
    array([0.5, nan])
    """
    mass, rwl = checked(mass, "mass", zero=False), np.asarray(rwl, dtype=float)
    li = np.divide(mass, rwl, out=np.full(np.broadcast_shapes(mass.shape, rwl.shape), np.nan), where=rwl > 0)
    return (rounded(li, RESULT_DIGITS) if hand_arithmetic else li)[()]


def heaviest(mass: float, mass_max: float) -> float:
    """The largest load of a task: its own maximum where one is given."""
    if mass_max and mass_max < mass:
        raise OutOfRange(f"mass_max must be at least the mass {mass:g}, got {mass_max:g}")
    return max(mass, mass_max)
