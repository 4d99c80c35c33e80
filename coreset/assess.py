"""The whole job as one pure function: a case in, everything that follows from it out."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable
from dataclasses import MISSING, dataclass, field, fields, replace
from functools import cached_property
from threading import Lock
from typing import Any

from coreset.case import Case, Money, Range
from coreset.case.digest import digest
from coreset.case.people import named, named_actions, named_raters
from coreset.errors import CoresetError, OutOfRange
from coreset.lifting.job_status import JobStatus, job_statuses
from coreset.lifting.screen import screen
from coreset.lifting.screened_task import Screened
from coreset.lifting.whole_job import with_jobs
from coreset.line.bridge import Bridge, bridges
from coreset.line.mold_cycle import MoldCycle, mold_cycles, untimed_pairs
from coreset.line.notes import LineNote, floor_notes, notes
from coreset.line.rates import Rate, rates
from coreset.line.today import FloorCheck, calibrated, floor_check
from coreset.money.decision import Decision
from coreset.money.evaluate import weigh
from coreset.study.counting import challenges, counting
from coreset.study.pooling import by_pattern, standards
from coreset.study.register import RegisterEntry, register
from coreset.study.standard import Standard

RESAMPLES, DRAWS, REPLICATIONS = 10_000, 100_000, 1_000
DRAW_CELLS, LEAST_DRAWS = 2_000_000, 10_000
"""Draws times patterns held at most, and the draws below which that does not cut."""
NO_PRICE = Range.exactly(0.0)
LEAST_REPLICATIONS = 20
"""Replications of one pattern under one method, however many share them."""
FULL_PAIRS, LEAST_RESAMPLES = 20, 1_000
"""Patterns times methods whose mold cycles all get the full resamples, and the resamples that any gets."""
STAGES = {"standards": 0.0, "mold_cycles": 0.25, "handling": 0.45, "line": 0.5, "money": 0.6}
"""Stages and the rough share of the whole that is done when each begins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """Something the reader must know: the room that says it, a code of its catalogue, the blanks of the sentence."""

    room: str
    code: str
    blanks: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, eq=False)
class Assessment:
    """What follows from a case: one result a room, the seed they were drawn with."""

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

    @cached_property
    def counting(self) -> tuple[Standard, ...]:
        """The standards that count: current, of the newest version, divided alike."""
        return counting(self.standards)

    @cached_property
    def register(self) -> tuple[RegisterEntry, ...]:
        """The one standard of each pattern and method, with its status and what is doubtful about it."""
        return register(self.case, self.standards, self.pooled)

    @cached_property
    def bridges(self) -> tuple[Bridge, ...]:
        """From the stopwatch to the schedule, pattern by pattern."""
        return bridges(self.case, self.pooled, self.mold_cycles, self.line)

    @cached_property
    def jobs(self) -> tuple[JobStatus, ...]:
        """Status of every lifting job, worst first; it follows from the screened tasks and the standards."""
        return job_statuses(self.case, self.pooled.values(), self.handling)


def _silent(stage: str, share: float) -> None:
    """Progress that nobody watches."""


def assess(
    case: Case,
    *,
    seed: int | None = None,
    resamples: int = RESAMPLES,
    draws: int = DRAWS,
    replications: int = REPLICATIONS,
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
        return _carried(case, seed, (resamples, draws, replications), progress)
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rooms:
    """Results of the rooms before money."""

    standards: tuple[Standard, ...]
    pooled: dict[tuple[str, str], Standard]
    mold_cycles: tuple[MoldCycle, ...]
    handling: tuple[Screened, ...]
    line: tuple[Rate, ...]
    today: FloorCheck | None


KEPT = 2
"""Contents of which the results before money are kept: each holds its resamples."""
_KEPT: OrderedDict[tuple[Any, ...], _Rooms] = OrderedDict()
_LOCK = Lock()


def without_prices(case: Case) -> Case:
    """The case as the rooms before money get it: of prices only those that the line reads.

    What they do not get cannot bear on their results, so that a price may change without these being worked out anew.
    """
    plain = {f.name: NO_PRICE if f.type == "Range" else 0.0 for f in fields(Money) if f.default is MISSING}
    read = {name: getattr(case.money, name) for name in ("air_per_m3", "other_line_hours_per_year")}
    money = Money(**plain | read)
    bare: dict[str, Any] = {"margin_per_casting": NO_PRICE, "mask_cost": None, "cost_per_scrapped_casting": 0.0}
    return replace(case, money=money, options=(), patterns=tuple(replace(p, **bare) for p in case.patterns))


def _before_money(case: Case, seed: int, sizes: tuple[int, int], progress: Callable[[str, float], None]) -> _Rooms:
    """Results of the rooms before money, kept by the content that they get."""
    case = without_prices(case)
    key = (digest(case), seed, sizes)
    with _LOCK:
        known = _KEPT.get(key)
        if known is not None:
            _KEPT.move_to_end(key)
    if known is not None:
        for stage in list(STAGES)[:-1]:
            progress(stage, STAGES[stage])
        return known
    made = _worked_out(case, seed, sizes, progress)
    with _LOCK:
        _KEPT[key] = made
        while len(_KEPT) > KEPT:
            _KEPT.popitem(last=False)
    return made


def _worked_out(case: Case, seed: int, sizes: tuple[int, int], progress: Callable[[str, float], None]) -> _Rooms:
    resamples, replications = sizes
    progress("standards", STAGES["standards"])
    timed = standards(case, resamples=resamples, seed=seed)
    if not timed:
        raise OutOfRange("at least one pattern must be timed, got none")
    pooled = by_pattern(timed)
    progress("mold_cycles", STAGES["mold_cycles"])
    pairs = len(case.patterns) * len(case.methods)
    each = min(resamples, max(LEAST_RESAMPLES, resamples * FULL_PAIRS // max(1, pairs)))
    cycles = mold_cycles(case, counting(timed), replications=each, seed=seed)
    progress("handling", STAGES["handling"])
    screened = with_jobs(case, pooled.values(), screen(case, pooled.values()))
    progress("line", STAGES["line"])
    shared = max(LEAST_REPLICATIONS, replications // max(1, len(cycles)))
    found = rates(case, cycles, replications=shared, seed=seed)
    check = floor_check(case, found, cycles)
    line = calibrated(found, check, seed=seed)
    return _Rooms(standards=timed, pooled=pooled, mold_cycles=cycles, handling=screened, line=line, today=check)


def _carried(case: Case, seed: int, sizes: tuple[int, int, int], progress: Callable[[str, float], None]) -> Assessment:
    resamples, draws, replications = sizes
    rooms = _before_money(case, seed, (resamples, replications), progress)
    timed, cycles, screened, found = rooms.standards, rooms.mold_cycles, rooms.handling, rooms.line
    draws = min(draws, max(LEAST_DRAWS, DRAW_CELLS // max(1, len(case.patterns))))
    money = None
    if case.priced and comparable(case, found):
        money = weigh(case, counting(timed), cycles, found, screened, draws=draws, seed=seed, progress=_last(progress))
    return Assessment(
        case=case,
        seed=seed,
        standards=timed,
        pooled=rooms.pooled,
        mold_cycles=cycles,
        handling=screened,
        line=found,
        today=rooms.today,
        money=money,
        warnings=tuple(_warnings(case, timed, screened, (*notes(case, found), *floor_notes(rooms.today)), money)),
    )


def _last(progress: Callable[[str, float], None]) -> Callable[[float], None]:
    """Progress of the last stage within the whole."""
    return lambda share: progress("money", STAGES["money"] + (1.0 - STAGES["money"]) * share)


def comparable(case: Case, found: Iterable[Rate]) -> bool:
    """Whether any pattern has a rate under both methods compared: without one nothing is known of what is bought."""
    rated = {(row.pattern, row.method) for row in found}
    return any({(p, case.baseline), (p, case.candidate)} <= rated for p, _ in rated)


def _warnings(
    case: Case,
    timed: Iterable[Standard],
    screened: Iterable[Screened],
    line: Iterable[LineNote],
    money: Decision | None,
) -> Iterable[Warned]:
    timed = tuple(timed)
    for note in (*(note for standard in timed for note in standard.warnings), *challenges(timed)):
        yield Warned(room="study", code=note.code, blanks=dict(note.blanks))
    for pattern, method, elements in untimed_pairs(case, counting(timed)):
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
