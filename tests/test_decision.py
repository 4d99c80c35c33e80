"""The verdict: one changed fact of the demo for each constraint, and the same words in every output."""

import io
import re
from dataclasses import replace
from functools import cache

import openpyxl
import pytest

from coreset.assess import assess
from coreset.brief import pattern_table
from coreset.brief.content import content
from coreset.brief.document import document
from coreset.brief.rendered import html
from coreset.brief.screen import screen as command
from coreset.brief.workbook import workbook
from coreset.case import Range
from coreset.decision.constraints import barred, constraints
from coreset.decision.headline import decision, figures, lines
from coreset.decision.verdict import decide
from coreset.lifting.screen import screen
from coreset.lifting.whole_job import with_jobs
from coreset.money.charts import run_length
from coreset.money.evaluate import weigh
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

DRAWS = 1_000


@cache
def demo():
    """The demo, assessed once with few runs."""
    return assess(read(demo_folder()), resamples=200, draws=DRAWS, replications=40)


def changed(money=None, setter=None, **facts):
    """The demo with other facts, its times and rates as they are."""
    a = demo()
    case = replace(
        a.case, money=replace(a.case.money, **money or {}), setter=replace(a.case.setter, **setter or {}), **facts
    )
    tasks = with_jobs(case, a.pooled.values(), screen(case, a.pooled.values()))
    found = weigh(case, a.standards, a.mold_cycles, a.line, tasks, draws=DRAWS, seed=a.seed)
    return replace(a, case=case, handling=tasks, money=found)


def lifts(**of):
    """Lifts of the demo, one of a method and pattern given another reach at its destination."""
    method, pattern, reach = of["method"], of["pattern"], of["reach"]
    return tuple(
        replace(row, horizontal_destination=reach) if (row.method, row.pattern) == (method, pattern) else row
        for row in demo().case.lifts
    )


def status(a, key):
    """Status of one constraint of the option."""
    return next(row.status for row in decide(a).constraints if row.key == key)


def strong():
    """A setter that holds every core of the demo for certain."""
    return {"generators": 400, "vacuum_max_kpa": 95.0}


LIMITS = [
    ("budget", {"money": {"budget": 256_000.0}}, "buy_if_proven", "not_proven"),
    ("cores", {"setter": {"vacuum_max_kpa": 1.0}}, "not_feasible", "not_met"),
    ("cores", {"setter": strong()}, "buy_if_proven", "met"),
    ("payback", {"money": {"payback_limit_years": 12.0}}, "buy_if_proven", "met"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "facts", "level", "found"), LIMITS, ids=[f"{k} {n}" for n, (k, *_) in enumerate(LIMITS)]
)
def test_a_chance_or_a_stronger_fact_changes_the_verdict(key, facts, level, found):
    """As it is, the demo is bought subject to proof; one changed fact, and the constraint and sentence follow."""
    before = demo()
    assert decide(before).level == "buy_if_proven"
    after = changed(**facts)
    assert (status(after, key), decide(after).level) == (found, level)
    assert status(before, key) != found
    assert decision(after) != decision(before)
    if level == "not_feasible":
        assert barred(decide(after).constraints) and decision(after).startswith("Not feasible")


def setter_lifts(patterns, **changes):
    """Lifts of the demo, those of some patterns under the setter changed."""
    return tuple(
        replace(row, **changes) if row.method == "core setter" and row.pattern in patterns else row
        for row in demo().case.lifts
    )


def test_a_pattern_whose_lifts_with_the_setter_are_beyond_the_equation_stays_out():
    """The best of the other sets is shown, and why the pattern is out; only where none is left is it not feasible."""
    chosen = demo().money.alternatives[0].patterns
    after = changed(lifts=lifts(method="core setter", pattern="VB24", reach=70.0))
    v = decide(after)
    assert "VB24" in chosen and "VB24" not in v.option.patterns and v.option.patterns
    assert next(row.why_not for row in after.money.patterns if row.pattern == "VB24") == "beyond"
    assert not decision(after).startswith("Not feasible") and decision(after) != decision(demo())
    two = tuple(p for p in demo().case.patterns if p.pattern in {"HB10", "VB24"})
    heavy = setter_lifts({"HB10", "VB24"}, horizontal_destination=70.0, hoist=False)
    none = changed(patterns=two, lifts=tuple(row for row in heavy if row.pattern in {"HB10", "VB24"}))
    assert decide(none).level == "not_feasible" and status(none, "lifting") == "not_met"
    assert "lifts beyond the lifting equation" in decision(none)


def test_a_job_above_3_that_the_setter_creates_is_said():
    """A mask of 60 kg lifted by hand for VB24: to be brought to 3 or less first, and named as such."""
    masks = tuple(
        replace(row, mass=60.0) if (row.pattern, row.method) == ("VB24", "core setter") and row.lifts_per_run else row
        for row in demo().case.lifts
    )
    after = changed(lifts=masks)
    job = next(one for one in after.jobs if (one.pattern, one.method) == ("VB24", "core setter"))
    assert job.status == "above_3"
    told = document(after)["decision"]
    assert status(after, "lifting") == "not_proven" and lines(after) != lines(demo())
    assert any("VB24" in line and "index of 3 or less" in line for line in told["not_proven"])
    assert any("bring the lifts of" in line for line in told["conditions"])


def test_an_index_that_is_a_lower_limit_proves_nothing():
    """One job with the setter, in part by one hand, is only "at least": its pattern alone is not proven."""
    a = demo()
    job = next(one for one in a.jobs if (one.pattern, one.method) == ("PC03", "core setter"))
    assert job.at_least
    option = replace(a.money.alternatives[0], patterns=(job.pattern,), methods=(job.method,))
    assert next(row for row in constraints(a, option) if row.key == "lifting").status == "not_proven"


def test_buy_now_only_where_nothing_is_left_to_prove():
    """Strong setter, timed and rated patterns only, long payback allowed: buy; without a rated lift it is not."""
    case = demo().case
    patterns = tuple(p for p in case.patterns if p.pattern in {"HB10", "VB24"})
    sure = {"setter_price": Range.exactly(60_000.0), "payback_limit_years": 10.0}
    own = tuple(row for row in case.lifts if row.pattern in {"HB10", "VB24"})
    assert decide(changed(money=sure, setter=strong(), patterns=patterns, lifts=own)).level == "buy"
    bare = tuple(row for row in own if (row.pattern, row.method) != ("HB10", "core setter"))
    assert decide(changed(money=sure, setter=strong(), patterns=patterns, lifts=bare)).level == "buy_if_proven"


def test_a_setter_that_never_pays_is_not_bought():
    """At four times its price, within a budget without a limit."""
    poor = changed(money={"setter_price": Range.exactly(900_000.0), "budget": None})
    assert decide(poor).level == "do_not_buy" and decision(poor).startswith("Do not buy the setter")


def test_patterns_that_nobody_timed_keep_the_purchase_from_being_advised_against():
    """Without the times of the pattern that carries it: not decided, and the next measurement is to time it."""
    case = demo().case
    studies = tuple(s for s in case.studies if (s.pattern, s.method) != ("VB24", case.candidate))
    a = assess(replace(case, studies=studies), resamples=200, draws=DRAWS, replications=40)
    assert a.verdict.level == "not_decided" and {"VB24", "MF15"} <= set(a.verdict.untimed)
    assert "VB24" in decision(a) and len(decision(a).split()) <= 25
    assert any(line.startswith("Measure next: time VB24") for line in lines(a))
    dear = replace(a.case.money, setter_price=Range.exactly(9_000_000.0), budget=None)
    b = assess(replace(a.case, money=dear), resamples=200, draws=DRAWS, replications=40)
    assert b.verdict.level == "do_not_buy" and not b.verdict.untimed


def test_a_used_setter_that_is_much_cheaper_is_the_option():
    """Worth more in nearly every run: the sentence, the figures and the patterns are those of the used one."""
    a = changed(money={"second_hand_price": 90_000.0})
    v = decide(a)
    assert v.option.name == "second-hand" and v.rival.option.name == "core setter" and v.rival.chance > 0.95
    assert "the used setter" in decision(a) and any("Strongest alternative: the setter" in line for line in lines(a))
    assert re.sub(r"\s", "", figures(a)[0].value).startswith(f"{v.option.first_cost:.0f}"[:2])
    used = next(i for i, row in enumerate(a.money.alternatives) if row.name == "second-hand")
    gap = a.money.worth_draws[:, used + 1] - a.money.worth_draws[:, 1]
    assert v.rival.ahead.mean == pytest.approx(gap.mean())


def test_a_lift_by_hand_that_stays_is_to_be_changed_whatever_is_bought():
    """The gear case is set by hand with RWL 0: named with what would do it; within reach, it is not named."""
    (row,) = decide(demo()).must_do
    assert (row.pattern, row.method, row.cost) == ("GC07", "manual, redesigned", 16_500.0)
    assert any("gear case core into drag" in line for line in lines(demo()))
    assert decide(changed(lifts=lifts(method="manual", pattern="GC07", reach=50.0))).must_do == ()


def test_no_pattern_is_set_by_hand_without_a_remark_where_that_is_beyond_the_limits():
    """Of the two that stay by hand, the one with RWL 0 has the remark; the chart says which never pays as the table."""
    rows = {row[0]: row for row in pattern_table.patterns(demo(), full=True)}
    assert rows["GC07"][1] == "by hand, lift to be changed" and rows["PC03"][1] == "by hand"
    labels = set(re.findall(r"(\w+) \(never\)", str(run_length(demo().money).to_dict())))
    assert labels == {code for code, row in rows.items() if row[-1] == "never"} and labels


def test_the_command_says_first_cost_worth_and_rate_of_return():
    """The figures of the brief, and the rate of return of the purchase, or of a used setter."""
    said, used = command(demo()), command(changed(money={"second_hand_price": 90_000.0}))
    for what in ("Initial investment: ", "Net present value: ", "Annual saving"):
        assert what in said and what in used
    assert f"internal rate of return {100 * demo().money.irr[0]:.0f} %" in " ".join(said.split())
    assert "internal rate of return" in " ".join(used.split())


@pytest.mark.parametrize("facts", [{}, {"money": {"budget": 100_000.0}}, {"money": {"second_hand_price": 90_000.0}}])
def test_every_output_says_the_same_sentence_and_lines(facts):
    """Command, brief, HTML, JSON and workbook; the sentence at most 25 words, at most five lines after it."""
    a = changed(**facts)
    sentence, rest = decision(a), lines(a)
    assert len(sentence.split()) <= 25 and 1 <= len(rest) <= 5
    told = document(a)["decision"]
    assert told["sentence"] == sentence and told["lines"] == rest
    book = openpyxl.load_workbook(io.BytesIO(workbook(a))).worksheets[0]
    brief = content(a, {})
    outputs = {
        "command": command(a).replace("\n- ", "\n"),
        "brief": " ".join([brief.headline, *(block.text for block in brief.one)]),
        "html": re.sub(r"<[^>]+>", " ", html(a, {})),
        "workbook": " ".join(str(c.value) for row in book.iter_rows() for c in row if c.value),
    }
    for name, words in outputs.items():
        plain = re.sub(r"\s", "", words).replace("&quot;", '"').replace("&#x27;", "'")
        for line in (sentence, *rest):
            assert re.sub(r"\s", "", line) in plain, (name, line)


def test_the_payback_that_the_plant_means_is_the_one_of_every_option():
    """Discounted it is longer, for the purchase and beside it; the line says that it is discounted."""
    a = changed(money={"payback_rule": "discounted", "second_hand_price": 90_000.0})
    plain = changed(money={"second_hand_price": 90_000.0})
    for row, simple in zip(a.money.alternatives, plain.money.alternatives, strict=True):
        assert row.chance_payback <= simple.chance_payback
    assert a.money.chance_payback == a.money.alternatives[0].chance_payback < plain.money.chance_payback
    years = a.money.discounted_payback_draws
    assert a.money.chance_payback == pytest.approx((years <= a.case.money.payback_limit_years).mean())
    assert "discounted" in lines(a)[0] and "discounted" not in lines(plain)[0]


def test_the_chance_in_the_sentence_is_the_one_that_it_names():
    """Where neither worth nor payback is reached, the sentence says the chance of the net present value, not that of
    the payback, as the line below it and the figures do.
    """
    a = changed(money={"setter_price": Range.exactly(400_000.0), "budget": None, "payback_limit_years": 3.0})
    v = decide(a)
    late = next(row for row in v.constraints if row.key == "payback")
    assert v.level == "do_not_buy" and late.status == "not_met"
    assert f"{late.chance:.0%}" != f"{v.option.chance_npv_positive:.0%}"
    said = re.search(r"above 0 is (.+ %)", decision(a)).group(1)
    assert f"{said} chance above 0" in lines(a)[0]


@pytest.mark.parametrize(
    ("field", "asks"), [("hours_saved_paid", "share of saved labor hours"), ("line_crew", "people")]
)
def test_what_is_not_entered_and_counted_as_nothing_is_asked_for_first(field, asks):
    """Without the share that is really not paid no labor is saved: the verdict says what to find out, no study."""
    a = changed(money={field: None})
    assert lines(a)[-1].startswith("Measure next: the ") and asks in lines(a)[-1]
    assert asks in document(a)["decision"]["next_measurement"]
    assert asks not in lines(demo())[-1]
