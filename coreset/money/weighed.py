"""Every option of a case over all runs: what the decision rests on.

In: a case, times, rates and lifting indices. Out: `Weighed`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from coreset.case import Case
from coreset.errors import OutOfRange
from coreset.money import alternatives
from coreset.money.combined import after_hand, option_flow
from coreset.money.discount import npv
from coreset.money.exposure import exposure_removed
from coreset.money.pattern_choice import best_mix
from coreset.money.scrap import ScrapFinding, findings
from coreset.money.simulation_inputs import draw
from coreset.money.what_to_learn import Weighing
from coreset.money.year_plan import plan, ways

DRAWN, WEIGHED = 0.15, 0.8
"""Rough share done when everything is drawn, and when every option is weighed over all runs."""


def unwatched(share: float) -> None:
    """Progress that nobody watches."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weighed:
    """Every option over all runs. `rows`: one an option; `feasible`: whether it keeps the limits."""

    purchase: Weighing
    rows: tuple[alternatives.Alternative, ...]
    feasible: tuple[bool, ...]
    forced: tuple[str, ...]
    scrap: tuple[ScrapFinding, ...]


def every_option(
    case: Case,
    rates: tuple[Any, ...],
    screened: tuple[Any, ...],
    size: tuple[int, int],
    progress: Callable[[float], None],
) -> Weighed:
    """Draw every input, choose the patterns, weigh every option.

    Parameters
    ----------
    case : Case
        The case.
    rates : tuple
        Molds per hour of each pattern and method.
    screened : tuple
        Its lifts, screened.
    size : (int, int)
        Runs and seed.
    progress : callable
        Gets the share done. [-]

    Raises
    ------
    OutOfRange
        If no pattern has a rate under the current method.
    """
    draws, seed = size
    facts, scrap = plan(case, rates), findings(case)
    if not facts.patterns:
        raise OutOfRange(f"at least one pattern must be timed under {case.baseline!r}, got none")
    progress(0.0)
    sample = draw(case, rates, scrap, draws=draws, seed=seed).changed(exposure_removed(case, rates, screened))
    open_ways = ways(case, rates, screened)
    progress(DRAWN)
    mix = best_mix(sample, facts, open_ways[0], case.money, forced := _forced(case, screened))
    weighed, told = [], _blocks(progress, draws * len(open_ways))
    for way in open_ways:
        chosen = alternatives.chosen_for(*after_hand(case, sample, facts, way), facts, way, mix)
        flow = option_flow(case, sample, facts, way, chosen, progress=told)
        weighed.append((way, chosen, flow, option_flow(case, sample.centre(), facts, way, chosen)))
    worth = np.stack([np.zeros(draws), *(npv(flow.total, case.money.discount_rate) for _, _, flow, _ in weighed)]).T
    rows = tuple(
        alternatives.alternative(case, sample, facts, way, chosen, flow, base, screened)
        for way, chosen, flow, base in weighed
    )
    way, _, flow, base = weighed[0]
    return Weighed(
        purchase=Weighing(
            case=case, sample=sample, facts=facts, way=way, mix=mix, flow=flow, base_flow=base, worth=worth
        ),
        rows=rows,
        feasible=tuple(not (row.needs or way.ruled_out) for row, way in zip(rows, open_ways, strict=True)),
        forced=forced,
        scrap=scrap,
    )


def _blocks(progress: Callable[[float], None], draws: int) -> Callable[[int], None]:
    """Turn blocks of draws done into the share done of the whole."""
    done = 0

    def told(block: int) -> None:
        nonlocal done
        done += block
        progress(DRAWN + (WEIGHED - DRAWN) * done / draws)

    return told


def _forced(case: Case, screened: Iterable[Any]) -> tuple[str, ...]:
    """Patterns whose lifting index by hand is above the plant's own limit."""
    limit = case.money.li_limit
    codes = [p.pattern for p in case.patterns] if limit > 0 else []
    tasks = list(screened)
    return tuple(
        code
        for code in codes
        if alternatives.worst_index([t for t in tasks if t.pattern == code], case.baseline) > limit
    )
