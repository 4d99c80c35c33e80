"""The register of standards: one standard of each pattern and method, with what a routing and a planner need of it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from coreset.case import Case, Study
from coreset.rounding import fixed
from coreset.study.counting import challenges, counting, groups
from coreset.study.standard import Standard

SECONDS_PER_MIN, SECONDS_PER_H, HUNDRED = 60.0, 3600.0, 100.0
FIGURES = (
    "standard_min_per_mold",
    "low_min",
    "high_min",
    "timed_low_min",
    "timed_high_min",
    "h_per_100_molds",
    "molds_per_h",
    "allowance_pct",
    "drift_pct",
)
ENDS = {
    "low_min": "standard_low",
    "high_min": "standard_high",
    "timed_low_min": "timed_low",
    "timed_high_min": "timed_high",
}
DAY = re.compile(r"\d{4}-\d\d-\d\d")
SEPARATED = {"studies": " + ", "challenged": " ", "restudy_due": " "}


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterEntry:
    """The standard of one pattern and method. Every unit follows from the standard before rounding.

    `low_min` and `high_min`: 95 % interval of the standard for the crew, `timed_low_min` and `timed_high_min` for the
    `operators` timed alone. [min/mold] `studies`: those that count; `challenged`: codes
    of what is doubtful about them. `effective`: the latest day from which one of them holds. Figures are NaN where no
    study counts, and the entry is then that of the newest study. `drift_pct`: time that molds counted on the floor took
    beyond what is predicted from the standard, of the current method; NaN where none were counted. `restudy_due`:
    why a new study is due: `method` (its steps now take an element that no study of the entry has), `drift` (beyond
    `restudy_drift_pct` and beyond chance) or `date`.
    """

    pattern: str
    method: str
    standard_min_per_mold: float
    low_min: float
    high_min: float
    timed_low_min: float
    timed_high_min: float
    operators: int
    h_per_100_molds: float
    molds_per_h: float
    allowance_pct: float
    allowance_basis: str
    version: str
    effective: str
    status: str
    studies: tuple[str, ...]
    drift_pct: float = math.nan
    restudy_due: tuple[str, ...] = ()
    superseded_by: str = ""
    reason: str = ""
    approved_by: str = ""
    restudy: str = ""
    challenged: tuple[str, ...] = ()


def register(
    case: Case,
    standards: Iterable[Standard],
    pooled: Mapping[tuple[str, str], Standard],
    *,
    today: Any | None = None,
    day: str = "",
) -> tuple[RegisterEntry, ...]:
    """The entry of every pattern and method that has a study with a standard.

    Parameters
    ----------
    case : Case
        Studies with their status, approval and next study.
    standards : iterable of Standard
        One a study; estimated ones are no standards of the register.
    pooled : mapping of (pattern, method) to Standard
        What the studies that count give together.
    today : FloorCheck, optional
        The line under the current method against molds counted.
    day : str
        Day on which it is asked, 2026-11-29; empty where no day of a new study can have come.

    Returns
    -------
    tuple of RegisterEntry
        In the order of the studies.
    """
    timed = [row for row in standards if not row.estimated]
    headers = {study.study: study for study in case.studies}
    doubts: dict[tuple[str, str], list[str]] = {}
    for note in challenges(timed):
        doubts.setdefault((note.blanks["pattern"], note.blanks["method"]), []).append(note.code)
    found = []
    for pair, rows in groups(timed).items():
        counted = counting(rows)
        newest = max(counted or rows, key=lambda row: row.effective)
        entry = _entry(pooled[pair] if counted else None, newest, [headers[row.study] for row in counted or rows])
        due = _due(case, pair, entry, (today, day))
        found.append(RegisterEntry(**entry, **due, challenged=tuple(doubts.get(pair, ()))))
    return tuple(found)


def _due(case: Case, pair: tuple[str, str], entry: Mapping[str, Any], at: tuple[Any | None, str]) -> dict[str, Any]:
    """How far the counts are off, and why a new study is due."""
    today, day = at
    counted = {row.pattern: row for row in today.patterns} if today is not None else {}
    row = counted.get(pair[0]) if pair[1] == case.baseline else None
    drift = HUNDRED * (1 / row.factor[0] - 1) if row is not None else math.nan
    why = ["method"] if _changed(case, pair, entry["studies"]) else []
    why += ["drift"] if row is not None and row.differs and abs(drift) > case.restudy_drift_pct else []
    passed = [each for each in entry["restudy"].split("; ") if DAY.fullmatch(each) and each <= day]
    return {"drift_pct": drift, "restudy_due": tuple(why + (["date"] if passed else []))}


def _changed(case: Case, pair: tuple[str, str], studies: Iterable[str]) -> bool:
    """Whether the steps of the method take an element for the pattern that none of these studies has."""
    timed = {element.name for study in case.studies if study.study in studies for element in study.elements}
    steps = [step for method in case.methods if method.method == pair[1] for step in method.steps]
    return any(
        step.element and step.element not in timed and (not step.patterns or pair[0] in step.patterns)
        for step in steps
        if not step.places
    )


def _entry(standard: Standard | None, newest: Standard, studies: list[Study]) -> dict[str, Any]:
    said = {
        name: "; ".join(dict.fromkeys(filter(None, (getattr(study, field) for study in studies))))
        for name, field in (
            ("approved_by", "approver"), ("restudy", "restudy"), ("reason", "status_reason"),
            ("superseded_by", "superseded_by"),
        )
    }  # fmt: skip
    value = standard.standard_s if standard else math.nan
    ends = {name: getattr(standard, f"{of}_s", math.nan) / SECONDS_PER_MIN for name, of in ENDS.items()}
    return {
        "pattern": newest.pattern,
        "method": newest.method,
        "standard_min_per_mold": value / SECONDS_PER_MIN,
        **ends,
        "operators": len({study.operator for study in studies}),
        "h_per_100_molds": HUNDRED * value / SECONDS_PER_H,
        "molds_per_h": SECONDS_PER_H / value if value > 0 else math.nan,
        "allowance_pct": standard.allowance_pct if standard else math.nan,
        "allowance_basis": standard.allowance_basis if standard else "",
        "version": newest.version,
        "effective": newest.effective,
        "status": newest.status,
        "studies": tuple(study.study for study in studies),
        **said,
    }


def register_rows(entries: Iterable[RegisterEntry], *, digits: int | None = None) -> list[dict[str, Any]]:
    """Entries as rows of a file, figures as they are or, with `digits`, as texts of so many decimals.

    Every unit is rounded from the standard itself, never from another unit that was rounded before; an empty cell
    stands for a figure that there is not.
    """

    def cell(name: str, value: Any) -> Any:
        if name in SEPARATED:
            return SEPARATED[name].join(value)
        if name not in FIGURES:
            return value
        return None if value != value else value if digits is None else fixed(value, digits)

    return [{name: cell(name, value) for name, value in asdict(entry).items()} for entry in entries]
