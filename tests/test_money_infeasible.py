"""No set of patterns keeps the limits: a result of its own, never the purchase as if there were no limit."""

import io
import re
from dataclasses import replace
from types import SimpleNamespace

import openpyxl
import pytest
from brief_case import assessment
from plant import parts, screened
from test_money_many import grown

from coreset.brief import compare as say_compare
from coreset.brief.alternatives import alternatives_in_full
from coreset.brief.content import content
from coreset.brief.document import document, printed
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html
from coreset.brief.screen import screen
from coreset.brief.workbook import workbook
from coreset.case import Range
from coreset.decision.headline import decision as sentence
from coreset.decision.headline import figures
from coreset.decision.recommendation import load_on_people, would_change
from coreset.errors import CoresetError
from coreset.money import charts
from coreset.money.evaluate import weigh
from coreset.money.report import sentences as say_money
from coreset.money.report.base_figures import highest_prices
from coreset.money.set_selection import NoSet, by_program

BUY = re.compile(r"\b(buy|buying|bought|probably pays|the setter pays)\b", re.IGNORECASE)
ALL = ("HUB", "BOX", "CAP", "JOB")


def decided(**changes):
    """The invented plant with other prices and limits."""
    return weigh(*parts(**changes), draws=300)


def price(of):
    """A price of the setter that is known."""
    return Range.exactly(of)


def test_a_budget_below_the_first_price_is_infeasible():
    """No pattern is recommended; the nearest set is one pattern, and the budget it needs is its first cost."""
    found = decided(budget=1_000.0)
    assert (found.verdict, found.chosen, len(found.nearest)) == ("not_feasible", (), 1)
    (short,) = found.needs
    assert (short.limit, short.has) == ("budget", 1_000.0)
    assert short.least == pytest.approx(found.first_cost, rel=0.01)
    assert not any(row.masked for row in found.patterns) and {row.why_not for row in found.patterns} == {"not_feasible"}
    assert found.alternatives[0].needs
    assert [row.name for row in found.alternatives if not row.needs] == []
    assert found.evpi == 0.0 and found.cheapest_risk_step == ""


@pytest.mark.parametrize("limit", ["budget", "mask_places"])
@pytest.mark.parametrize("count", [0, 20])
def test_a_limit_of_0_allows_nothing_and_an_empty_one_all(limit, count):
    """0 is infeasible by search and by the program, with 0 as what there is; empty is feasible and said to be open."""
    given = grown(count, 1, **{limit: 0}) if count else None

    def found(value):
        if given is None:
            return decided(**{limit: value})
        case = replace(given[0], money=replace(given[0].money, **{limit: value}))
        return weigh(case, (), (), given[1], (), draws=100)

    nothing, free = found(0), found(None)
    assert (nothing.verdict, nothing.chosen) == ("not_feasible", ())
    assert [(need.limit, need.has) for need in nothing.needs] == [(limit, 0.0)]
    assert free.chosen and f"{limit}_missing" in {note.code for note in free.notes}
    assert f"{limit}_missing" not in {note.code for note in nothing.notes}


@pytest.mark.parametrize(
    ("limits", "broken"),
    [
        ({"budget": 150_000.0}, {"budget"}),
        ({"mask_places": 1, "spare_masks": 1}, {"mask_places"}),
        ({"mask_places": 2, "li_limit": 1.0}, {"mask_places"}),
        ({"mask_places": 2, "li_limit": 1.0, "budget": 150_000.0}, {"budget", "mask_places"}),
    ],
)
def test_what_is_said_to_make_it_feasible_does(limits, broken):
    """The limits raised to what the nearest set needs, as said: then a set is found; a little less: none."""
    found = decided(**limits)
    assert found.verdict == "not_feasible" and {row.limit for row in found.needs} == broken
    needed = {row.limit: row.least for row in found.needs}
    places = {"mask_places": int(needed["mask_places"])} if "mask_places" in needed else {}
    budget = {"budget": needed["budget"]} if "budget" in needed else {}
    again = decided(**limits | places | budget)
    assert again.verdict != "not_feasible" and set(again.chosen) >= set(found.forced) and again.needs == ()
    for less in (places and {"mask_places": places["mask_places"] - 1}, budget and {"budget": needed["budget"] - 1}):
        assert not less or decided(**limits | places | budget | less).verdict == "not_feasible"


@pytest.mark.slow
def test_a_higher_price_or_a_lower_budget_never_raises_the_worth():
    """Price up in steps across the budget, and the budget down in steps across the first cost: worth never rises.

    Weighed on the same draws; the step of 1,000 at which the last set falls out of the budget is among them.
    """
    edge = decided(setter_price=price(170_000.0), budget=1.0).first_cost
    dearer = [decided(setter_price=price(170_000.0 + k * 1_000.0), budget=edge + 9_500.0) for k in range(-2, 13, 2)]
    dearer += [decided(setter_price=price(p), budget=edge + 9_500.0) for p in (200_000.0, 400_000.0)]
    poorer = [decided(budget=b) for b in (400_000.0, 240_000.0, 220_000.0, 210_000.0, 205_000.0, 150_000.0, 10.0)]
    for row in (dearer, poorer):
        assert {d.verdict == "not_feasible" for d in row} == {True, False}
        worth = [d.npv for d in row]
        assert all(b <= a + 1e-6 for a, b in zip(worth, worth[1:], strict=False)), worth
        gained = [max(0.0, d.npv) if d.chosen else 0.0 for d in row]
        assert all(b <= a + 1e-6 for a, b in zip(gained, gained[1:], strict=False)), gained


def test_more_patterns_than_are_searched_through():
    """Twenty patterns by the program: a budget of 1 names one pattern, not all twenty."""
    case, known = grown(20, 1, budget=1.0)
    found = weigh(case, (), (), known, (), draws=100)
    assert (found.verdict, found.chosen, len(found.nearest)) == ("not_feasible", (), 1)
    forced = [row for row in screened() if row.pattern == "HUB"]
    tasks = [replace(row, pattern=p.pattern) for row in forced for p in case.patterns[:3]]
    limited = replace(case, money=replace(case.money, budget=None, mask_places=2, li_limit=1.0))
    found = weigh(limited, (), (), known, tasks, draws=100)
    assert found.verdict == "not_feasible" and found.nearest == found.forced == tuple(
        p.pattern for p in case.patterns[:3]
    )


def test_a_lease_may_fit_where_the_purchase_does_not():
    """Leased, the first cost is within a budget of 60,000: that way is feasible with its own set, bought none is."""
    found = {row.name: row for row in decided(budget=60_000.0, lease_per_year=20_000.0).alternatives}
    assert found["core setter"].needs and not found["leased"].needs and found["leased"].first_cost <= 60_000
    assert not found["hand and rack"].needs
    dear = {row.name: row for row in decided(budget=3_000.0, lease_per_year=20_000.0).alternatives}
    assert all(row.needs for row in dear.values()), "a rack of 4,000 breaks a budget of 3,000"


@pytest.mark.parametrize(("status", "raised"), [(2, NoSet), (3, CoresetError), (4, CoresetError)])
def test_only_a_proof_that_there_is_no_set_says_so(status, raised, monkeypatch):
    """An unbounded or numerically failed run of the solver says nothing of the limits."""
    import scipy.optimize

    ended = SimpleNamespace(x=None, status=status, message="numerical difficulties", mip_dual_bound=None)
    monkeypatch.setattr(scipy.optimize, "milp", lambda *_, **__: ended)
    with pytest.raises(raised):
        by_program([3, 1], [[1, 1]], [2])


@pytest.mark.slow
def test_no_output_recommends_the_purchase():
    """Command, brief, pages, JSON and workbook: none says buy or pays; each says what would make it feasible.

    Labels of declared figures ("masks bought again") are the same whatever the case, and left out.
    """
    a = assessment(budget=1_000.0)
    d = a.money
    book = openpyxl.load_workbook(io.BytesIO(workbook(a)))
    brief = content(a, pictures(a))
    outputs = {
        "command": screen(a),
        "brief": " ".join([brief.headline, load_on_people(a), *would_change(a), *(b.text for b in brief.one)]),
        "html": re.sub(r"<[^>]+>", " ", html(a, pictures(a))),
        "page": " ".join([*say_money.sentences(d), *say_money.remarks(d), *say_money.margins(d)]),
        "json": re.sub(r'"label": "[^"]*"', "", printed(document(a))),
        "workbook": " ".join(str(c.value) for sheet in book for row in sheet.iter_rows() for c in row if c.value),
    }
    for name, words in outputs.items():
        assert not BUY.search(re.sub(r'"[a-z_]+":', "", words)), (name, BUY.search(words))
        assert "Not feasible" in words, name
        assert "would need a budget of" in " ".join(words.split()), name
    assert "no price, not even 0, for the budget" in highest_prices(d)[0], "masks alone cost more"
    told = document(a)["money"]
    assert told["highest_price"]["unmet"] == ["budget"]
    assert (told["verdict"], told["chosen"]) == ("not_feasible", [])
    assert told["needs"][0]["limit"] == "budget" and told["nearest"] == list(d.nearest)
    assert all("if the limits allowed it" in figure.what for figure in figures(a))
    for title in (charts.cash_flow(d).title, charts.payback_chance(d).title.text):
        assert title.startswith("If the limits allowed it")
    assert "No alternative has a higher NPV" in charts.ways(d).title
    assert all(row[-1].startswith("not feasible: ") for row in alternatives_in_full(a))
    assert "not ranked" in say_compare.answer(a, assessment(), ("one", "two"))
    assert "Not feasible" not in sentence(assessment()), "a feasible case is answered as before"


def test_no_pattern_goes_over_whose_cores_the_setter_cannot_take():
    """Mask too small for one pattern: the best set of the others; too small for all: not feasible, as is a forced one.

    Against the same plant without that pattern's cores entered; by search and by the program.
    """
    best = decided().chosen
    case, *others = parts()
    large = replace(case.cores[0], pattern=best[0], length=900.0, width=300.0)
    setter = replace(case.setter, mask_length=600.0, mask_width=400.0)
    found = weigh(replace(case, setter=setter, cores=(large,)), *others, draws=300)
    assert best[0] not in found.chosen and set(best[1:]) <= set(found.chosen)
    assert {row.why_not for row in found.patterns if row.pattern == best[0]} == {"not_taken"}
    none = tuple(replace(large, pattern=code) for code in ALL)
    barred = weigh(replace(case, setter=setter, cores=none), *others, draws=300)
    assert barred.verdict == "not_feasible" and {row.limit for row in barred.needs} == {"cores_taken"}
    many, known = grown(20, 1)
    wide = tuple(replace(large, pattern=p.pattern) for p in many.patterns[:10])
    chosen = weigh(replace(many, setter=setter, cores=wide), (), (), known, (), draws=100).chosen
    assert chosen and not {core.pattern for core in wide} & set(chosen)
