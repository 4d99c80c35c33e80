"""The rooms before money as one result, kept by the content that each gets. In: a case. Out: `BeforeMoney`.

A changed price calculates none of them again; a changed volume only the line of the pattern whose volume it is.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import MISSING, dataclass, field, fields, replace
from threading import Lock
from typing import Any, TypeVar

from coreset.case import Case, Money, Option, Pattern, Range
from coreset.case.digest import digest
from coreset.errors import OutOfRange
from coreset.lifting.screen import screen
from coreset.lifting.screened_task import Screened
from coreset.lifting.whole_job import with_jobs
from coreset.line.mold_cycle import MoldCycle, mold_cycles
from coreset.line.rates import Rate, rates
from coreset.line.today import FloorCheck, calibrated, floor_check
from coreset.study.pooling import by_pattern, standards
from coreset.study.standard import Standard

NO_PRICE, ONE_A_YEAR = Range.exactly(0.0), Range.exactly(1.0)
LEAST_REPLICATIONS = 20
"""Replications of one pattern under one method, however many share them."""
FULL_PAIRS, LEAST_RESAMPLES = 20, 1_000
"""Patterns times methods whose mold cycles all get the full resamples, and the resamples that any gets."""
STAGES = {"standards": 0.0, "mold_cycles": 0.25, "handling": 0.45, "line": 0.5, "money": 0.6}
"""Stages and the rough share of the whole that is done when each begins."""
KEPT = 2
"""Contents of which results are kept: each holds its resamples."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeforeMoney:
    """Results of the rooms before money."""

    standards: tuple[Standard, ...]
    pooled: dict[tuple[str, str], Standard]
    mold_cycles: tuple[MoldCycle, ...]
    handling: tuple[Screened, ...]
    line: tuple[Rate, ...]
    today: FloorCheck | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Timed:
    """What no volume bears on; `rates` of the line by pattern with its volume, the last ones asked for."""

    standards: tuple[Standard, ...]
    pooled: dict[tuple[str, str], Standard]
    mold_cycles: tuple[MoldCycle, ...]
    rates: OrderedDict[Pattern, tuple[Rate, ...]] = field(default_factory=OrderedDict)


_ROOMS: OrderedDict[tuple[Any, ...], BeforeMoney] = OrderedDict()
_TIMED: OrderedDict[tuple[Any, ...], _Timed] = OrderedDict()
_LOCK = Lock()


def forget() -> None:
    """Let go of all results that are kept."""
    with _LOCK:
        _ROOMS.clear()
        _TIMED.clear()


def without_prices(case: Case) -> Case:
    """The case as the rooms before money get it: of prices only those that the line reads.

    What they do not get cannot bear on their results, so that a price may change without these being worked out anew.
    """
    plain = {f.name: NO_PRICE if f.type == "Range" else 0.0 for f in fields(Money) if f.default is MISSING}
    read = {name: getattr(case.money, name) for name in ("air_per_m3", "other_line_hours_per_year")}
    money = Money(**plain | read)
    bare: dict[str, Any] = {"margin_per_casting": NO_PRICE, "mask_cost": None, "cost_per_scrapped_casting": 0.0}
    return replace(
        case,
        money=money,
        options=tuple(
            Option(option=o.option, claimed_cycle_s=o.claim(case.candidate))
            for o in case.options
            if o.claim(case.candidate) > 0
        ),
        growth=(),
        actuals=(),
        promised=(),
        patterns=tuple(replace(p, **bare) for p in case.patterns),
    )


def without_volumes(case: Case) -> Case:
    """The case as studies and mold cycles get it: no volume bears on them."""
    bare: dict[str, Any] = {"molds_per_year": ONE_A_YEAR, "runs_per_year": 1.0, "extra_molds_per_year": NO_PRICE}
    return replace(case, patterns=tuple(replace(p, **bare) for p in case.patterns))


def before_money(case: Case, seed: int, sizes: tuple[int, int], progress: Callable[[str, float], None]) -> BeforeMoney:
    """Results of the rooms before money.

    Parameters
    ----------
    case : Case
        Everything that bears on the decision.
    seed : int
        Seed of every run.
    sizes : (int, int)
        Resamples of the studies' cycles, replications of the line.
    progress : callable
        Told each stage as it begins, and the share of the whole that is done.

    Raises
    ------
    OutOfRange
        If no pattern is timed.
    """
    bare = without_prices(case)
    key = (digest(bare), seed, sizes)
    made = _known(_ROOMS, key)
    if made is None:
        made = _made(bare, seed, sizes, progress)
        _keep(_ROOMS, key, made)
    else:
        for stage in list(STAGES)[:-1]:
            progress(stage, STAGES[stage])
    return made


def _known(store: OrderedDict[tuple[Any, ...], T], key: tuple[Any, ...]) -> T | None:
    with _LOCK:
        found = store.get(key)
        if found is not None:
            store.move_to_end(key)
        return found


def _keep(store: OrderedDict[Any, T], key: Any, made: T, most: int = KEPT) -> None:
    with _LOCK:
        store[key] = made
        while len(store) > most:
            store.popitem(last=False)


def _made(case: Case, seed: int, sizes: tuple[int, int], progress: Callable[[str, float], None]) -> BeforeMoney:
    timed = _timed(without_volumes(case), seed, sizes, progress)
    progress("handling", STAGES["handling"])
    screened = with_jobs(case, timed.pooled.values(), screen(case, timed.pooled.values()))
    progress("line", STAGES["line"])
    shared = max(LEAST_REPLICATIONS, sizes[1] // max(1, len(timed.mold_cycles)))
    found = tuple(rate for pattern in case.patterns for rate in _rates(case, pattern, timed, shared, seed))
    check = floor_check(case, found, timed.mold_cycles)
    return BeforeMoney(
        standards=timed.standards,
        pooled=timed.pooled,
        mold_cycles=timed.mold_cycles,
        handling=screened,
        line=calibrated(found, check, seed=seed),
        today=check,
    )


def _timed(case: Case, seed: int, sizes: tuple[int, int], progress: Callable[[str, float], None]) -> _Timed:
    """Standards and mold cycles of a case without volumes."""
    key = (digest(case), seed, sizes)
    known = _known(_TIMED, key)
    progress("standards", STAGES["standards"])
    if known is not None:
        progress("mold_cycles", STAGES["mold_cycles"])
        return known
    found = standards(case, resamples=sizes[0], seed=seed)
    if not found:
        raise OutOfRange("at least one pattern must be timed, got none")
    progress("mold_cycles", STAGES["mold_cycles"])
    pairs = len(case.patterns) * len(case.methods)
    each = min(sizes[0], max(LEAST_RESAMPLES, sizes[0] * FULL_PAIRS // max(1, pairs)))
    pooled = by_pattern(found)
    cycles = mold_cycles(case, pooled.values(), replications=each, seed=seed)
    made = _Timed(standards=found, pooled=pooled, mold_cycles=cycles)
    _keep(_TIMED, key, made)
    return made


def _rates(case: Case, pattern: Pattern, timed: _Timed, replications: int, seed: int) -> tuple[Rate, ...]:
    """Rates of one pattern, of whose line no other pattern is a part: it gets the case without the others."""
    with _LOCK:
        known = timed.rates.get(pattern)
    if known is None:
        rows = [row for row in timed.mold_cycles if row.pattern == pattern.pattern]
        known = rates(replace(case, patterns=(pattern,)), rows, replications=replications, seed=seed)
        _keep(timed.rates, pattern, known, most=KEPT * len(case.patterns))
    return known
