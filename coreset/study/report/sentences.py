"""Sentences on studies: which method is faster, what the order of cycles tells, how many more, what a standard is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import Case, Study
from coreset.report.numbers import borne, digits_borne, listed, number, percent
from coreset.rounding import fixed
from coreset.study import learning_curve, sample_size
from coreset.study.allowances import on_basis
from coreset.study.attempts import TriesCompared
from coreset.study.distribution_fit import MANY, TESTED, DistributionFit
from coreset.study.method_pairs import Pair
from coreset.study.rating_scales import scale
from coreset.study.run_order import Ordered
from coreset.study.series import MOST_DRAWN, Series
from coreset.study.standard import Standard
from coreset.text import say

LEARNT = 0.15
"""Share of the scatter that a learning curve must explain to be told: common practice, no source."""
MOST_DIGITS = 3
MOST_LISTED = 60
"""Odd readings listed; of more, the first."""
HEADER = ("date", "clock_in", "clock_out", "department", "tooling", "layout", "conditions", "experience", "watch")


def name_of(element: str) -> str:
    """Name of an element, or of the whole cycle."""
    return element or say("study.whole")


def capital(name: str) -> str:
    """A name with a capital, for the head of a sentence."""
    return name[:1].upper() + name[1:]


def signed(value: float, digits: int) -> str:
    """A difference with its sign and so many decimals."""
    return number(value, digits)


def verdict(pair: Pair, case: Case) -> str:
    """Faster, slower, or cannot tell yet, with the interval of the difference."""
    if pair.tries is not None:
        return _tries(pair, pair.tries, case)
    d, code = pair.crew, pair.verdict
    digits = max(1, digits_borne(d.low, d.high, most=1))
    while digits < MOST_DIGITS and any(0 < abs(end) < 0.5 / 10**digits for end in (d.low, d.high)):
        digits += 1
    low, high = (-d.high, -d.low) if code == "faster" else (d.low, d.high)
    code = "unclear_crew" if code == "unclear" != pair.found.verdict else code
    return say(
        f"study.verdict.{code}", pattern=pair.pattern, first=case.baseline, second=case.candidate,
        difference=number(abs(d.value), digits), low=signed(low, digits), high=signed(high, digits),
        more=number(pair.found.more_cycles),
    )  # fmt: skip


def _tries(pair: Pair, t: TriesCompared, case: Case) -> str:
    """The verdict by all tries, those broken off as lower bounds."""
    return say(
        f"study.tries.{t.verdict}", pattern=pair.pattern, first=case.baseline, second=case.candidate,
        first_s=fixed(t.first.median_s, 1), second_s=fixed(t.second.median_s, 1), first_done=t.first.done,
        first_all=t.first.tries, second_done=t.second.done, second_all=t.second.tries,
    )  # fmt: skip


def verdict_more(pair: Pair, case: Case) -> tuple[str, ...]:
    """What else the comparison tells: chance, slowest tenth, spread, what could have been seen, operators."""
    found, names = pair.found, {"first": case.baseline, "second": case.candidate}
    chance, d = found.chance_faster, found.mean_difference
    lines = [
        say("study.verdict.cycles", difference=signed(d.value, 1), low=signed(d.low, 1), high=signed(d.high, 1)),
        say("study.verdict.chance", chance=percent(chance.value), low=percent(chance.low), high=percent(chance.high),
            **names),
        say("study.verdict.slow_tenth", first_p90=fixed(_p90(pair.baseline_s), 1),
            second_p90=fixed(_p90(pair.candidate_s), 1), **names),
        say("study.verdict.detectable", n1=found.n[0], n2=found.n[1], least=fixed(found.detectable_s, 1)),
    ]  # fmt: skip
    if found.spread_p < 0.05:
        lines.append(say("study.verdict.spread_differs"))
    return (*lines, _operators(pair))


def _p90(times: Any) -> float:
    import numpy as np

    return float(np.quantile(times, 0.9))


def _operators(pair: Pair) -> str:
    if pair.by_operator is None:
        return say("study.verdict.not_paired" if pair.operators else "study.verdict.no_operator")
    mean, low, high, _ = pair.by_operator
    return say("study.verdict.paired", count=len(pair.operators), difference=signed(mean, 1), low=signed(low, 1),
               high=signed(high, 1))  # fmt: skip


def cycles_answer(found: Sequence[Pair], case: Case) -> str:
    """All comparisons in one sentence."""
    if not found:
        return say("study.answer.none")
    parts = []
    for code in ("faster", "slower", "unclear"):
        patterns = [pair.pattern for pair in found if pair.verdict == code]
        if patterns:
            parts.append(say(f"study.answer.{code}", patterns=listed(patterns)))
    return say("study.answer.all", first=case.baseline, second=case.candidate, parts=", ".join(parts))


def standard_answer(rows: Sequence[Standard]) -> str:
    """Standards of one pattern in one sentence, method by method."""
    if not rows:
        return say("study.answer.standard_none")
    parts = [
        say("study.answer.part_estimated" if row.estimated else "study.answer.part", method=row.method, **_ends(row))
        for row in rows
    ]
    return say("study.answer.standard", pattern=rows[0].pattern, parts=", ".join(parts))


def _ends(row: Standard) -> dict[str, str]:
    low, high = row.standard_low_s, row.standard_high_s
    return {"value": borne(row.standard_s, low, high, most=1), "low": fixed(low, 1), "high": fixed(high, 1)}


def order_findings(series: Series, found: Ordered) -> tuple[str, ...]:
    """What the order of readings tells, in words for the floor."""
    lines = []
    if found.trend.speaks:
        lines.append(say("study.order.falling" if found.trend.statistic < 0 else "study.order.rising"))
    if found.runs.speaks:
        lines.append(say("study.order.runs_few" if found.runs.statistic < 0 else "study.order.runs_many"))
    out = int(found.individuals.out.sum())
    if out:
        lines.append(say("study.order.out", count=out, all=len(series.kept)))
    if found.effective < 0.9 * len(series.kept):
        lines.append(say("study.order.dependent", r=fixed(found.lag_one, 2), n=len(series.kept),
                         effective=fixed(found.effective)))  # fmt: skip
    lines = lines or [say("study.order.steady")]
    lines += [learning_sentence(series, found)] if found.trend.speaks else []
    count = len(series.seconds)
    lines += [say("study.order.thinned", drawn=number(MOST_DRAWN), all=number(count))] if count > MOST_DRAWN else []
    return tuple(lines)


def learning_sentence(series: Series, found: Ordered) -> str:
    """The learning curve where the trend is one."""
    fitted = learning_curve.fit(series.kept)
    if fitted is None or fitted.r_squared < LEARNT or found.trend.statistic > 0:
        return say("study.order.learning_none")
    near = math.isfinite(fitted.to_plateau)
    reach = say("study.order.reach", cycle=math.ceil(fitted.to_plateau)) if near else say("study.order.no_reach")
    return say("study.order.learning", start=fixed(fitted.start, 1), plateau=fixed(fitted.plateau, 1),
               rate=percent(fitted.rate), reach=reach)  # fmt: skip


def family_name(fit: DistributionFit) -> str:
    """Name of a fitted shape."""
    name = say(f"study.shape.{fit.family}")
    return say("study.shape.shifted", family=name, shift=fixed(fit.shift, 1)) if fit.shifted else name


def shape_sentence(found: Sequence[DistributionFit], times: Any) -> str:
    """Which shape describes the times best, and whether it may be trusted."""
    if not found:
        return say("study.shape.few")
    best = found[0]
    first = say("study.shape.best", family=family_name(best), weight=percent(best.weight),
                p90=fixed(best.quantiles[0.90], 1), seen=fixed(_p90(times), 1))  # fmt: skip
    if math.isnan(best.p_value):
        return f"{first} {say('study.shape.unknown', distance=percent(best.distance))}"
    code = "good" if best.p_value >= 0.05 else "bad"
    return f"{first} {say(f'study.shape.{code}', p=fixed(best.p_value, 3))}"


def tries_sentence(times: Any, done: Any) -> str:
    """How many tries were broken off and how they entered the fits; how many were fitted, if not all."""
    said = []
    if done is not None:
        said.append(say("study.shape.broken", count=int((~done).sum()), all=len(done)))
    if len(times) > MANY:
        said.append(say("study.shape.sampled", fitted=number(MANY), tested=number(TESTED), all=number(len(times))))
    return " ".join(said)


def needed_sentences(series: Series, every: Iterable[Series]) -> tuple[str, ...]:
    """Precision reached, cycles still to time, the element that asks for most, the rule of thumb."""
    x = series.kept
    asked, reached = sample_size.needed(x), sample_size.precision(x)
    more = max(0, asked - len(x))
    blanks = {"n": len(x), "reached": f"{fixed(100 * reached, 1)} %", "more": more}
    most = max(
        ((row.element, sample_size.needed(row.kept)) for row in every if row.manual),
        key=lambda each: each[1],
        default=("", 0),
    )
    largest = [say("study.needed.largest", element=most[0], needed=number(most[1]))] if most[1] else []
    return (
        say("study.needed.enough" if more == 0 else "study.needed.more", **blanks),
        *largest,
        say("study.needed.rough", rough=sample_size.rough_cycles(float(x.mean()))),
    )


def odd_sentences(series: Series, standard: Standard | None) -> tuple[str, ...]:
    """Readings that look odd, those set aside, and the standard with and without them."""
    flagged, aside = int((series.odd & series.used).sum()), int((~series.used).sum())
    lines = [say("study.odd.some", count=flagged, all=len(series.seconds)) if flagged else say("study.odd.none")]
    if aside:
        lines.append(say("study.odd.excluded", count=aside))
    if int((series.odd | ~series.used).sum()) > MOST_LISTED:
        lines.append(say("study.odd.listed", count=MOST_LISTED))
    if standard is not None and aside:
        lines.append(
            say("study.odd.without", with_all=fixed(standard.with_all_s, 1), value=fixed(standard.standard_s, 1))
        )
    return tuple(lines)


def standard_sentences(row: Standard, study: Study | None) -> tuple[str, ...]:
    """How a standard is to be read: scale, rater, basis, what the study's header lacks."""
    if row.estimated:
        count = next((note.blanks["count"] for note in row.warnings if note.code == "estimated"), 0)
        return (say("study.standard.estimated", pattern=row.pattern, method=row.method, count=count),)
    unity = fixed(scale(row.rating_scale)["unity"])
    lines = [say("study.standard.scale", scale=row.rating_scale, unity=unity),
             say(f"study.standard.rater_{row.rater_from}", sd=fixed(row.rater_sd_pct, 1),
                 bias=fixed(row.rater_bias_pct, 1))]  # fmt: skip
    lacking = [field for field in HEADER if study is not None and not getattr(study, field)]
    if lacking:
        lines.append(say("study.standard.lacks", fields=listed(field.replace("_", " ") for field in lacking)))
    return tuple(lines)


def crew_sentences(pooled: Standard | None) -> tuple[str, ...]:
    """What is known of those timed and of the crew, what is assumed of it, and what would narrow it most."""
    if pooled is None or pooled.estimated or pooled.errors is None:
        return ()
    code = "one" if pooled.operators == 1 else "two" if pooled.operators == 2 else "more"
    usual = 100 * pooled.errors.operator_sd
    return (
        say("study.crew.ends", value=fixed(pooled.standard_s, 1), timed_low=fixed(pooled.timed_low_s, 1),
            timed_high=fixed(pooled.timed_high_s, 1), low=fixed(pooled.standard_low_s, 1),
            high=fixed(pooled.standard_high_s, 1)),
        say(f"study.crew.{code}", count=pooled.operators, usual=fixed(usual, 1), sd=fixed(pooled.operator_sd_pct, 1)),
    )  # fmt: skip


def allowance_sentences(row: Standard) -> tuple[str, ...]:
    """The sum of the allowances on both bases, and what they are laid on."""
    other = "shift" if row.allowance_basis == "normal" else "normal"
    shown = on_basis(row.allowance_pct, basis_from=row.allowance_basis, basis_to=other)
    return (
        say(f"study.standard.basis_{row.allowance_basis}", percent=fixed(row.allowance_pct, 1), other=fixed(shown, 1)),
        f"{say('study.standard.machine')} {say('study.standard.add')}",
    )


def balance_sentence(row: Standard) -> str:
    """Whether the recorded times add up to the wall clock."""
    if row.balance is None or math.isnan(row.unaccounted_pct):
        return say("study.standard.no_clock")
    return say("study.standard.closes" if row.balance.closes else "study.standard.open",
               percent=fixed(row.unaccounted_pct, 1))  # fmt: skip


def label(row: Standard) -> str:
    """A standard in a list to choose from."""
    return f"{row.study} ({row.method})" if row.study else say("study.standard.estimated_label", method=row.method)


def run_molds(case: Case, row: Standard) -> int:
    """Molds in a usual run of the pattern; 1 where the case does not list it."""
    pattern = case.listed(row.pattern)
    return max(1, round(pattern.molds_per_year.likely / pattern.runs_per_year)) if pattern else 1


def study_label(study: Study) -> str:
    """A study in a list to choose from."""
    return f"{study.study} ({study.method})"


def patterns_of(case: Case, rows: Iterable[Any]) -> list[str]:
    """Patterns that studies or standards are of, in the order of the case."""
    found = dict.fromkeys(row.pattern for row in rows)
    known = [row.pattern for row in case.patterns if row.pattern in found]
    return known + [pattern for pattern in found if pattern not in known]
