"""What a case still lacks, by the answer that it is needed for. In: a case. Out: sentences; none of them is a fault."""

from __future__ import annotations

from collections.abc import Iterator

from coreset.brief.case_status import compared, unscreened
from coreset.case import Case
from coreset.report.numbers import listed
from coreset.text import say

ANSWERS = ("standard", "lifting", "line", "decision")


def missing(case: Case) -> dict[str, tuple[str, ...]]:
    """What is not there yet for each answer.

    Parameters
    ----------
    case : Case

    Returns
    -------
    dict of str to tuple of str
        By answer, one of `ANSWERS`, what to enter; an answer for which nothing is missing has no key. A standard needs
        a study with readings and nothing else; only the other answers need patterns, steps, lifts and prices.
    """
    lacking = {"standard": _standard, "lifting": _lifting, "line": _line, "decision": _decision}
    found = {answer: tuple(lacking[answer](case)) for answer in ANSWERS}
    return {answer: what for answer, what in found.items() if what}


def missing_sentences(case: Case) -> list[str]:
    """One sentence for each answer that lacks anything."""
    return [
        say("cli.check.missing", answer=say(f"cli.check.for_{answer}"), what="; ".join(what))
        for answer, what in missing(case).items()
    ]


def _standard(case: Case) -> Iterator[str]:
    if not any(len(study.readings) for study in case.studies):
        yield say("cli.check.lacks_study")
    bare = [study.study for study in case.studies if len(study.readings) and not case.allowance_set(study.allowances)]
    if bare:
        yield say("cli.check.lacks_allowances", studies=listed(bare))


def _lifting(case: Case) -> Iterator[str]:
    yield from _patterns(case)
    jobs = [f"{pattern} {method}" for pattern, method in unscreened(case)]
    if jobs:
        yield say("cli.check.lacks_lifts", jobs=listed(jobs))


def _line(case: Case) -> Iterator[str]:
    yield from _patterns(case)
    known = {method.method for method in case.methods}
    if lacking := [method for method in (case.baseline, case.candidate) if method not in known]:
        yield say("cli.check.lacks_methods", methods=listed(lacking))


def _decision(case: Case) -> Iterator[str]:
    yield from _line(case)
    if not compared(case):
        yield say("cli.check.lacks_pair", baseline=case.baseline, candidate=case.candidate)
    if not case.priced:
        yield say("cli.check.lacks_prices")


def _patterns(case: Case) -> Iterator[str]:
    timed = dict.fromkeys(study.pattern for study in case.studies)
    if not case.patterns or (lacking := [pattern for pattern in timed if case.listed(pattern) is None]):
        yield say(
            "cli.check.lacks_patterns", patterns=listed(lacking if case.patterns else timed) or say("cli.check.any")
        )
