"""The choice among cases in words and as a document. In: a portfolio, its assessments. Out: lines, JSON values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from coreset.decision.headline import decision
from coreset.decision.portfolio import Portfolio, Project
from coreset.report.numbers import SPACE, between, borne, listed, number, percent, rough, styled
from coreset.text import say


def portfolio_lines(found: Portfolio, assessments: Mapping[str, Any]) -> list[str]:
    """What to fund first, how sure that is, what more budget would add, then the answer of each case.

    Parameters
    ----------
    found : Portfolio
    assessments : mapping of str to Assessment
        By the name of the case.

    Returns
    -------
    list of str
        Plain text in the style of the first case.
    """
    case = next(iter(assessments.values())).case
    said = [_first(found), *_rival(found), *_next(found)]
    said += [f"{_head(row, found.currency)} {decision(assessments[row.name])}" for row in found.projects]
    return [styled(line, case).replace(SPACE, " ") for line in said]


def _within(found: Portfolio) -> str:
    if found.budget is None:
        return say("decision.portfolio.no_budget")
    return say("decision.portfolio.within", budget=number(found.budget), currency=found.currency)


def _first(found: Portfolio) -> str:
    funded = [row.name for row in found.projects if row.funded]
    if not funded:
        return say("decision.portfolio.none", within=_within(found))
    return say(
        "decision.portfolio.first",
        within=_within(found),
        names=say("decision.portfolio.then").join(funded),
        cost=rough(found.cost, 3),
        worth=rough(found.worth, 3),
        currency=found.currency,
    )


def _rival(found: Portfolio) -> list[str]:
    if found.ahead is None:
        return []
    ahead = found.ahead
    return [
        say(
            "decision.portfolio.rival",
            rival=listed(found.rival) or say("decision.portfolio.nothing"),
            chance=percent(found.chance),
            ahead=borne(ahead.mean, ahead.low, ahead.high),
            ends=between(ahead.low, ahead.high),
            currency=found.currency,
        )
    ]


def _next(found: Portfolio) -> list[str]:
    if not found.next_up:
        return []
    blanks = {"needed": number(math.ceil(found.needed)), "gain": rough(found.gain), "currency": found.currency}
    return [say("decision.portfolio.next", names=listed(found.next_up), **blanks)]


def _head(row: Project, currency: str) -> str:
    if row.option is None:
        return say("decision.portfolio.not_offered", name=row.name)
    return say(
        f"decision.portfolio.{'funded' if row.funded else 'waits'}",
        name=row.name,
        cost=rough(row.option.first_cost, 3),
        worth=rough(row.option.npv.mean, 3),
        currency=currency,
    )


def portfolio_document(found: Portfolio, assessments: Mapping[str, Any]) -> dict[str, Any]:
    """The same for another program: fixed keys, null for what is not known."""
    projects = [
        {
            "name": row.name,
            "verdict": row.level,
            "sentence": decision(assessments[row.name]),
            "option": row.option.name if row.option else None,
            "patterns": list(row.option.patterns) if row.option else [],
            "first_cost": row.option.first_cost if row.option else None,
            "npv": row.option.npv.mean if row.option else None,
            "funded": row.funded,
        }
        for row in found.projects
    ]
    rest = {key: value for key, value in asdict(found).items() if key not in {"projects", "ahead"}}
    rest = {
        key: None if isinstance(value, float) and not math.isfinite(value) else value for key, value in rest.items()
    }
    ahead = None if found.ahead is None else {key: getattr(found.ahead, key) for key in ("mean", "low", "high")}
    return {**rest, "ahead": ahead, "projects": projects}
