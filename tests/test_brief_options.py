"""The brief's tables of options and of patterns: they say no more than the verdict does."""

from dataclasses import replace

import pytest

from coreset.brief import page_tables, pattern_table
from coreset.brief.alternatives import SHOWN, alternatives, alternatives_in_full
from coreset.brief.content import content
from coreset.case import Option, Range
from coreset.report.blocks import heads
from tests.test_decision import changed, demo, strong

DEAR = {"money": {"setter_price": Range.exactly(900_000.0), "budget": None}}


def settings(a):
    """How each pattern is set, by its code."""
    return {row[0]: row[1] for row in pattern_table.patterns(a, full=True)}


@pytest.mark.parametrize(
    ("facts", "level"),
    [(DEAR, "do_not_buy"), ({"money": {"payback_limit_years": 1.0}}, "not_decided")],
)
def test_no_pattern_is_set_by_a_setter_that_is_not_to_be_bought(facts, level):
    """Those of the set say what would be; as it is in the demo, where it is to be bought, they go over."""
    a = changed(**facts)
    assert a.verdict.level == level and not a.verdict.recommended
    found = settings(a)
    assert "setter" not in found.values()
    assert {code for code, how in found.items() if how.startswith("setter, if bought")} == set(a.money.chosen) != set()
    over = {code for code, how in settings(demo()).items() if how == "setter"}
    assert demo().verdict.recommended and over == set(demo().verdict.option.patterns)


def test_a_lift_beyond_the_limits_is_named_where_the_setter_is_not_bought():
    """A pattern of the set whose lift by hand is beyond the equation stays by hand, and that is to be changed."""
    lifts = tuple(
        row if (row.method, row.pattern) != ("manual", "VB24") else changed_reach(row) for row in demo().case.lifts
    )
    a = changed(lifts=lifts, **DEAR)
    assert settings(a)["VB24"] == "setter, if bought; else lift to be changed"


def changed_reach(row):
    """A lift 70 cm away: beyond 63 cm no weight is recommended [waters1994]."""
    return replace(row, horizontal_destination=70.0)


def test_patterns_that_are_improved_by_hand_name_the_method():
    """The redesigned method must be done: its patterns are set by it, whatever the setter would be worth."""
    rule = Option(option="racks", method="manual, redesigned", rule="must do", reason="two reports of sore backs")
    a = changed(options=(rule,))
    assert a.verdict.option.name == "racks"
    found = settings(a)
    assert {code for code, how in found.items() if how == "manual, redesigned"} == set(a.verdict.option.patterns)
    assert "setter" not in found.values()


def test_the_options_stand_side_by_side_in_the_order_of_the_verdict():
    """The one of the verdict first, then by worth; a broken limit and what is to be proven are named."""
    offers = (
        Option(option="offer B", setter_price=Range.exactly(120_000.0)),
        Option(option="weak", setter_price=Range.exactly(1_000.0), generators=1, vacuum_max_kpa=0.5),
    )
    a = changed(options=offers, setter=strong())
    rows = alternatives(a)
    assert rows[0][0] == "“offer B”" and a.verdict.option.name == "offer B"
    by = {row[0]: row for row in rows}
    assert by["“weak”"][-1] == "not feasible"
    assert by["“offer B”"][-1].endswith(" to prove")
    assert all(len(row) == len(heads("alternatives", currency="USD")) for row in rows)
    block = next(b for b in content(a, {}).one if b.kind == "table" and b.text.startswith("Alternatives"))
    assert len(block.rows) == len(rows) + 1


def test_the_page_of_the_business_case_shows_every_option_with_its_limits_in_words():
    """Delivery, patterns, what is ruled out and why, what is to be proven; the figures are those of the brief."""
    offers = (
        Option(option="offer B", setter_price=Range.exactly(120_000.0), delivery_months=9.0),
        Option(option="offer C", setter_price=Range.exactly(90_000.0), rule="ruled out", reason="no guard"),
    )
    a = changed(options=offers, setter=strong())
    short, full = alternatives(a), alternatives_in_full(a)
    assert [row[:6] for row in full[: len(short) - 1]] == [row[:6] for row in short[:-1]]
    heads_, by = heads("alternatives_full", currency="USD"), {row[0]: row for row in full}
    assert all(len(row) == len(heads_) for row in full) and len(full) == len(a.money.alternatives)
    shown = {name: dict(zip(heads_, row, strict=True)) for name, row in by.items()}
    assert shown["“offer B”"]["delivery, months"] == "9"
    assert shown["“offer C”"]["limits"] == "not feasible: the plant rules it out: no guard"
    assert "to prove: " in shown["“offer B”"]["limits"] and shown["“offer B”"]["patterns"]
    assert shown["“manual, redesigned”"]["delivery, months"] == "–"
    assert next(iter(page_tables.named("alternatives_full", a)[0].values())) == full[0][0]


def test_every_pattern_says_why_it_does_not_go_over():
    """As the page shows it: setting of the verdict, volume, the volume from which it pays, and the reason."""
    a = changed(**DEAR)
    rows = pattern_table.patterns_in_full(a)
    assert all(len(row) == len(heads("patterns_full", currency="USD")) for row in rows)
    assert {row[0]: row[-1] for row in rows}["PC03"] and not any(row[1] == "setter" for row in rows)
    assert "Only if the setter were bought" in pattern_table.which_patterns(a)
    assert pattern_table.which_patterns(demo()).startswith("With the setter: ")


def test_charts_of_the_purchase_say_so_where_another_option_is_taken():
    """The verdict takes an offer; chart, working and inputs are those of the setter in [money]. Not in the demo."""
    other = changed(options=(Option(option="offer B", setter_price=Range.exactly(120_000.0)),), setter=strong())
    said = "Charts, working and what would change the answer are those of the setter"
    for a, there in ((other, 1), (demo(), 0)):
        blocks = content(a, {}).one
        assert sum(block.text.startswith(said) for block in blocks) == there
    assert "not of “offer B”" in next(block.text for block in content(other, {}).one if block.text.startswith(said))


def test_page_one_has_both_charts_whatever_the_options():
    """What moves the worth stands beside the cash flow, with a table of options as without one."""
    drawn = dict.fromkeys(("cash_flow", "drivers"))
    methods = tuple(m for m in demo().case.methods if m.method in {"manual", "core setter"})
    for a in (demo(), changed(methods=methods)):
        assert any(block.pictures == ("cash_flow", "drivers") for block in content(a, drawn).one)


def test_many_options_are_counted_and_one_alone_needs_no_table():
    """Ten offers: three and the rest counted; a single row would say what the sentence says."""
    offers = tuple(Option(option=f"offer {k}", setter_price=Range.exactly(100_000.0 + k)) for k in range(10))
    rows = alternatives(changed(options=offers))
    assert len(rows) == SHOWN and rows[-1][0] == "and 9 more options"
    methods = tuple(m for m in demo().case.methods if m.method in {"manual", "core setter"})
    assert alternatives(changed(methods=methods)) == []
