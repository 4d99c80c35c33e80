"""The whole job as one pure function: a case in, everything that follows from it out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from coreset.before_money import LEAST_RESAMPLES, STAGES, BeforeMoney, before_money
from coreset.case import Case
from coreset.case.people import named, named_actions, named_raters
from coreset.decision.verdict import Verdict, decide
from coreset.errors import CoresetError
from coreset.lifting.job_status import JobStatus, job_statuses
from coreset.lifting.screen import screen
from coreset.lifting.screened_task import Screened
from coreset.lifting.whole_job import with_jobs
from coreset.line.bridge import Bridge, bridges
from coreset.line.mold_cycle import MoldCycle
from coreset.line.notes import LineNote, floor_notes, method_notes, notes
from coreset.line.rates import Rate
from coreset.line.timed_steps import untimed_pairs
from coreset.line.today import FloorCheck
from coreset.money.decision import Decision
from coreset.money.evaluate import weigh
from coreset.study.counting import challenges, counting
from coreset.study.pooling import by_pattern, standards
from coreset.study.register import RegisterEntry, register
from coreset.study.standard import Standard

RESAMPLES, DRAWS, REPLICATIONS = 10_000, 100_000, 1_000
DRAW_CELLS, LEAST_DRAWS = 2_000_000, 10_000
"""Draws times patterns held at most, and the draws below which that does not cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """Something the reader must know: the room that says it, a code of its catalogue, the blanks of the sentence."""

    room: str
    code: str
    blanks: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, eq=False)
class Assessment:
    """What follows from a case: one result a room, the seed they were drawn with.

    `warnings` is empty in what `answered` gives. `day`: the day on which it is read, by
    which actions are overdue; empty takes that of the case.
    """

    case: Case
    seed: int
    standards: tuple[Standard, ...]
    pooled: dict[tuple[str, str], Standard]
    mold_cycles: tuple[MoldCycle, ...]
    handling: tuple[Screened, ...]
    line: tuple[Rate, ...]
    today: FloorCheck | None
    money: Decision | None
    warnings: tuple[Warned, ...]
    day: str = ""

    @cached_property
    def counting(self) -> tuple[Standard, ...]:
        """The standards that count: current, of the newest version, divided alike."""
        return counting(self.standards)

    @cached_property
    def register(self) -> tuple[RegisterEntry, ...]:
        """The one standard of each pattern and method, with its status and what is doubtful about it."""
        return register(self.case, self.standards, self.pooled, today=self.today, day=self.day)

    @cached_property
    def bridges(self) -> tuple[Bridge, ...]:
        """From the stopwatch to the schedule, pattern by pattern."""
        return bridges(self.case, self.pooled, self.mold_cycles, self.line)

    @cached_property
    def jobs(self) -> tuple[JobStatus, ...]:
        """Status of every lifting job, worst first; it follows from the screened tasks and the standards."""
        return job_statuses(self.case, self.pooled.values(), self.handling)

    @cached_property
    def verdict(self) -> Verdict:
        """The verdict, as every output says it."""
        return decide(self)

    def complete(self) -> Assessment:
        """This assessment, every part of it worked out that is otherwise when first asked for."""
        if self.money is not None:
            self.money.complete()
        for name, part in vars(type(self)).items():
            if isinstance(part, cached_property):
                getattr(self, name)
        return self


def _silent(stage: str, share: float) -> None:
    """Progress that nobody watches."""


def assess(
    case: Case,
    *,
    seed: int | None = None,
    resamples: int = RESAMPLES,
    draws: int = DRAWS,
    replications: int = REPLICATIONS,
    day: str = "",
    progress: Callable[[str, float], None] = _silent,
) -> Assessment:
    """Carry a case from its readings to the decision.

    Parameters
    ----------
    case : Case
        Everything that bears on the decision.
    seed : int, optional
        Seed of every draw; the case's own if left out. The same seed gives the same answer.
    resamples, draws, replications : int
        Resamples of the studies' cycles, those of the mold cycle shared out beyond 20 patterns times methods but not
        below 1,000; draws of prices and volumes, cut beyond 20 patterns so that draws times
        patterns stay the same, but not below 10,000; replications of the line, shared out among the patterns and
        methods.
    day : str
        Day on which this is read, as 2026-03-31, by which actions are overdue; empty takes that of the case.
    progress : callable
        Told a stage, one of `STAGES`, and the share of the whole that is done: as each stage begins, and within money
        after every block of draws.

    Returns
    -------
    Assessment

    Raises
    ------
    CoresetError
        If a calculation refuses: a study without readings, no pattern timed under the current method.
    """
    seed = case.seed if seed is None else seed
    try:
        return replace(_carried(case, seed, (resamples, draws, replications), progress), day=day)
    except MemoryError as error:
        raise CoresetError(
            "assessment must fit the memory of this machine, got more: "
            "close other programs, or ask for fewer resamples or draws"
        ) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifting:
    """What is known of the lifts of a case without its line and its prices: one `Screened` a lift, jobs worst first."""

    case: Case
    handling: tuple[Screened, ...]
    jobs: tuple[JobStatus, ...]
    pooled: dict[tuple[str, str], Standard]


def lifting_alone(case: Case) -> Lifting:
    """The lifts of a case, screened, and the status of its jobs, worst first; without a study where a pace is entered.

    The pace follows from the standard times, not from their intervals, so that few resamples are enough.
    """
    timed = replace(case, studies=tuple(study for study in case.studies if len(study.readings)))
    pooled = by_pattern(standards(timed, resamples=LEAST_RESAMPLES, seed=case.seed)) if timed.studies else {}
    screened = with_jobs(case, pooled.values(), screen(case, pooled.values()))
    jobs = job_statuses(case, pooled.values(), screened)
    return Lifting(case=case, handling=screened, jobs=jobs, pooled=pooled)


def answered(
    case: Case, *, resamples: int = RESAMPLES, draws: int = DRAWS, replications: int = REPLICATIONS, day: str = ""
) -> Assessment:
    """Carry a case no further than its verdict: as `assess`, without warnings, sooner.

    Parameters
    ----------
    case, resamples, draws, replications, day
        As for :func:`assess`.

    Returns
    -------
    Assessment
        Without warnings.

    Raises
    ------
    CoresetError
        As :func:`assess`.
    """
    rooms = before_money(case, case.seed, (resamples, replications), _silent)
    money = _money(case, rooms, draws, case.seed)
    return replace(_joined(case, case.seed, rooms, money, ()), day=day)


def _draws(case: Case, asked: int) -> int:
    return min(asked, max(LEAST_DRAWS, DRAW_CELLS // max(1, len(case.patterns))))


def _carried(case: Case, seed: int, sizes: tuple[int, int, int], progress: Callable[[str, float], None]) -> Assessment:
    resamples, draws, replications = sizes
    rooms = before_money(case, seed, (resamples, replications), progress)
    money = _money(case, rooms, draws, seed, progress)
    notes_of_line = (*notes(case, rooms.line), *method_notes(case, rooms.mold_cycles), *floor_notes(rooms.today))
    return _joined(case, seed, rooms, money, tuple(_warnings(case, rooms, notes_of_line, money)))


def _money(
    case: Case, rooms: BeforeMoney, draws: int, seed: int, progress: Callable[[str, float], None] = _silent
) -> Decision | None:
    """What the purchase is worth; None without a price, or without a pattern timed under both methods."""
    if not (case.priced and comparable(case, rooms.line)):
        return None
    size: dict[str, Any] = {"draws": _draws(case, draws), "seed": seed, "progress": _last(progress)}
    return weigh(case, counting(rooms.standards), rooms.mold_cycles, rooms.line, rooms.handling, **size)


def _joined(
    case: Case, seed: int, rooms: BeforeMoney, money: Decision | None, warnings: tuple[Warned, ...]
) -> Assessment:
    return Assessment(
        case=case,
        seed=seed,
        standards=rooms.standards,
        pooled=rooms.pooled,
        mold_cycles=rooms.mold_cycles,
        handling=rooms.handling,
        line=rooms.line,
        today=rooms.today,
        money=money,
        warnings=warnings,
    )


def _last(progress: Callable[[str, float], None]) -> Callable[[float], None]:
    """Progress of the last stage within the whole."""
    return lambda share: progress("money", STAGES["money"] + (1.0 - STAGES["money"]) * share)


def comparable(case: Case, found: Iterable[Rate]) -> bool:
    """Whether any pattern has a rate under both methods compared: without one nothing is known of what is bought."""
    rated = {(row.pattern, row.method) for row in found}
    return any({(p, case.baseline), (p, case.candidate)} <= rated for p, _ in rated)


def _warnings(case: Case, rooms: BeforeMoney, line: Iterable[LineNote], money: Decision | None) -> Iterable[Warned]:
    timed, screened = rooms.standards, rooms.handling
    for note in (*(note for standard in timed for note in standard.warnings), *challenges(timed)):
        yield Warned(room="study", code=note.code, blanks=dict(note.blanks))
    for pattern, method, elements in untimed_pairs(case, rooms.pooled.values()):
        blanks = {"pattern": pattern, "method": method, "element": ", ".join(elements)}
        yield Warned(room="study", code="step_untimed", blanks=blanks)
    yield from _of_studies(case, {standard.study for standard in timed})
    for code in dict.fromkeys(limit for row in screened for limit in row.limits):
        yield Warned(room="handling", code=code)
    for line_note in line:
        yield Warned(room="line", code=line_note.code, blanks=dict(line_note.blanks))
    for money_note in money.notes if money is not None else ():
        yield Warned(room="money", code=money_note.code, blanks=dict(money_note.blanks))


def _of_studies(case: Case, made: Collection[str]) -> Iterable[Warned]:
    """Studies without a standard, of patterns that are not listed, or with what reads like a name."""
    for study in case.studies:
        if len(study.readings) and study.study not in made:
            yield Warned(room="study", code="nothing_whole", blanks={"study": study.study})
        if case.patterns and case.listed(study.pattern) is None:
            yield Warned(room="study", code="unlisted", blanks={"study": study.study, "pattern": study.pattern})
        if fields := named(study):
            yield Warned(room="study", code="name_like", blanks={"study": study.study, "element": ", ".join(fields)})
    if fields := named_actions(case.actions):
        yield Warned(room="study", code="name_like", blanks={"study": "actions.csv", "element": ", ".join(fields)})
    if fields := named_raters(case.raters):
        yield Warned(room="study", code="name_like", blanks={"study": "raters.csv", "element": ", ".join(fields)})
