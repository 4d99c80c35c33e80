"""The program against a second one written from the text of the methods: 500 cases each, 10,000 with `-m long`."""

import math

import numpy as np
import pytest
import second_lifting
import second_money
import second_study
from figures_cases import purchase
from handling_cases import case as handling_case
from handling_cases import lift, standard
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from study_cases import case as study_case
from study_cases import study

from coreset.case import Element
from coreset.lifting.composite import composite_index, sequential_index, variable_index
from coreset.lifting.duration import averaged_per_min, duration_class
from coreset.lifting.screen import screen
from coreset.money.discount import annuity_factor, npv, payback, whole_payback
from coreset.money.irr import irr_roots, mirr
from coreset.money.set_selection import all_sets, kept
from coreset.money.tax import declining_shares, macrs
from coreset.study.pooling import standards
from coreset.study.sample_size import by_root, by_z

USUAL, MANY, TOGETHER = 500, 10_000, 20
CLOSE = 1e-9


def driven(check, **drawn):
    """The same check with the usual number of cases, and with many where `-m long` is asked for.

    Twenty cases are drawn as one example: what an example costs by itself is more than most of the checks.
    """

    def each(cases):
        for case in cases:
            check(**case)

    cases = st.tuples(*[st.fixed_dictionaries(drawn)] * TOGETHER)
    quiet = {"suppress_health_check": [HealthCheck.filter_too_much, HealthCheck.too_slow]}
    usual, many = (settings(max_examples=n // TOGETHER, **quiet)(given(cases=cases)(each)) for n in (USUAL, MANY))
    return usual, pytest.mark.long(many)


def tenths(low, high):
    """Numbers with one decimal, so that borders and equal values are met."""
    return st.integers(round(10 * low), round(10 * high)).map(lambda n: n / 10)


DURATION = st.sampled_from(["short", "moderate", "long"])
PACE = st.one_of(
    st.tuples(DURATION, st.one_of(tenths(0.1, 16), st.floats(0.05, 16).map(lambda f: round(f, 4)))),
    st.tuples(st.just("long"), tenths(8, 10)),
    st.tuples(st.just("moderate"), tenths(10, 12)),
    st.tuples(st.just("short"), tenths(12, 15)),
)
"""Duration and frequency, often where Table 5 differs below and above the reference height."""
LIFT = st.fixed_dictionaries(
    {
        **{f"horizontal_{end}": st.one_of(tenths(20.0, 50), tenths(62, 64)) for end in ("origin", "destination")},
        **{
            f"vertical_{end}": st.one_of(tenths(0, 176), tenths(50, 100), st.just(75.0))
            for end in ("origin", "destination")
        },
        **{
            f"asymmetry_{end}": st.one_of(st.integers(0, 90), st.integers(130, 140))
            for end in ("origin", "destination")
        },
        "pace": PACE,
        "coupling": st.sampled_from(["good", "fair", "poor"]),
        "control": st.booleans(),
    }
)
INCHES = {"horizontal": 2.5, "vertical": 2.5, "asymmetry": 1.0}


def check_lifting(one, units):
    """[waters1994] RWL and LI of a task at both ends, in either unit set."""
    duration, frequency = one["pace"]
    one = {name: value for name, value in one.items() if name != "pace"}
    one |= {"duration": duration, "frequency": frequency}
    if units == "us":
        one = {name: v if isinstance(v, (str, bool)) else round(v / INCHES.get(name.partition("_")[0], 1), 1)
               for name, v in one.items()} | {"frequency": one["frequency"]}  # fmt: skip
    ends = ("origin", "destination") if one["control"] else ("origin",)
    expected = min(second_lifting.limit(one, end, units) for end in ends)
    places = {name: one[name] for name in one if name.partition("_")[0] in {"horizontal", "vertical"}}
    angles = {f"{name}_deg": one[name] for name in one if name.startswith("asymmetry")}
    task = lift(
        **places, **angles, frequency_per_min=one["frequency"], frequency_reason="drawn", duration=one["duration"],
        coupling=one["coupling"], control_at_destination=one["control"],
    )  # fmt: skip
    (found,) = screen(handling_case(task, units=units), [standard(60)])
    assert found.rwl == pytest.approx(float(expected), rel=CLOSE, abs=1e-12)
    assert found.li is None if not expected else found.li == pytest.approx(10 / float(expected), rel=CLOSE)


test_lifting, test_lifting_many = driven(check_lifting, one=LIFT, units=st.sampled_from(["metric", "us"]))


@st.composite
def tasks_of_a_job(draw):
    """A duration class and tasks of which several may have the same STLI: it is drawn, the mean load follows."""
    duration, tasks = draw(DURATION), []
    for _ in range(draw(st.integers(2, 5))):
        f = draw(st.sampled_from([0.1, 0.2, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0]))
        v = draw(st.sampled_from([40.0, 74.9, 75.0, 90.0]))
        fm = second_lifting.often(second_lifting.exact(f), duration, v, "metric")
        mean = float(fm * draw(st.integers(1, 4)) / 2)
        tasks.append((round(mean + draw(tenths(0, 1)), 6), mean, f, v))
    return duration, tasks


def check_composite(job):
    """[waters1994] CLI with loads that vary, heights that differ and tasks of equal STLI."""
    duration, tasks = job
    expected = second_lifting.composite(tasks, duration, "metric")
    fili, mean, f, v = zip(*tasks, strict=True)
    found = composite_index(fili=fili, stli_independent=mean, frequency_per_min=f, vertical=v, duration=duration).index
    assert found is None if expected is None else found == pytest.approx(float(expected), rel=CLOSE)


test_composite, test_composite_many = driven(check_composite, job=tasks_of_a_job())


def check_variable(lifts, total, duration):
    """[waters2016] VLI of up to 30 lifts that all differ."""
    expected = second_lifting.variable(lifts, total, duration, "metric")
    fili, weight, v = zip(*lifts, strict=True)
    found = variable_index(fili=fili, weight=weight, total_per_min=total, vertical=v, duration=duration).index
    assert found is None if expected is None else found == pytest.approx(float(expected), rel=CLOSE)


test_variable, test_variable_many = driven(
    check_variable,
    lifts=st.lists(st.tuples(tenths(0.1, 3), st.integers(1, 9), tenths(20, 120)), min_size=1, max_size=12),
    total=tenths(0.2, 12),
    duration=DURATION,
)


def check_sequential(slots):
    """[waters2007] SLI."""
    own, more, hours = zip(*slots, strict=True)
    longest = [round(a + b, 1) for a, b in zip(own, more, strict=True)]
    found = sequential_index(own=own, whole_shift=longest, hours=hours)
    assert found == pytest.approx(float(second_lifting.sequential(own, longest, hours)), rel=CLOSE)


test_sequential, test_sequential_many = driven(
    check_sequential,
    slots=st.lists(
        st.tuples(tenths(0.1, 4), tenths(0, 2), tenths(0.1, 4)), min_size=1, max_size=5, unique_by=lambda slot: slot[0]
    ),
)


def check_busiest(rate, spells):
    """[waters1994] the special procedure: every quarter of an hour is counted, minute by minute."""
    assert averaged_per_min(rate, spells) == pytest.approx(float(second_lifting.busiest(rate, spells)), rel=CLOSE)


test_busiest, test_busiest_many = driven(
    check_busiest,
    rate=tenths(0.1, 17),
    spells=st.lists(st.tuples(st.integers(1, 20), st.integers(0, 20)), min_size=1, max_size=5),
)


def check_duration(spells, edition):
    """[waters1994] sessions, repeated all day, with their recovery."""
    assert duration_class(spells, edition=edition) == second_lifting.duration_class(spells, edition)


test_duration, test_duration_many = driven(
    check_duration,
    spells=st.lists(st.tuples(st.integers(1, 130), st.integers(0, 90)), min_size=1, max_size=5),
    edition=st.sampled_from(["1994", "2021"]),
)


READING = st.tuples(tenths(0.5, 60), st.integers(60, 130).map(float))


@st.composite
def elements(draw, cycles):
    """An element of a study with its readings in each cycle."""
    kind = draw(st.sampled_from(["manual", "machine"]))
    per_mold = draw(st.sampled_from([None, None, 2, 3]))
    occasional = per_mold is None and draw(st.booleans())
    low, high = (0, 1) if occasional else (1, 1 if per_mold is None else 3)
    read = [draw(st.lists(READING, min_size=low, max_size=high)) for _ in range(cycles)]
    return {"kind": kind, "per_mold": per_mold, "occasional": occasional, "cycles": read}


STUDY = (
    st.integers(1, 3)
    .flatmap(lambda cycles: st.lists(elements(cycles), min_size=1, max_size=3))
    .filter(lambda parts: any(not part["occasional"] for part in parts))
)


def check_standard(parts, percent, basis, molds, running):
    """Observed, normal and standard time of a study, its clock set back at each reading or running on."""
    ordered = [
        (cycle + 1, f"e{i}", *reading)
        for cycle in range(len(parts[0]["cycles"]))
        for i, part in enumerate(parts)
        for reading in part["cycles"][cycle]
    ]
    shown = second_study.clock([row[2] for row in ordered]) if running else [row[2] for row in ordered]
    rows = [(cycle, name, seconds, rating) for (cycle, name, _, rating), seconds in zip(ordered, shown, strict=True)]
    listed = [
        Element(name=f"e{i}", kind=part["kind"], occasional=part["occasional"], per_mold=part["per_mold"])
        for i, part in enumerate(parts)
    ]
    timing = "continuous" if running else "snapback"
    one = study(rows, listed, allowances="flat", molds_per_cycle=molds, timing=timing)
    (found,) = standards(study_case([one], percent=percent, basis=basis), resamples=10)
    expected = second_study.standard(parts, percent, basis, molds)
    got = (found.observed_s, found.normal_s, found.standard_s)
    assert got == pytest.approx([float(x) for x in expected], rel=1e-8)


test_standard, test_standard_many = driven(
    check_standard,
    parts=STUDY,
    percent=st.integers(0, 40),
    basis=st.sampled_from(["normal", "shift"]),
    molds=st.integers(1, 3),
    running=st.booleans(),
)


def check_needed(readings, share, z):
    """[stevenson] readings needed by z, and the form with the root."""
    mean, sd = second_study.mean_and_sd(readings)
    found = by_z(float(np.mean(readings)), float(np.std(readings, ddof=1)), z=z, share=share)
    assert found == pytest.approx(second_study.needed(float(mean), sd, z, share), rel=1e-6)
    assert by_root(readings) == pytest.approx(second_study.needed_by_root(readings), rel=1e-6)


test_needed, test_needed_many = driven(
    check_needed,
    readings=st.lists(tenths(1, 60), min_size=2, max_size=20).filter(lambda readings: len(set(readings)) > 1),
    share=st.sampled_from([0.03, 0.05, 0.1]),
    z=st.sampled_from([1.645, 1.96, 2.0]),
)


MONEY = st.integers(-5_000, 5_000).map(float)
FLOWS = st.lists(MONEY, min_size=2, max_size=9)
RATE = st.integers(0, 400).map(lambda r: r / 1000)


def check_worth(flows, rate):
    """Present value and both conventions of payback."""
    assert npv(flows, rate) == pytest.approx(float(second_money.worth(flows, rate)), rel=CLOSE, abs=1e-6)
    # A total of exactly nothing is in doubt by rounding once it is discounted.
    if rate and any(abs(total) <= 1e-6 for total in second_money.totals(flows, rate)):
        return
    back, whole = second_money.payback(flows, rate), second_money.whole_payback(flows, rate)
    assert payback(flows, rate) == pytest.approx(math.inf if back is None else float(back), rel=1e-6, abs=CLOSE)
    assert whole_payback(flows, rate) == (math.inf if whole is None else whole)


test_worth, test_worth_many = driven(check_worth, flows=FLOWS, rate=RATE)


GRID = range(1, 41)
"""Growths in a year that are tried one by one, in tenths: rates of return from -90 to 300 %."""


def check_rates(flows):
    """Between two rates where the worth changes its sign lies a rate of return; at each that is told it is nothing."""
    roots = irr_roots(flows)
    for low, high in second_money.crossings(flows, GRID):
        assert any(low <= 10 * (1 + root) <= high for root in roots), (low, high, roots)
    for root in roots:
        size = sum(abs(flow) / (1 + root) ** year for year, flow in enumerate(flows))
        assert abs(float(second_money.worth(flows, root))) <= 1e-7 * size


test_rates, test_rates_many = driven(check_rates, flows=FLOWS)


def check_modified_rate(flows, finance, reinvest):
    """[spreadsheet_docs] MIRR."""
    expected = second_money.modified_rate(flows, finance, reinvest)
    found = mirr(flows, finance_rate=finance, reinvest_rate=reinvest)
    assert np.isnan(found) if expected is None else found == pytest.approx(expected, rel=1e-8, abs=1e-10)


test_modified_rate, test_modified_rate_many = driven(check_modified_rate, flows=FLOWS, finance=RATE, reinvest=RATE)


def check_yearly(first, annual, rate, years):
    """Equivalent annual cost."""
    found = annual + first / annuity_factor(rate, years)
    assert found == pytest.approx(float(second_money.yearly(first, annual, rate, years)), rel=CLOSE, abs=1e-6)


test_yearly, test_yearly_many = driven(check_yearly, first=MONEY, annual=MONEY, rate=RATE, years=st.integers(1, 30))


def check_tax(savings, cost, life, factor, tax, salvage):
    """Declining shares, and flows after tax with a sale above or below the book value."""
    expected = second_money.declining(life, factor)
    shares = declining_shares(life, factor)
    assert shares == pytest.approx([float(x) for x in expected], rel=CLOSE)
    years = len(savings)
    used = [*expected, *[second_money.exact(0)] * years][:years]
    found = purchase(
        years, shares, setter_price=cost, tax_rate=tax, residual=salvage,
        hours_per_shift=8.0, days_per_year=250.0, molds_per_year=1.0,
        volume_share=[[saving / 1e3 for saving in savings]], core_losses_saved=1e3,
    )  # fmt: skip
    net = second_money.taxed([-cost, *savings], cost, used, tax, salvage)
    assert found["project_flow"] == pytest.approx([float(x) for x in net], rel=CLOSE, abs=1e-6)


test_tax, test_tax_many = driven(
    check_tax,
    savings=st.lists(st.integers(1, 5_000).map(float), min_size=1, max_size=8),
    cost=st.integers(1, 9_000).map(float),
    life=st.integers(1, 12),
    factor=st.sampled_from([1.0, 1.5, 2.0]),
    tax=st.integers(0, 50).map(lambda p: p / 100),
    salvage=st.integers(0, 5_000).map(float),
)


@pytest.mark.parametrize("life", [3, 5, 7, 10])
def test_shares_by_the_text_of_the_tax_rule(life):
    """[irs946] 200 % declining balance, half a year at both ends: the printed table within a hundredth of a percent."""
    exact = [float(share) for share in second_money.half_year_shares(life)]
    assert sum(exact) == pytest.approx(1)
    assert macrs(life) == pytest.approx(exact, abs=1.01e-4)


def check_choice(candidates, limits):
    """The best set of candidates within two limits."""
    worths, first, second = zip(*candidates, strict=True)
    uses = [first, second]
    sets = all_sets(len(worths))
    inside = kept(uses, limits, sets)
    expected = second_money.best_worth(worths, uses, limits)
    assert inside.any() == (expected is not None)
    assert expected is None or (np.array(worths) @ sets)[inside].max() == expected


test_choice, test_choice_many = driven(
    check_choice,
    candidates=st.lists(
        st.tuples(st.integers(-50, 99), st.integers(0, 40), st.integers(-9, 40)), min_size=1, max_size=6
    ),
    limits=st.tuples(st.integers(0, 120), st.integers(-5, 120)),
)
