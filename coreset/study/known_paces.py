"""Known paces to be shown to an observer: walks and deals of cards, in a random order that a seed repeats."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from coreset.sources import Table, table
from coreset.study.rating_scales import on_scale, scale
from coreset.units import S_PER_H, S_PER_MIN

Kind = Literal["walking", "dealing"]
KINDS: tuple[Kind, ...] = get_args(Kind)
EACH = 8
"""Scenes of each kind in a check."""
SLOWEST, FASTEST = 0.70, 1.35
"""Paces shown, as shares of daywork pace: common practice, no source."""
LEAST, MOST, STEP = 0.50, 1.60, 5
"""Ratings offered, as shares of daywork pace, and their step: common practice, no source."""
M_PER_MILE, CARDS = 1609.344, 52


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One pace to be shown. `metres_s`: of a walk; `card_s`: seconds from card to card of a deal; the other is 0."""

    shown: Kind
    known_pct: float
    metres_s: float = 0.0
    card_s: float = 0.0


def _printed() -> Table:
    return table("work_study_items/known_paces")


def _at(shown: str, rating_pct: float, scale_name: str) -> float:
    """The printed figure of a kind, and the rating on the scale it is printed for, carried to this rating."""
    row = next(row for row in _printed().rows if row["shown"] == shown)
    share = on_scale(rating_pct, scale_name, row["rating_scale"]) / float(row["rating_pct"])
    value = float(row["value"])
    return value * share if shown == "walking" else value / share


def walk_m_s(rating_pct: float, scale_name: str = "100-133") -> float:
    """Speed of a level walk without a load at a rating. [m/s]

    References
    ----------
    [work_study_items] 3 mile/h is 100 where daywork is 100; 4 mile/h is 100 on 0-100 BSI.

    Examples
    --------
    >>> round(walk_m_s(100) * 3.6, 2), round(walk_m_s(100, "0-100 BSI") / walk_m_s(75, "0-100 BSI"), 4)
    (4.83, 1.3333)
    """
    return _at("walking", rating_pct, scale_name) * M_PER_MILE / S_PER_H


def deal_s(rating_pct: float, scale_name: str = "100-133") -> float:
    """Seconds from card to card when 52 are dealt into four hands at a rating.

    References
    ----------
    [work_study_items] 52 cards in 0.50 min is 100 where daywork is 100.

    Examples
    --------
    >>> round(52 * deal_s(100), 6), round(52 * deal_s(125), 6), round(52 * deal_s(75, "0-100 BSI"), 6)
    (30.0, 24.0, 30.0)
    """
    return _at("dealing", rating_pct, scale_name) * S_PER_MIN / CARDS


def spread(count: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Paces evenly over the range with a little chance in each, as shares of daywork pace."""
    step = (FASTEST - SLOWEST) / max(count - 1, 1)
    return np.linspace(SLOWEST, FASTEST, count) + rng.uniform(-0.4, 0.4, count) * step


def scenes(seed: int, *, scale_name: str = "100-133", each: int = EACH) -> tuple[Scene, ...]:
    """A check: so many walks and deals in a random order; the same seed gives the same ones.

    Parameters
    ----------
    seed : int
        Of the paces and their order.
    scale_name : str
        Rating scale that the paces are stated on, in whole units.
    each : int
        Scenes of each kind.
    """
    rng = np.random.default_rng(seed)
    daywork = scale(scale_name)["daywork"]
    made = []
    for kind in KINDS:
        for share in spread(each, rng):
            pct = float(np.round(daywork * share))
            walking = kind == "walking"
            made.append(Scene(shown=kind, known_pct=pct, metres_s=walk_m_s(pct, scale_name) if walking else 0.0,
                              card_s=0.0 if walking else deal_s(pct, scale_name)))  # fmt: skip
    return tuple(made[i] for i in rng.permutation(len(made)))


def seed_of(observer: str, taken: int, seed: int) -> int:
    """Seed of an observer's next check: another order each time, the same one if it is asked for again.

    Parameters
    ----------
    observer : str
        Code.
    taken : int
        Checks that the observer has taken.
    seed : int
        Of the case.
    """
    return zlib.crc32(f"{observer} {taken} {seed}".encode())


def offered(scale_name: str) -> tuple[int, ...]:
    """Ratings that an observer may give on a scale, slowest first.

    Examples
    --------
    >>> offered("60-80")[:3], offered("60-80")[-1]
    ((30, 35, 40), 95)
    """
    daywork = scale(scale_name)["daywork"]
    return tuple(range(int(LEAST * daywork // STEP * STEP), int(MOST * daywork // STEP * STEP) + 1, STEP))
