"""What the first screen of a case says beside the verdict: time, people, what is still open, next steps, cases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coreset.case import Case
from coreset.decision import headline
from coreset.decision.verdict import decide
from coreset.lifting.report.job_status import jobs_sentence
from coreset.study.report.sentences import cycles_answer
from coreset.text import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One subject on the first screen: its name, what is known in a few lines, and the page that shows why."""

    title: str
    lines: tuple[str, ...]
    page: str


def verdict_word(level: str) -> str:
    """A verdict in one to three words."""
    return say(f"decision.word.{level}")


def time_card(case: Case, compared: Mapping[str, Any]) -> Card:
    """Which method is faster, by pattern."""
    words = cycles_answer(list(compared.values()), case)
    return Card(title=say("front.overview.time"), lines=(words,), page="cycles")


def people_card(jobs: Any) -> Card:
    """How many lifting jobs have which status, and the worst."""
    return Card(title=say("front.overview.people"), lines=(jobs_sentence(jobs),), page="handling")


def open_card(assessment: Any) -> Card:
    """What is not proven, what has to be changed whatever is decided, and what to measure next.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    """
    told, changes = headline.as_document(assessment), len(decide(assessment).must_do)
    lines = [
        say("decision.next.line", what=told["next_measurement"]) if told["next_measurement"] else "",
        say("decision.must_do.line", parts=told["must_do"][0]) if changes else "",
        say("front.overview.more", count=changes - 1) if changes > 1 else "",
    ]
    found = tuple(filter(None, lines)) or (say("front.overview.nothing_open"),)
    return Card(title=say("front.overview.open"), lines=found, page="brief")


def level_of(assessment: Any) -> str:
    """The verdict as a fixed word of `decision.verdict.LEVELS`."""
    return decide(assessment).level
