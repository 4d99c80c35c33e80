"""The verdict in words: one sentence of at most 25 words, then at most five lines. In: an assessment. Out: words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.decision.constraints import Constraint, rule_of, unproven
from coreset.decision.names import NAMED, option_name, short, years
from coreset.decision.people_words import load, people
from coreset.decision.verdict import (
    BY_HAND,
    NO_MONEY,
    NOT_DECIDED,
    NOT_FEASIBLE,
    OBLIGED,
    SUBJECT,
    Verdict,
    better_to_wait,
)
from coreset.line.hold_range import NOT_MET
from coreset.money.report.names import (
    input_name,
    input_unit,
    needs,
    payback_interval,
    payback_value,
    study_name,
)
from coreset.report.numbers import between, borne, listed, number, percent, rough
from coreset.text import say

WORTH_A_WORD = 0.005
"""Share of the first cost below which knowing everything is not worth a word: our own rule, no source."""
COUNTED_AS_NONE = ("hours_saved_paid_missing", "line_crew_missing")
"""Notes on what the largest saving rests on: not entered, it is counted as nothing until somebody finds it out."""
MOST_WORDS = 25
"""Words of the first sentence: our own rule, no source."""


def first_sentence(v: Verdict, assessment: Any) -> str:
    """What to do, in at most 25 words: names of patterns are counted first where it would be longer, then reasons."""
    if v.level == NO_MONEY:
        return say("decision.no_money")
    parts = max(1, len(_hard(v.constraints)), len(unproven(v.constraints)), bool(_rule_reason(v, assessment)) + 1)
    made = (_sentence(v, assessment, told, named) for told in range(parts, 0, -1) for named in (NAMED, 1, 0))
    said = ""
    for said in made:
        if len(said.split()) <= MOST_WORDS:
            break
    return said


def _sentence(v: Verdict, assessment: Any, told: int, named: int) -> str:
    """The sentence with so many reasons or proofs told and so many patterns named; the others are counted."""
    money, key = assessment.money, v.level
    late = next((row for row in v.constraints if row.key == "payback" and row.status == NOT_MET), None)
    if v.level == NOT_DECIDED and v.untimed:
        key, late = "not_timed", None
    elif v.level == NOT_DECIDED and late:
        key = "payback_not_met"
    elif v.level == NOT_DECIDED and better_to_wait(money, v.option):
        key = "wait"
    elif v.level == OBLIGED and told == 1:
        key = "must_do_alone"
    reasons = hard_reasons(v.constraints, named)
    return say(
        f"decision.sentence.{key}",
        option=option_name(v.option, money.candidate),
        patterns=short(v.option.patterns, named),
        chance=percent(late.chance if late and key == "payback_not_met" else v.option.chance_npv_positive),
        limit=years(money.payback_limit_years),
        reasons="; ".join(_first(reasons, told)),
        proof=", ".join(_first(to_prove(v.constraints) or [say("decision.to_prove.worth")], told))
        if v.level == SUBJECT
        else "",
        reason=_rule_reason(v, assessment),
        untimed=short(v.untimed, named),
    )


def _first(parts: list[str], told: int) -> list[str]:
    """The first parts, and how many more there are."""
    rest = len(parts) - told
    return [*parts[:told], *([say("decision.more", count=rest)] if rest > 0 else [])]


def _rule_reason(v: Verdict, assessment: Any) -> str:
    """Why the plant must do the option, as it states it."""
    rule = rule_of(assessment.case, v.option)
    return rule.reason if rule else ""


def _hard(found: Iterable[Constraint]) -> list[Constraint]:
    return [row for row in found if row.hard and row.status == NOT_MET]


def hard_reasons(found: Iterable[Constraint], named: int = NAMED) -> list[str]:
    """Why each hard constraint that is not met is not, so many patterns named."""
    return [say(f"decision.reason.{row.key}", of=short(row.of, named)) for row in _hard(found)]


def to_prove(found: Sequence[Constraint]) -> list[str]:
    """What is to be proven, in a word or two each."""
    keys = ["claimed" if "claimed" in row.why else row.key for row in unproven(found)]
    return [say(f"decision.to_prove.{key}") for key in keys]


def _open(row: Constraint, limit: str) -> str:
    """What of a constraint is not proven."""
    key = "cores_chance" if row.key == "cores" and row.chance == row.chance else row.key
    key = "lifting_high" if "above_3" in row.why else "claimed" if "claimed" in row.why else key
    why = listed(say(f"decision.why.{code}") for code in row.why) if row.key == "studies" else ""
    chance = percent(row.chance) if row.chance == row.chance else ""
    return say(f"decision.not_proven.{key}", of=short(row.of), chance=chance, why=why, limit=limit)


def because(v: Verdict, assessment: Any) -> list[str]:
    """Money, the limit that binds, the strongest alternative and the load on people, each a line."""
    return [*_reasons(v, assessment), *load(v, assessment)]


def _reasons(v: Verdict, assessment: Any) -> list[str]:
    if v.option is None:
        return []
    return [_money(v, assessment), *alternatives(v, assessment)]


def alternatives(v: Verdict, assessment: Any) -> list[str]:
    """What goes by hand in the option, why it must be done, what a limit rules out, and the strongest rival."""
    if v.option is None:
        return []
    return [*_by_hand(v), *_obliged(v, assessment), *_ruled_out(v, assessment), *_rival(v, assessment)]


def _obliged(v: Verdict, assessment: Any) -> list[str]:
    """Why the plant must do the option, where the first sentence has no room for it."""
    reason = _rule_reason(v, assessment) if v.level == OBLIGED else ""
    left_out = reason and reason not in first_sentence(v, assessment)
    return [say("decision.because.obliged", reason=reason)] if left_out else []


def _by_hand(v: Verdict) -> list[str]:
    """Patterns of the option that are improved by hand, where others go over to the setter."""
    over = dict(zip(v.option.patterns, v.option.methods, strict=True))
    codes = [code for code, method in over.items() if method != v.option.method]
    return [say("decision.because.by_hand", patterns=short(codes), method=over[codes[0]])] if codes else []


def _money(v: Verdict, assessment: Any) -> str:
    money, option, case = assessment.money, v.option, assessment.case
    limit = money.payback_limit_years
    parts = [say("decision.because.never")]
    if math.isfinite(option.payback_years):
        parts = [
            say(
                "decision.because.payback",
                value=payback_value(option.payback_years, option.payback),
                interval=payback_interval(option.payback),
            )
        ]
    if limit:
        rule = "sure_discounted" if money.payback_rule == "discounted" else "sure"
        sure = say(f"decision.because.{rule}", chance=percent(option.chance_payback), limit=years(limit))
        parts.append(sure)
    npv = borne(option.base_npv, option.npv.low, option.npv.high)
    chance = percent(option.chance_npv_positive)
    parts.append(say("decision.because.npv", npv=npv, currency=case.currency, chance=chance))
    said = "; ".join(parts)
    if v.level == NOT_FEASIBLE:
        needed = needs(option.needs or money.needs, case.currency)
        key = "if_allowed" if needed else "if_settled"
        return say(f"decision.because.{key}", patterns=short(option.patterns), needs=needed, parts=said)
    return " ".join([say("decision.because.line", parts=said), *_binds(money), *tips(v, assessment)])


def _binds(money: Any) -> list[str]:
    """What each limit that binds costs; patterns kept out where relaxing one limit alone does not help."""
    if money.shadow_values:
        return [
            say(
                f"decision.because.shadow.{row.limit}",
                needed=number(math.ceil(row.needed)),
                has=number(row.has),
                patterns=short(row.patterns),
                gain=rough(row.gain),
                currency=money.currency,
            )
            for row in money.shadow_values
        ]
    binding = [row.pattern for row in money.patterns if row.why_not == "limit"]
    return [say("decision.because.binds", patterns=short(binding))] if binding else []


def tips(v: Verdict, assessment: Any) -> list[str]:
    """The input that alone turns the sign of the worth within its range, the largest swing first; for the purchase."""
    money, currency = assessment.money, assessment.case.currency
    if v.option.name != money.candidate or not money.drivers:
        return []
    for row in sorted(money.drivers, key=lambda row: -row.swing):
        if min(row.at_low, row.at_high) < 0 < max(row.at_low, row.at_high):
            share = row.at_low / (row.at_low - row.at_high)
            value = row.low + share * (row.high - row.low)
            blanks = {"what": input_name(row.name), "unit": input_unit(row.name, currency)}
            return [say("decision.because.tips", value=rough(value), **blanks)]
    return [say("decision.because.firm")]


def _ruled_out(v: Verdict, assessment: Any) -> list[str]:
    """Options of the setter that break a hard constraint, where another is taken."""
    others = [(name, broken) for name, broken in v.barred if v.option is None or name != v.option.name]
    if v.level == NOT_FEASIBLE or not others:
        return []
    rows = {row.name: row for row in assessment.money.alternatives}
    name, broken = others[0]
    why = "; ".join(hard_reasons(broken))
    option = option_name(rows[name], assessment.money.candidate)
    return [say("decision.because.barred", option=_upper(option), why=why)]


def _rival(v: Verdict, assessment: Any) -> list[str]:
    """The strongest other option and by how much it is behind, over the same runs."""
    if v.rival is None or v.level == NOT_FEASIBLE or (v.rival.option is None and v.level != BY_HAND):
        return []
    ahead, candidate = v.rival.ahead, assessment.money.candidate
    return [
        say(
            "decision.because.rival",
            rival=option_name(v.rival.option, candidate),
            option=option_name(v.option, candidate),
            chance=percent(v.rival.chance),
            ahead=borne(ahead.mean, ahead.low, ahead.high),
            ends=between(ahead.low, ahead.high),
            currency=assessment.case.currency,
        )
    ]


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def not_proven(v: Verdict, assessment: Any) -> list[str]:
    """Each constraint of the option that is not proven."""
    limit = years(assessment.money.payback_limit_years) if assessment.money else ""
    return [_open(row, limit) for row in unproven(v.constraints)]


def conditions(v: Verdict, assessment: Any) -> list[str]:
    """The proof of each constraint that is not proven, with its cost."""
    return [_proof(row, assessment.case.currency) for row in unproven(v.constraints) if row.proof]


def _proof(row: Constraint, currency: str) -> str:
    what = say(f"decision.proof.{row.proof}", of=short(row.of))
    if row.cost == 0:
        return what
    cost = f"{number(row.cost)} {currency}" if row.cost == row.cost else say("decision.not_priced")
    return say("decision.proof.priced", what=what, cost=cost)


def next_measurement(v: Verdict, assessment: Any) -> str:
    """What was not entered and counts as nothing; else a hard proof, the study worth most, the input that matters."""
    money = assessment.money
    if money is None:
        return ""
    if asked := next((note.code for note in money.notes if note.code in COUNTED_AS_NONE), ""):
        return say(f"decision.proof.{asked}")
    proofs = [row for row in unproven(v.constraints) if row.hard and row.proof]
    if proofs and v.level == SUBJECT:
        return _proof(proofs[0], assessment.case.currency)
    if v.untimed:
        return say("decision.proof.cycles", of=short(v.untimed))
    return "" if v.level == NOT_FEASIBLE else measure_next(money)


def measure_next(money: Any) -> str:
    """The study worth most above its cost, else the input that moves the answer most, else nothing."""
    worth_doing = [study for study in money.studies if study.worth_doing]
    if worth_doing:
        return study_name(worth_doing[0])
    if money.evpi < WORTH_A_WORD * money.first_cost:
        return say("brief.study.nothing")
    told = [known for known in money.knowing if known.above_noise]
    return input_name(told[0].name) if told else say("brief.study.nothing")


def lines(v: Verdict, assessment: Any) -> list[str]:
    """At most five lines after the first sentence: money, alternatives, what is not proven, people, what to measure."""
    reasons, open_ = _reasons(v, assessment), not_proven(v, assessment)
    said = [*reasons[:1], *([" ".join(reasons[1:])] if reasons[1:] else [])]
    if open_ and v.level != NOT_FEASIBLE:
        said.append(say("decision.not_proven.line", parts="; ".join(open_)))
    said += people(v, assessment)
    what = next_measurement(v, assessment)
    return [*said, *([say("decision.next.line", what=what)] if what else [])]
