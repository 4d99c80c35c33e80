"""Readings -> element times: differences of a running clock or times as read, corrections applied, marks kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Study
from coreset.errors import Fault, StudyError

FOREIGN = -1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Timed:
    """Element times of a study, one an entry, in the order taken; every array of shape (readings,).

    `element` is the place in the study's list of elements, -1 foreign. `seconds` is NaN where it is not known.
    `good` rows are times of whole elements; `failed` ones lower bounds; `missed` ones hold several elements or none,
    among them foreign rows that follow a breakpoint that was not read;
    `excluded` ones were set aside by a correction and are kept. Where foreign time cut an element in parts, the row
    that ends it has the time of all of them, and the rows of its parts have none.
    """

    seq: NDArray[np.int64]
    cycle: NDArray[np.int64]
    element: NDArray[np.int64]
    seconds: NDArray[np.float64]
    rating: NDArray[np.float64]
    good: NDArray[np.bool_]
    failed: NDArray[np.bool_]
    missed: NDArray[np.bool_]
    excluded: NDArray[np.bool_]

    @property
    def foreign(self) -> NDArray[np.bool_]:
        """Rows that are not part of the job."""
        return self.element == FOREIGN


def element_times(study: Study, *, keep_excluded: bool = False) -> Timed:
    """Element times of a study with its corrections.

    Parameters
    ----------
    study : Study
        Readings as taken. A continuous clock starts at 0 with the first element.
    keep_excluded : bool
        Take excluded readings as good ones, to see what excluding them does.

    Raises
    ------
    StudyError
        If an element is not in the list or a continuous clock runs backwards; with every such row.

    References
    ----------
    [groover] continuous and snapback timing.
    """
    r = study.readings
    seconds, spans = _durations(study)
    names, rating = _corrected(study)
    kind = np.array(r.mark, dtype=object)
    place = {element.name: i for i, element in enumerate(study.elements)}
    element = np.array([place.get(name, FOREIGN) for name in names], dtype=np.int64)
    foreign = kind == "foreign"
    _refuse(study, np.flatnonzero((element == FOREIGN) & ~foreign), "an element of the study", "element", names)
    element[foreign] = FOREIGN
    missed = ((kind == "missed") & ~foreign) | spans | ~np.isfinite(seconds)
    excluded = np.zeros(len(r), bool) if keep_excluded else _excluded(study)
    part = _join_parts(kind == "split", foreign, missed, (seconds, element, excluded))
    failed = (kind == "failed") & ~missed & ~excluded
    return Timed(
        seq=np.array(r.seq, np.int64),
        cycle=np.array(r.cycle, np.int64),
        element=element,
        seconds=seconds,
        rating=_ratings(study, element, rating),
        good=~foreign & ~missed & ~excluded & ~failed & ~part,
        failed=failed & ~foreign,
        missed=missed,
        excluded=excluded & ~foreign & ~missed & ~part,
    )


def _join_parts(
    split: NDArray[np.bool_],
    foreign: NDArray[np.bool_],
    missed: NDArray[np.bool_],
    columns: tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.bool_]],
) -> NDArray[np.bool_]:
    """Give the time of each part to the row that ends its element; the rows that were so emptied.

    An element has one label, that of its end, and is set aside whole. Where one part is missed, all of them are.
    """
    part = np.zeros(len(split), bool)
    if not split.any():
        return part
    seconds, element, excluded = columns
    job = np.flatnonzero(~foreign)
    pairs = [(row, after) for row, after in zip(job[:-1], job[1:], strict=True) if split[row]]
    missed[job[-1]] |= split[job[-1]]
    for row, after in pairs:
        missed[after] |= missed[row]
    for row, after in reversed(pairs):
        missed[row] |= missed[after]
        element[row] = element[after]
    for row, after in pairs:
        if not missed[row]:
            seconds[after] += seconds[row]
            excluded[after] |= excluded[row]
            seconds[row], part[row] = np.nan, True
    return part


def _durations(study: Study) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Seconds of each row, and whether they reach over a breakpoint that was not read."""
    read = np.array(study.readings.reading_s, float)
    known = np.isfinite(read)
    if study.timing == "snapback":
        _refuse(study, np.flatnonzero(known & (read < 0)), "a time that is not negative", "reading_s", read)
        return read, np.zeros(len(read), bool)
    last = np.maximum.accumulate(np.where(known, np.arange(len(read)), -1))
    before = np.concatenate([[-1], last[:-1]])[: len(read)]
    start = np.where(before >= 0, read[before], 0.0)
    seconds = read - start
    backwards = np.flatnonzero(seconds < 0)
    _refuse(study, backwards, "a clock that does not run backwards", "reading_s", read)
    return seconds, known & (before != np.arange(len(read)) - 1)


def _refuse(
    study: Study, rows: NDArray[np.int64], expected: str, column: str, found: Sequence[str] | NDArray[np.float64]
) -> None:
    if len(rows):
        file = f"times/{study.study}.csv"
        raise StudyError(
            Fault(file=file, row=int(i) + 2, column=column, found=repr(found[i]).removeprefix("np.float64"),
                  expected=expected)
            for i in rows
        )  # fmt: skip


def _corrected(study: Study) -> tuple[list[str], NDArray[np.float64]]:
    """Element and rating of each row after the corrections, in the order made."""
    names, rating = list(study.readings.element), np.array(study.readings.rating, float)
    place = {seq: i for i, seq in enumerate(study.readings.seq)} if study.corrections else {}
    for correction in study.corrections:
        i = place.get(correction.seq)
        if i is not None and correction.action == "relabel":
            names[i] = correction.value
        elif i is not None and correction.action == "rerate":
            rating[i] = float(correction.value)
        elif i is not None and correction.action == "restore":
            names[i], rating[i] = study.readings.element[i], study.readings.rating[i]
    return names, rating


def _excluded(study: Study) -> NDArray[np.bool_]:
    out: dict[int, bool] = {}
    for correction in study.corrections:
        if correction.action in ("exclude", "restore"):
            out[correction.seq] = correction.action == "exclude"
    if not out:
        return np.zeros(len(study.readings), bool)
    return np.array([out.get(seq, False) for seq in study.readings.seq], bool)


def _ratings(study: Study, element: NDArray[np.int64], rating: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rating of each row: its own, else its element's, else the study's; NaN for machine and foreign elements."""
    own = [study.rating_pct if e.rating_pct is None else e.rating_pct for e in study.elements]
    manual = [1.0 if e.kind == "manual" else np.nan for e in study.elements]
    default = np.array([*own, np.nan])[element]
    return np.where(np.isfinite(rating) & (rating > 0), rating, default) * np.array([*manual, np.nan])[element]
