"""Rows of a flat table, one end of a lift each, in either unit set -> one answer a row, reckoned as arrays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.errors import OutOfRange
from coreset.handling.columns import MEASURED, SITUATIONS, WORDS
from coreset.handling.composite import Variable, variable_index
from coreset.handling.constants import DURATIONS, UNIT_SETS, constants, frequency_table
from coreset.handling.covers import past_limits
from coreset.handling.equation import checked
from coreset.handling.grid import gathered
from coreset.handling.rating import MULTIPLIERS, End, Posture, lifting_index, name_of, rate


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One row answered: RWL in the row's unit set, LI and multipliers, what binds, and why there is no index."""

    rwl: float | None
    li: float | None
    hm: float
    vm: float
    dm: float
    am: float
    fm: float
    cm: float
    binding: str | None
    applies: bool
    why_not: tuple[str, ...]
    status: str


def _end_of(table: Mapping[str, NDArray], units: str, chosen: NDArray, hand: bool) -> End:
    def part(name: str) -> NDArray:
        return table[name][chosen]

    posture = Posture(
        horizontal=part("horizontal"),
        vertical=part("vertical"),
        travel=part("travel"),
        angle_deg=part("angle"),
        frequency_per_min=part("frequency"),
        duration=part("duration"),
        coupling=part("coupling"),
        units=units,
    )
    return rate(posture, hand_arithmetic=hand)


def answers(rows: Sequence[Mapping[str, object]], *, hand_arithmetic: bool = False) -> list[Answer]:
    """One answer a row, in the order of the rows.

    Parameters
    ----------
    rows : sequence of mappings
        Each with the keys of `COLUMNS`; any of `SITUATIONS` may be true.
    hand_arithmetic : bool
        Reckon as the manual does by hand.

    Returns
    -------
    list of Answer
        `rwl` and `li` are None where the method does not cover the row; `li` is None also where RWL is 0.

    Raises
    ------
    OutOfRange
        If a value cannot be.

    References
    ----------
    [waters1994] sections 1.2 and 1.3.
    """
    table = {name: np.array([float(row[name]) for row in rows]) for name in MEASURED}
    table |= {name: np.array([str(row[name]) for row in rows]) for name in WORDS}
    units = np.array([row["units"] for row in rows])
    found: list[Answer | None] = [None] * len(rows)
    for name in UNIT_SETS:
        chosen = np.flatnonzero(units == name)
        end = _end_of(table, name, chosen, hand_arithmetic)
        li = lifting_index(table["mass"][chosen], end.rwl, hand_arithmetic=hand_arithmetic)
        binding = end.binding
        for place, row in enumerate(chosen):
            figures = {part: float(getattr(end, part)[place]) for part in (*MULTIPLIERS, "rwl")}
            figures |= {"li": float(li[place]), "binding": name_of(int(binding[place]))}
            found[row] = _answer(rows[row], name, figures)
    return [answer for answer in found if answer is not None]


def _answer(row: Mapping[str, object], units: str, figures: dict) -> Answer:
    reasons = tuple(code for code in SITUATIONS if row.get(code))
    zero = figures["rwl"] == 0
    past = ()
    if zero and not reasons:
        past = past_limits(
            units=units,
            horizontal=float(row["horizontal"]),
            vertical=float(row["vertical"]),
            travel=float(row["travel"]),
            angle_deg=float(row["angle"]),
            fm=figures["fm"],
        ) or ("load_limit",)
    return Answer(
        **{name: figures[name] for name in MULTIPLIERS},
        rwl=None if reasons else figures["rwl"],
        li=None if reasons or zero else figures["li"],
        binding=figures["binding"] or None,
        applies=not reasons,
        why_not=reasons + past,
        status="memory" if float(row["frequency"]) > frequency_table().memory_above_per_min else "reprinted",
    )


def inside_body(horizontal: float, units: str) -> bool:
    """Whether H is below the distance that the equation takes as the closest."""
    return horizontal < constants(units).horizontal_free


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Rows rated as one job: how many of them count, and their variable index (None where none counts).

    `variable` takes each row as it is, `gridded` the `cells` that hold rows of the coarse grid.
    """

    rated: int
    variable: Variable | None
    gridded: Variable | None
    cells: int


def variable_of_rows(rows: Sequence[Mapping[str, object]], total_per_min: float) -> Together:
    """VLI of lifts recorded one by one, each as frequent as any other.

    Parameters
    ----------
    rows : sequence of mappings
        As for `answers`; one unit set; the longest duration class holds for all, the rows' own frequency for none.
    total_per_min : float
        Lifts a minute of the job. [1/min]

    Returns
    -------
    Together
        Rows that are not covered, or whose reach, height, travel or twist is beyond a limit, are left out.

    Raises
    ------
    OutOfRange
        If the rows mix unit sets, or the frequency is not above zero.

    References
    ----------
    [waters2016].
    """
    checked(total_per_min, "frequency", zero=False)
    if not total_per_min > 0:
        raise OutOfRange(f"frequency must be above zero, got {total_per_min:g}")
    units = {str(row["units"]) for row in rows}
    if len(units) != 1:
        raise OutOfRange(f"rows of one job must be in one unit set, got {', '.join(sorted(units))}")
    used = [row for row in rows if not any(row.get(code) for code in SITUATIONS)]
    seldom = [{**row, "frequency": 0.0, "duration": "short"} for row in used]
    found = [(row, a) for row, a in zip(used, answers(seldom), strict=True) if a.li is not None]
    if not found:
        return Together(rated=0, variable=None, gridded=None, cells=0)
    shared = {
        "total_per_min": total_per_min,
        "duration": max((str(row["duration"]) for row, _ in found), key=DURATIONS.index),
        "units": units.pop(),
    }
    vertical, weight = [row["vertical"] for row, _ in found], np.ones(len(found))
    grid = gathered(
        mass=[row["mass"] for row, _ in found],
        horizontal=[row["horizontal"] for row, _ in found],
        vertical=vertical,
        limit=[a.rwl for _, a in found],
        weight=weight,
        units=shared["units"],
    )
    return Together(
        rated=len(found),
        variable=variable_index(fili=[a.li for _, a in found], weight=weight, vertical=vertical, **shared),
        gridded=variable_index(fili=grid.fili, weight=grid.weight, vertical=grid.vertical_origin, **shared),
        cells=len(grid.fili),
    )
