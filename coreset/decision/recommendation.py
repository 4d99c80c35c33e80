"""The load on people, and what would change the answer, in words. In: an assessment. Out: sentences."""

from __future__ import annotations

from typing import Any

from coreset.decision.names import option_name, short
from coreset.lifting.report.job_status import jobs_sentence
from coreset.lifting.report.status import index_in_words, worst_index
from coreset.money.report.names import input_name, needs
from coreset.report.numbers import listed, percent, rough
from coreset.text import say


def load_on_people(assessment: Any) -> str:
    """What the methods compared do to the load on people: highest indices, status of jobs, lifts not to be done."""
    methods = (assessment.case.baseline, assessment.case.candidate)
    status = jobs_sentence(assessment.jobs, methods) if assessment.case.lifts else ""
    return " ".join(filter(None, [_load(assessment), status, *_forbidden(assessment)]))


def _forbidden(assessment: Any) -> list[str]:
    """Tasks that may not be lifted at all, and jobs beyond the table, under either of the methods compared."""
    case, said = assessment.case, []
    for method in (case.baseline, case.candidate):
        rows = [row for row in assessment.handling if row.method == method]
        tasks = [row.task for row in rows if row.applies and row.li is None]
        if tasks:
            said.append(say("brief.recommend.load_zero", method=method, tasks=short(dict.fromkeys(tasks))))
        zero = {row.pattern for row in rows if row.applies and row.li is None}
        jobs = dict.fromkeys(row.pattern for row in rows if row.job and row.job.index is None)
        if beyond := [pattern for pattern in jobs if pattern not in zero]:
            said.append(say("brief.recommend.job_zero", method=method, patterns=short(beyond)))
    return said


def _load(assessment: Any) -> str:
    """Worst lifting index of a task or of a whole job under both methods."""
    case, worst = assessment.case, worst_index(assessment.handling)
    if case.baseline not in worst or case.candidate not in worst:
        return say("brief.recommend.load_unknown")
    return say(
        "brief.recommend.load",
        baseline=case.baseline,
        candidate=case.candidate,
        before=index_in_words(*worst[case.baseline]),
        after=index_in_words(*worst[case.candidate]),
    )


def over_time(money: Any) -> list[str]:
    """What waiting a year would be worth, and which program must not end early."""
    found = money.waiting
    if found is None:
        return []
    said = [say("brief.change.wait", wait=rough(found.wait), now=rough(found.now), currency=money.currency)]
    if ends := found.early_ends:
        said.append(say("brief.change.ends", pattern=ends[0].pattern, years=ends[0].years))
    return said


def of_the_purchase(assessment: Any) -> list[str]:
    """That charts, working and what would change the answer are of the purchase, where the verdict takes another."""
    money, v = assessment.money, assessment.verdict
    if money is None or v.option.name == money.candidate:
        return []
    names = {"purchase": option_name(money.alternatives[0], money.candidate)}
    return [say("brief.of_the_purchase", **names, option=option_name(v.option, money.candidate))]


def would_change(assessment: Any) -> list[str]:
    """What a wrong decision costs on average, what knowing more is worth, and the input that matters most."""
    money = assessment.money
    if money is None:
        return []
    currency = assessment.case.currency
    if money.needs:
        blanks = {"patterns": listed(money.nearest), "needs": needs(money.needs, currency)}
        return [say("brief.change.feasible", **blanks)]
    said = [
        say(
            "brief.change.risk" if money.mean_loss_if_it_loses else "brief.change.risk_none",
            loses=percent(money.chance_npv_negative),
            loss=rough(money.mean_loss_if_it_loses),
            bought=rough(money.loss_if_bought),
            missed=rough(money.loss_if_not),
            evpi=rough(money.evpi),
            currency=currency,
        )
    ]
    said += over_time(money)
    told = [known for known in money.knowing if known.above_noise]
    if told:
        said.append(
            say("brief.change.input", what=input_name(told[0].name), worth=rough(told[0].worth), currency=currency)
        )
    return [" ".join(said)]
