"""An assessment as one JSON document with fixed keys: what `coreset assess --json` prints and the schema describes."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from coreset.brief.sources_used import sources_used
from coreset.brief.warnings import warnings
from coreset.decision.headline import as_document
from coreset.lifting.report.status import why_not
from coreset.line.report import bridge
from coreset.money.post_audit import audit, verdict
from coreset.money.promise import promised
from coreset.money.reforecast import reforecast
from coreset.money.report.base_figures import figures, inputs
from coreset.study.delay_study import delay_studies

STANDARD = [
    "study",
    "pattern",
    "method",
    "cycles",
    "observed_s",
    "normal_s",
    "standard_s",
    "standard_low_s",
    "standard_high_s",
    "allowance_pct",
    "allowance_basis",
    "unaccounted_pct",
    "elements",
]
END = ["rwl", "li", "hm", "vm", "dm", "am", "fm", "cm"]
HANDLING = ["pattern", "method", "task", "frequency_per_min", "duration", "applies", "why_not", "li", "binding"]
JOB = ["pattern", "method", "operators", "index", "governing", "kind", "status", "at_least", "worst_task", "because"]
CYCLE = [
    "pattern",
    "method",
    "mean_s",
    "low_s",
    "high_s",
    "p90_s",
    "deterministic_s",
    "critical",
    "shares",
    "waits_for",
    "rest",
]
RATE = ["pattern", "method", "molds_per_h", "low", "high", "limited_by"]
MONEY_LEFT_OUT = {"npv_draws", "payback_draws", "discounted_payback_draws", "saving_draws", "worth_draws", "base"}
DRAWN = ("draws", "draws_s", "cycle_standard_s")


def document(assessment: Any) -> dict[str, Any]:
    """The whole answer as values of JSON; masses in the case's units, times in seconds, what is not known null.

    Parameters
    ----------
    assessment : Assessment
        The whole job.

    Returns
    -------
    dict
        Keys: case, units, currency, seed, standards, register, delays, mold_cycles, handling, jobs, line, today,
        bridge, money, decision, sources, warnings; `audit` where amounts were entered after the purchase.
    """
    case = assessment.case
    found = {
        "case": _picked(case, ["title", "plant", "date", "invented", "baseline", "candidate"]),
        "units": case.units,
        "currency": case.currency,
        "seed": getattr(assessment, "seed", case.seed),
        "standards": [_picked(row, STANDARD) for row in assessment.standards],
        "register": plain(assessment.register),
        "delays": plain(delay_studies(case.delays).values()),
        "mold_cycles": [_picked(row, CYCLE) for row in assessment.mold_cycles],
        "handling": [_screened(row) for row in assessment.handling],
        "jobs": [_picked(row, JOB) for row in assessment.jobs],
        "line": [_picked(row, RATE) for row in assessment.line],
        "today": plain(assessment.today),
        "bridge": bridge.as_document(assessment.bridges),
        "money": _money(assessment),
        "decision": as_document(assessment),
        "sources": _sources(assessment),
        "warnings": warnings(assessment.warnings),
    }
    return found | ({"audit": _audit(assessment)} if case.actuals and assessment.money is not None else {})


def printed(found: Mapping[str, Any]) -> str:
    """The document as text."""
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)


@cache
def schema() -> dict[str, Any]:
    """The JSON Schema that the document keeps to."""
    return json.loads((files("coreset.brief") / "schema" / "assessment.json").read_text(encoding="utf-8"))


def plain(value: Any) -> Any:
    """Any value of the rooms as JSON: dataclasses as objects, tables of draws left out, NaN and infinity null.

    Examples
    --------
    >>> plain({"a": float("inf"), "b": (1, 2.5), "c": np.float64(3)})
    {'a': None, 'b': [1, 2.5], 'c': 3.0}
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = (field.name for field in dataclasses.fields(value))
        return {name: plain(getattr(value, name)) for name in names if name not in DRAWN}
    if isinstance(value, Mapping):
        return {_key(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Iterable) and not isinstance(value, str):
        return [plain(item) for item in value]
    return value


def _key(key: Any) -> str:
    return key if isinstance(key, str) else " ".join(map(str, key)) if isinstance(key, tuple) else str(key)


def _picked(row: Any, names: Iterable[str]) -> dict[str, Any]:
    return {name: plain(getattr(row, name)) for name in names if hasattr(row, name)}


def _screened(row: Any) -> dict[str, Any]:
    ends = {name: _picked(getattr(row, name), END) for name in ("origin", "destination")}
    words = {"why_not": why_not(row.why_not), "at_least": why_not(row.at_least)}
    return _picked(row, HANDLING) | words | _beyond_the_task(row) | ends


def _beyond_the_task(row: Any) -> dict[str, Any]:
    """The job that a task is part of and the carry on top, null where there is none; `job_index` null also at RWL 0."""
    job, carry = row.job, row.carrying
    return {
        "job_kind": job.kind if job else None,
        "job_index": plain(job.index) if job else None,
        "job_tasks": job.tasks if job else None,
        "job_at_least": why_not(job.at_least) if job else "",
        "carrying_share": plain(carry.share) if carry else None,
        "carrying_limited_by": carry.binding if carry else None,
    }


def _money(assessment: Any) -> dict[str, Any] | None:
    money = assessment.money
    if money is None:
        return None
    found = {name: getattr(money, name) for name in money.parts() if name not in MONEY_LEFT_OUT}
    listed = {"figures": figures(assessment.case, money), "inputs": inputs(assessment.case, money)}
    return plain(found | listed)


def _audit(assessment: Any) -> dict[str, Any]:
    """Promised at the approval, else by the case as it stands, against what was entered; the forecast that follows."""
    money, actuals, approved = assessment.money, assessment.case.actuals, promised(assessment.case.promised)
    before = approved or money
    rows = audit(before, money, actuals)
    by = None if approved is None else {"who": approved.who, "day": approved.day}
    found = {
        "approved": by,
        "verdict": verdict(rows),
        "rows": [plain(row) | {"difference": plain(row.difference)} for row in rows],
    }
    return found | {"forecast": plain(reforecast(before, money, actuals))}


def _sources(assessment: Any) -> list[dict[str, Any]]:
    """Publications behind the figures: for what each was used, the status of that, its rules."""
    return [
        plain(one) | {"rules": [{"id": name, "status": status} for name, status in one.rules]}
        for one in sources_used(assessment)
    ]
