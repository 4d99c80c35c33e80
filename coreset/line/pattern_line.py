"""One pattern on the line, looked at closely: both methods run on the same draws, gains, and what a second is worth."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from coreset.case import Case
from coreset.line.gains import Gain, SecondSaved, anchored, gains, seconds_saved
from coreset.line.line_plan import change_min, plan
from coreset.line.rates import Rate
from coreset.line.simulation import LineRun, simulate

SHARES = (0.25, 0.5)
"""Progress after the runs of the first and of the second method."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodOnLine:
    """One method on the line: its rate, the shares of its run, what limits, what a second saved at each station brings.

    `rate` is the one that all rooms use; `run` has changes in it and is looked at for shares and roots alone.
    """

    method: str
    rate: Rate
    run: LineRun
    change_min: float
    seconds: tuple[SecondSaved, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Closer:
    """A pattern under the current method and the one weighed against it, where timed; gains over the first."""

    pattern: str
    methods: tuple[MethodOnLine, ...]
    gains: tuple[Gain, ...]


def look_closer(
    case: Case,
    mold_cycles: Iterable[Any],
    pattern: str,
    rates: Iterable[Rate],
    *,
    seed: int | None = None,
    progress: Callable[[float], None] | None = None,
) -> Closer:
    """Run the line for one pattern.

    Parameters
    ----------
    case : Case
        Line, patterns, methods to compare.
    mold_cycles : iterable of MoldCycle
        Mold cycles of the case.
    pattern : str
        Pattern looked at.
    rates : iterable of Rate
        Rates of the case, the pattern's with both methods among them.
    seed : int, optional
        Seed of all runs, common to both methods; the case's own if left out.
    progress : callable, optional
        Called with the share done.

    Returns
    -------
    Closer
        Methods that have no mold cycle are left out; without the first there are no gains.
    """
    chosen = case.seed if seed is None else seed
    rows = {row.method: row for row in mold_cycles if row.pattern == pattern}
    known = {rate.method: rate for rate in rates if rate.pattern == pattern}
    names = [name for name in (case.baseline, case.candidate) if name in rows]
    tell = progress or (lambda _: None)
    methods = []
    for name, share in zip(names, SHARES, strict=False):
        minutes = change_min(case, name)
        line = plan(case, rows[name], changes=minutes)
        run = simulate(line, seed=chosen)
        worth = seconds_saved(line, seed=chosen)
        methods.append(
            MethodOnLine(
                method=name,
                rate=known[name],
                run=run,
                change_min=minutes,
                seconds=worth,
            )
        )
        tell(share)
    rest = 1.0 - SHARES[1]
    found: tuple[Gain, ...] = ()
    if case.baseline in rows:
        found = gains(
            case,
            rows[case.baseline],
            rows.get(case.candidate),
            seed=chosen,
            progress=lambda done: tell(SHARES[1] + rest * done),
        )
        found = anchored(found, known[case.baseline].changed[0])
    return Closer(pattern=pattern, methods=tuple(methods), gains=found)
