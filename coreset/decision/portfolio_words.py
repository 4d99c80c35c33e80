"""The choice among cases in words, rows, working, document. In: a portfolio, its offers. Out: lines, JSON values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from coreset.decision.names import option_name
from coreset.decision.portfolio import Offer, Portfolio, Project
from coreset.report.numbers import SPACE, between, borne, listed, number, percent, rough, styled, worked
from coreset.text import say
from coreset.working import Working


def portfolio_answer(found: Portfolio) -> list[str]:
    """What to fund first and what is left, how sure that is, what more budget would add."""
    return [_first(found), *_rival(found), *_next(found)]


def portfolio_lines(found: Portfolio, offers: Mapping[str, Offer]) -> list[str]:
    """The answer, then that of each case, plain text in the style of the first case."""
    said = portfolio_answer(found)
    said += [f"{_head(row, found.currency)} {offers[row.name].sentence}" for row in found.projects]
    return [styled(line, next(iter(offers.values()))).replace(SPACE, " ") for line in said]


def _within(found: Portfolio) -> str:
    if found.budget is None:
        return say("decision.portfolio.no_budget")
    return say("decision.portfolio.within", budget=number(found.budget), currency=found.currency)


def _first(found: Portfolio) -> str:
    money, funded = found.currency, [row.name for row in found.projects if row.funded]
    if not funded:
        return say("decision.portfolio.none", within=_within(found))
    return say(
        "decision.portfolio.first",
        within=_within(found),
        left="" if found.left is None else say("decision.portfolio.left", left=rough(found.left, 3), currency=money),
        names=say("decision.portfolio.then").join(funded),
        cost=rough(found.cost, 3),
        worth=rough(found.worth, 3),
        currency=money,
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


def portfolio_rows(found: Portfolio, offers: Mapping[str, Offer]) -> list[dict[str, str]]:
    """Each case in the order in which it is funded: what it offers, at what cost, and what is left after it."""
    made, left = [], found.budget
    for place, row in enumerate(found.projects, start=1):
        told = "funded" if row.funded else "waits" if row.option is not None else "not_offered"
        cells = {"order": say(f"decision.portfolio.order.{told}", place=place), "case": row.name}
        cells |= {"verdict": say(f"decision.word.{row.level}"), **_offered(row, offers[row.name].candidate)}
        if left is not None:
            left -= row.option.first_cost if row.funded else 0.0
            cells["left"] = number(left) if row.funded else ""
        made.append({say(f"decision.portfolio.column.{k}", currency=found.currency): v for k, v in cells.items()})
    return made


def _offered(row: Project, candidate: str) -> dict[str, str]:
    if (option := row.option) is None:
        return dict.fromkeys(("option", "cost", "npv", "per_cost"), "")
    npv = option.npv
    ends = f"{borne(npv.mean, npv.low, npv.high)} ({between(npv.low, npv.high)})"
    return {
        "option": option_name(option, candidate),
        "cost": number(option.first_cost),
        "npv": ends,
        "per_cost": number(row.per_cost, 2),
    }


def portfolio_working(found: Portfolio) -> list[Working]:
    """How order, cost, what is left and net present value of the set come about."""
    offered = [row for row in found.projects if row.option is not None]
    made = [
        _line(
            say("decision.portfolio.working.per_cost", name=row.name), "NPV / initial investment",
            f"{worked(row.option.npv.mean)} / {worked(row.option.first_cost)}", row.per_cost,
        )
        for row in offered
        if row.option.first_cost > 0
    ]  # fmt: skip
    funded = [row.option for row in offered if row.funded]
    costs, worths = (" + ".join(map(worked, each)) or "0" for each in _columns(funded))
    unit = found.currency
    made.append(_line(say("decision.portfolio.working.cost"), "Σ initial investment", costs, found.cost, unit))
    made.append(_line(say("decision.portfolio.working.npv"), "ΣNPV", worths, found.worth, unit))
    if found.budget is not None and found.left is not None:
        taken = f"{worked(found.budget)} − {worked(found.cost)}"
        made.append(_line(say("decision.portfolio.working.left"), "budget − cost", taken, found.left, unit))
    return made


def _columns(funded: list[Any]) -> tuple[list[float], list[float]]:
    return [one.first_cost for one in funded], [one.npv.mean for one in funded]


def _line(what: str, formula: str, numbers: str, value: float, unit: str = "") -> Working:
    return Working(what=what, formula=formula, numbers=numbers, value=value, unit=unit)


def portfolio_document(found: Portfolio, offers: Mapping[str, Offer]) -> dict[str, Any]:
    """The same for another program: fixed keys, null for what is not known."""
    projects = [
        {
            "name": row.name,
            "verdict": row.level,
            "sentence": offers[row.name].sentence,
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
