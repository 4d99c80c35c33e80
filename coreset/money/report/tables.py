"""Tables on money as rows of text: patterns, ways, sets, studies, volumes, inputs, yearly flow."""

from __future__ import annotations

import math

from coreset.money.decision import Decision
from coreset.money.pattern_economics import PatternMoney
from coreset.money.report.names import input_name, study_name
from coreset.money.report.sentences import about, amount, as_borne
from coreset.report.numbers import digits_borne, listed, percent
from coreset.rounding import fixed
from coreset.text import say

Row = dict[str, str]


def _column(name: str, d: Decision, **blanks: str) -> str:
    return say(f"money.column.{name}", currency=d.currency, **blanks)


def number(value: float, digits: int = 0) -> str:
    """A number with thousands set apart; `never` where it is infinite, a dash where it is not known."""
    return say("money.column.infinite") if math.isinf(value) else amount(value, digits=digits)


def _interval(middle: float, low: float, high: float, digits: int = 0) -> str:
    if not (math.isfinite(middle) and math.isfinite(low)):
        return number(middle, digits)
    digits = digits_borne(low, high, most=digits)
    shown = {"middle": number(middle, digits), "low": number(low, digits), "high": number(high, digits)}
    return say("money.column.interval", **shown)


def masked(row: PatternMoney) -> str:
    """Whether a pattern goes over, or why it does not."""
    if row.forced and row.masked:
        return say("money.column.forced")
    return say("money.column.yes") if row.masked else say("money.column.no", why=say(f"money.why_not.{row.why_not}"))


def costs(d: Decision) -> list[Row]:
    """What a mold and a core cost each way, and what a second off the line time is worth."""
    return [
        {
            _column("pattern", d): row.pattern,
            _column("cost_mold", d, method=d.baseline): number(row.cost_per_mold_baseline, 2),
            _column("cost_mold", d, method=d.candidate): number(row.cost_per_mold_candidate, 2),
            _column("cost_core", d, method=d.baseline): number(row.cost_per_core_baseline, 2),
            _column("cost_core", d, method=d.candidate): number(row.cost_per_core_candidate, 2),
            _column("second", d): number(row.saving_per_second, 3),
        }
        for row in d.patterns
    ]


def sets(d: Decision) -> list[Row]:
    """The best set of patterns and the next-best."""
    return [
        {
            _column("set", d): listed(row.patterns),
            _column("npv", d): as_borne(row.npv, d.npv_spread, d.currency),
            _column("first_cost", d): about(row.first_cost, d.currency, 3),
        }
        for row in d.sets
    ]


def studies(d: Decision) -> list[Row]:
    """Studies that could be made first and are worth more than noise, with what they cost."""
    return [
        {
            _column("study", d): study_name(row),
            _column("worth", d): about(row.worth, d.currency),
            _column("cost", d): amount(row.cost, d.currency) if row.cost == row.cost else _column("unpriced", d),
            _column("do", d): say("money.column.yes") if row.worth_doing else "–",
        }
        for row in d.studies
        if row.worth > d.noise_floor or row.worth_doing
    ]


def scenarios(d: Decision) -> list[Row]:
    """The same purchase under other volumes."""
    return [
        {
            _column("scenario", d): f"{say(f'money.scenario.{row.name}')} × {fixed(row.volume, 1)}",
            _column("npv_in", d): _interval(row.base_npv, row.npv.low, row.npv.high),
            _column("chance", d): percent(row.chance_npv_positive),
            _column("payback", d): number(row.payback_years, 1),
        }
        for row in d.scenarios
    ]


def inputs(d: Decision) -> list[Row]:
    """Every uncertain input: its low and high, what it does to the answer, what knowing it would be worth."""
    worth = {row.name: row for row in d.knowing}
    return [
        {
            _column("input", d): input_name(row.name),
            say("money.chart.at_low"): f"{amount(row.low, digits=2)} → {as_borne(row.at_low, d.npv_spread)}",
            say("money.chart.at_high"): f"{amount(row.high, digits=2)} → {as_borne(row.at_high, d.npv_spread)}",
            say("money.chart.index"): fixed(row.total_order, 2) if row.total_order == row.total_order else "–",
            _column("worth", d): about(worth[row.name].worth, d.currency) if worth[row.name].above_noise else "–",
        }
        for row in d.drivers
    ]


def flow(d: Decision) -> list[Row]:
    """The cash flow of the base case, one row an item and a column a year, so that it stays as wide as a page."""
    names = dict.fromkeys(name for row in d.cash_flow for name in row.parts)
    lines = {say(f"money.item.{name}"): [row.parts.get(name) for row in d.cash_flow] for name in names}
    lines[say("money.item.total")] = [row.total for row in d.cash_flow]
    lines[say("money.chart.flow_line")] = [row.discounted_cumulative for row in d.cash_flow]
    first = say("money.chart.flow_item", currency=d.currency)
    return [
        {first: what}
        | {
            str(row.year): "" if value is None else amount(value)
            for row, value in zip(d.cash_flow, values, strict=True)
        }
        for what, values in lines.items()
    ]
