"""Where a case stands and what to do next, in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from textwrap import shorten
from typing import Any

from coreset.case import Case
from coreset.errors import StudyError
from coreset.text import say

STAGES = ("timed", "screened", "line", "priced")
ENTERED_AT = {
    "studies": ("timing", ""),
    "allowances": ("facts", "studies"),
    "lifts": ("facts", "lifts"),
    "methods": ("facts", "methods"),
    "price": ("facts", "money"),
}
"""Page, and place on it, where what is wanting is entered."""
TITLE_LETTERS = 34
COUNTING = ("current", "trial")
"""Status of the studies that may count for a standard."""
FOR_MONEY = ("timed", "line", "priced")
PAGE_OF = {"timed": "timing", "screened": "handling", "line": "line", "priced": "payback"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of the job: done or what is wanting, and the page where it is done."""

    name: str
    done: bool
    words: str
    page: str
    entered: tuple[str, str] = ("", "")

    @property
    def step(self) -> str:
        """What to do as a step of its own; where it is done, what it was."""
        words = self.name if self.done else self.words
        return words[:1].upper() + words[1:]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """What to do next: in words, on which page, and where on it as parameters of its address."""

    words: str
    page: str
    at: dict[str, str]


def compared(case: Case) -> tuple[str, ...]:
    """Patterns that both compared methods were timed on, in file order."""
    timed = {(s.pattern, s.method) for s in case.studies if len(s.readings) and s.status in COUNTING}
    both = (case.baseline, case.candidate)
    return tuple(p.pattern for p in case.patterns if all((p.pattern, method) in timed for method in both))


def _wanting(case: Case) -> dict[str, str]:
    """What each stage still wants, as keys of text; empty where it is done."""
    allowances = {found.name for found in case.allowances}
    bare = [s for s in case.studies if s.allowances not in allowances]
    methods = {found.method for found in case.methods}
    return {
        "timed": ("allowances" if bare else "") if compared(case) else "studies",
        "screened": "lifts" if unscreened(case) or not case.patterns else "",
        "line": "" if {case.baseline, case.candidate} <= methods else "methods",
        "priced": "" if case.money.setter_price.likely > 0 else "price",
    }


def unscreened(case: Case) -> tuple[tuple[str, str], ...]:
    """Jobs, as pattern and method, that cannot have a lifting status: without any lift, or with a load of no mass.

    Each pattern counts under the current method, and under the proposed one where it was timed under both.
    """
    jobs = [(p.pattern, case.baseline) for p in case.patterns] + [(p, case.candidate) for p in compared(case)]
    known: dict[tuple[str, str], list[bool]] = {job: [] for job in jobs}
    for lift in case.lifts:
        known.setdefault((lift.pattern, lift.method), []).append(lift.hoist or not math.isnan(case.mass_of(lift)))
    return tuple(job for job, lifts in known.items() if not lifts or not all(lifts))


def stages(case: Case) -> tuple[Stage, ...]:
    """The four stages of the job, in the order of the work."""
    wanting = _wanting(case)
    return tuple(
        Stage(
            name=say(f"front.stage.{name}"),
            done=not wanting[name],
            words=say(f"front.next.{wanting[name] or 'nothing'}"),
            page=PAGE_OF[name],
            entered=ENTERED_AT.get(wanting[name], ("", "")),
        )
        for name in STAGES
    )


def lacking_for_money(case: Case) -> tuple[Stage, ...]:
    """Stages that want something without which nothing is known of the money; empty where none of them does."""
    return tuple(
        stage for name, stage in zip(STAGES, stages(case), strict=True) if name in FOR_MONEY and not stage.done
    )


def next_step(case: Case) -> Stage | None:
    """The first stage that wants something, or None."""
    return next((stage for stage in stages(case) if not stage.done), None)


def ahead(case: Case) -> Ahead:
    """What to do next; where nothing is wanting, to read the decision."""
    todo = next_step(case)
    if todo is None:
        return Ahead(words=say("front.next.read"), page="brief", at={})
    page, place = todo.entered
    return Ahead(words=todo.words, page=page, at={"place": place} if place else {})


def short_title(case: Case) -> str:
    """The title in so many letters that it stands beside other things."""
    return shorten(case.title, TITLE_LETTERS, placeholder=say("front.number.cut"))


def standing(case: Case) -> str:
    """The answer of the case page in one sentence."""
    todo = next_step(case)
    if todo is None:
        return say("front.standing.done", patterns=len(compared(case)))
    return say("front.standing.todo", done=sum(s.done for s in stages(case)), all=len(STAGES), todo=todo.words)


def found_cases(rows: Iterable[Any], wanted: str) -> list[Any]:
    """Cases of the book with all the words in their name or title, the newest first."""
    words = wanted.lower().split()
    kept = [row for row in rows if all(word in f"{row.case_id} {row.title}".lower() for word in words)]
    return sorted(kept, key=lambda row: row.when, reverse=True)


def newest(rows: Iterable[Any], *, without: str, most: int) -> list[Any]:
    """The cases changed last, without the open one.

    Parameters
    ----------
    rows : iterable of CaseRow
        Cases as the database lists them.
    without : str
        Code of the case that is open.
    most : int
        Cases returned at most.
    """
    others = [row for row in rows if row.case_id != without]
    return sorted(others, key=lambda row: row.when, reverse=True)[:most]


def trail(rows: Iterable[Any]) -> list[dict[str, str]]:
    """What was kept, newest first: number, when, who, why."""
    names = [word.strip() for word in say("front.case.heads").split("|")]
    return [
        dict(zip(names, [str(row.revision), row.when[:16].replace("T", " "), row.who, row.why], strict=True))
        for row in rows
    ]


def only_here(case: Case, counts: Mapping[str, int]) -> str:
    """What a folder of the case leaves behind in the database, by its counts (`Book.only_here`)."""
    videos = sum(study.taken_with == "video" for study in case.studies)
    return say("front.take.only_here", videos=videos, **counts)


def empty_case(title: str) -> Case:
    """A case with a title and nothing else; its methods and prices are still to be entered."""
    return Case(title=title, units="metric", currency="EUR")


def place_name(name: str) -> str:
    """What a part of a case is called: a section, a table, or the case itself."""
    return say(f"front.part.{name}")


def faults_by_column(error: StudyError) -> dict[str, str]:
    """What was found and what was expected, by the column where it stands; each said once."""
    found: dict[str, list[str]] = {}
    for fault in error.faults:
        words = say("front.fault.at_field", found=fault.found, expected=fault.expected)
        found.setdefault(fault.column or fault.file, []).append(words)
    return {column: "; ".join(dict.fromkeys(words)) for column, words in found.items()}
