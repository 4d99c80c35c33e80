"""What the status of a lifting job is called, why it is so, and the jobs of a case as rows and in a sentence."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.lifting.job_status import HOIST, STATUSES
from coreset.lifting.report.status import index_text, why_not
from coreset.text import say


def job_name(job: Any) -> str:
    """Pattern and method of a job, or that it is the shift's rotation."""
    pattern = job.pattern or say("handling.status.rotation")
    return say("handling.status.name", pattern=pattern, method=job.method)


def status_words(job: Any) -> str:
    """Status of a job in words; what is needed where it is not covered, `at least` where more may come on top.

    Examples
    --------
    >>> from types import SimpleNamespace as S
    >>> status_words(S(status="above_1", at_least=("hot",), because=("single",)))
    'above 1, at least'
    """
    if job.status == "not_covered":
        return say("handling.status.not_covered", needs=needs_words(job.because))
    words = say(f"handling.status.{job.status}")
    known = job.status in {"above_1", "above_3"} and job.at_least
    return say("handling.status.and_more", status=words) if known else words


def needs_words(codes: Iterable[str]) -> str:
    """What it needs before a status can be given."""
    return "; ".join(dict.fromkeys(say(f"handling.needs.{_need(code)}") for code in codes))


def _need(code: str) -> str:
    known = {"two_persons", "no_standard", "no_mass", "no_lifts", "push", "reach", HOIST}
    return code if code in known else "measured"


def reason_words(job: Any) -> str:
    """What decides the status, and why the index is a lower limit."""
    said = [] if job.status == "not_covered" else [_reason(code, job) for code in job.because]
    if job.at_least:
        said.append(say("handling.status.lower", why=why_not(job.at_least)))
    return "; ".join(said)


def _reason(code: str, job: Any) -> str:
    """One reason; limits of the equation have their own words."""
    own = {"single", "largest", "team", "composite", "order", "rotation", "carrying_limit", "job_limit"}
    return say(f"handling.because.{code}", task=job.worst_task) if code in own else why_not([code])


def job_index_text(job: Any) -> str:
    """Kind and index of a job; RWL 0 where it is beyond the limits, a dash where nothing is known."""
    if job.governing == math.inf:
        return say("handling.job.zero")
    if job.index is None:
        return "–"
    return say("handling.job.index", kind=job.kind, index=index_text(job.index, job.at_least))


def job_rows(jobs: Sequence[Any]) -> list[dict[str, str]]:
    """Every job as a row, worst first; the sign stands for the status where color cannot."""
    heads = ("sign", "job", "status", "index", "worst", "reason", "operators")
    names = [say(f"handling.status_column.{head}") for head in heads]
    return [dict(zip(names, [say(f"handling.sign.{job.status}"), *cells(job)], strict=True)) for job in jobs]


def cells(job: Any) -> list[str]:
    """Name, status, index, worst task, reasons and operators of a job."""
    return [
        job_name(job),
        status_words(job),
        job_index_text(job),
        job.worst_task or "–",
        reason_words(job),
        str(job.operators),
    ]


def jobs_sentence(jobs: Sequence[Any], methods: Sequence[str] = ()) -> str:
    """How many jobs have which status, worst first, in all or by method; then the worst job.

    Parameters
    ----------
    jobs : sequence of JobStatus
        Worst first.
    methods : sequence of str
        Methods to count apart, in this order; without any, all jobs are counted together.

    Returns
    -------
    str
        Empty where there is no job.
    """
    if not jobs:
        return ""
    if methods:
        parts = [(method, [job for job in jobs if job.method == method]) for method in methods]
        counted = [say("handling.status.by_method", method=name, counts=_counts(own)) for name, own in parts if own]
        return say("handling.status.methods", parts="; ".join(counted)) if counted else ""
    worst = jobs[0]
    blanks = {"job": job_name(worst), "status": status_words(worst), "task": worst.worst_task or "–"}
    return say("handling.status.answer", all=len(jobs), counts=_counts(jobs), **blanks)


def _counts(jobs: Iterable[Any]) -> str:
    count = Counter(job.status for job in jobs)
    return ", ".join(say("handling.status.count", count=count[s], status=_short(s)) for s in STATUSES if count[s])


def _short(status: str) -> str:
    return say("handling.status.not_covered_short") if status == "not_covered" else say(f"handling.status.{status}")
