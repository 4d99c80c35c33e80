"""Rows of a flat table, a lift each at one end or both, in either unit set -> one answer a row, worked as arrays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.errors import OutOfRange
from coreset.lifting.columns import DESTINATION, MEASURED, NO_INDEX, SITUATIONS, WORDS
from coreset.lifting.composite import Variable, variable_index
from coreset.lifting.constants import DURATIONS, UNIT_SETS, constants, limit_status
from coreset.lifting.equation import checked
from coreset.lifting.lift_end import MULTIPLIERS, End, Posture, lifting_index, name_of, rate
from coreset.lifting.scope import past_limits
from coreset.lifting.variable_grid import gathered


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One row answered: RWL in the row's unit set, LI and multipliers, what binds, and why there is no index.

    `end` is the end that governs, the one with the lower RWL, whose figures these are; `rwl_origin` and
    `rwl_destination` are RWL at each, None at a destination that the row does not give.
    """

    end: str
    rwl_origin: float | None
    rwl_destination: float | None
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
    at_least: tuple[str, ...]
    status: str


def has_destination(row: Mapping[str, Any]) -> bool:
    """Whether a row gives the end where the load is set down."""
    return any(row.get(name) is not None for name in DESTINATION)


def postures_of(row: Mapping[str, Any], units: str) -> dict[str, Posture]:
    """What is measured at each end that a row gives, or that columns of rows give, by the name of the end."""
    origin = Posture(
        horizontal=row["horizontal"],
        vertical=row["vertical"],
        travel=row["travel"],
        angle_deg=row["angle"],
        frequency_per_min=row["frequency"],
        duration=row["duration"],
        coupling=row["coupling"],
        units=units,
    )
    if not has_destination(row):
        return {"origin": origin}
    destination = replace(
        origin,
        horizontal=row["horizontal_destination"],
        vertical=row["vertical_destination"],
        angle_deg=row["angle_destination"],
        vertical_at_origin=row["vertical"],
    )
    return {"origin": origin, "destination": destination}


def _ends_of(table: Mapping[str, NDArray[Any]], units: str, chosen: NDArray[Any], hand: bool) -> tuple[End, End]:
    part = {name: column[chosen] for name, column in table.items()}
    origin, destination = (rate(p, hand_arithmetic=hand) for p in postures_of(part, units).values())
    return origin, destination


def answers(rows: Sequence[Mapping[str, Any]], *, hand_arithmetic: bool = False) -> list[Answer]:
    """One answer a row, in the order of the rows.

    Parameters
    ----------
    rows : sequence of mappings
        Each with the keys of `COLUMNS`; those of `DESTINATION` where it is rated at both ends; any of `SITUATIONS` may
        be true.
    hand_arithmetic : bool
        Calculate as the manual does by hand.

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
    table |= {name: np.array([_there(row, name) for row in rows]) for name in DESTINATION}
    table |= {name: np.array([str(row[name]) for row in rows]) for name in WORDS}
    units = np.array([row["units"] for row in rows])
    found: list[Answer | None] = [None] * len(rows)
    for name in UNIT_SETS:
        chosen = np.flatnonzero(units == name)
        ends = _ends_of(table, name, chosen, hand_arithmetic)
        rwl = np.minimum(ends[0].rwl, ends[1].rwl)
        li = lifting_index(table["mass"][chosen], rwl, hand_arithmetic=hand_arithmetic)
        binding = [end.binding for end in ends]
        for place, row in enumerate(chosen.tolist()):
            there = int(ends[1].rwl[place] < ends[0].rwl[place])
            figures: dict[str, Any] = {part: float(getattr(ends[there], part)[place]) for part in (*MULTIPLIERS, "rwl")}
            figures |= {"li": float(li[place]), "binding": name_of(int(binding[there][place]))}
            found[row] = _answer(rows[row], name, figures, tuple(float(end.rwl[place]) for end in ends))
    return [answer for answer in found if answer is not None]


def _there(row: Mapping[str, Any], name: str) -> float:
    """A figure at the destination; that of the one end given where there is none, which then governs."""
    return float(row[name if has_destination(row) else name.removesuffix("_destination")])


def governing(row: Mapping[str, Any], end: str) -> dict[str, float]:
    """H, V, A of a row at one of its ends, without the name of the end."""
    pairs = {name.removesuffix("_destination"): name for name in DESTINATION}
    return {here: float(row[there if end == "destination" else here]) for here, there in pairs.items()}


def _answer(row: Mapping[str, Any], units: str, figures: dict[str, Any], limits: tuple[float, ...]) -> Answer:
    situations = tuple(code for code in SITUATIONS if row.get(code))
    reasons = tuple(code for code in situations if code in NO_INDEX)
    zero, end = figures["rwl"] == 0, "destination" if limits[1] < limits[0] else "origin"
    past: tuple[str, ...] = ()
    if zero and not reasons:
        at = governing(row, end)
        past = past_limits(
            units=units,
            horizontal=at["horizontal"],
            vertical=at["vertical"],
            travel=float(row["travel"]),
            angle_deg=at["angle"],
            fm=figures["fm"],
        ) or ("load_limit",)
    return Answer(
        end=end,
        rwl_origin=None if reasons else limits[0],
        rwl_destination=None if reasons or not has_destination(row) else limits[1],
        **{name: figures[name] for name in MULTIPLIERS},
        rwl=None if reasons else figures["rwl"],
        li=None if reasons or zero else figures["li"],
        binding=figures["binding"] or None,
        applies=not reasons,
        why_not=reasons + past,
        at_least=() if reasons else situations,
        status=limit_status(float(row["frequency"]), row["coupling"]),
    )


def inside_body(horizontal: float, units: str) -> bool:
    """Whether H is below the distance that the equation takes as the closest."""
    return horizontal < constants(units).horizontal_free


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Rows rated as one job: how many of them count, and their variable index (None where none counts).

    `variable` takes each row as it is, `gridded` the `cells` that hold rows of the coarse grid. `beyond` are the places
    of covered rows in which nothing should be lifted, RWL 0: with any of them the job has no index. `at_least` are the
    conditions of the method that a row does not meet: with any, or with a row left out, the index is a lower limit.
    """

    rated: int
    left_out: int
    beyond: tuple[int, ...]
    at_least: tuple[str, ...]
    variable: Variable | None
    gridded: Variable | None
    cells: int


def variable_of_rows(rows: Sequence[Mapping[str, Any]], total_per_min: float) -> Together:
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
        Rows that are not covered are left out. A row whose reach, height, travel or twist is beyond a limit takes the
        whole job beyond the equation: no index.

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
    found = answers([{**row, "frequency": 0.0, "duration": "short"} for row in rows])
    rated = [(row, a) for row, a in zip(rows, found, strict=True) if a.applies]
    beyond = tuple(place for place, a in enumerate(found) if a.applies and a.li is None)
    unmet = tuple(dict.fromkeys(code for a in found for code in a.at_least))
    counts: dict[str, Any] = {
        "rated": len(rated),
        "left_out": len(rows) - len(rated),
        "beyond": beyond,
        "at_least": unmet,
    }
    if beyond or not rated:
        return Together(**counts, variable=None, gridded=None, cells=0)
    shared: dict[str, Any] = {
        "total_per_min": total_per_min,
        "duration": max((str(row["duration"]) for row, _ in rated), key=DURATIONS.index),
        "units": units.pop(),
    }
    at = [governing(row, a.end) for row, a in rated]
    weight, at_origin = np.ones(len(rated)), [row["vertical"] for row, _ in rated]
    grid = gathered(
        mass=[row["mass"] for row, _ in rated],
        horizontal=[one["horizontal"] for one in at],
        vertical=[one["vertical"] for one in at],
        vertical_origin=at_origin,
        limit=[a.rwl for _, a in rated],
        weight=weight,
        units=shared["units"],
    )
    return Together(
        **counts,
        variable=variable_index(fili=[a.li for _, a in rated], weight=weight, vertical=at_origin, **shared),
        gridded=variable_index(fili=grid.fili, weight=grid.weight, vertical=grid.vertical_origin, **shared),
        cells=len(grid.fili),
    )
