"""The live answer: which inputs it offers, what a changed one does to the case, its numbers those of the command."""

import json
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest
from sizes import FEW

from coreset.assess import answered, assess
from coreset.case import Range
from coreset.cli import main
from coreset.decision.side_by_side import changed_figures
from coreset.decision.verdict import decide
from coreset.forms.levers import changed_case, changes_in_words, levers
from coreset.store.folder import read, write
from coreset.web.shelf import demo_folder


@cache
def saved():
    """The demo as it is saved, and what follows from it."""
    case = read(demo_folder())
    return case, assess(case, **FEW)


def test_the_eight_entered_inputs_that_move_the_answer_most_are_offered():
    """By falling swing of the sensitivity, rates of studies left out; known ones by break-even where too few vary."""
    case, found = saved()
    offered = levers(case, found.money)
    swings = {row.name: row.swing for row in found.money.drivers}
    entered = sorted((name for name in swings if not name.startswith("rate.")), key=lambda name: -swings[name])
    assert [lever.name for lever in offered] == entered[:8]
    price = next(lever for lever in offered if lever.name == "setter_price")
    assert (price.value, price.low) == (case.money.setter_price.likely, case.money.setter_price.low)
    assert price.label.endswith(", USD") and price.least == 0.0 and price.step == 10_000.0
    sure = levers(case, SimpleNamespace(drivers=(), break_evens=found.money.break_evens))
    assert len(sure) == 8 and len({lever.name for lever in sure}) == 8


def test_a_changed_input_moves_its_range_in_proportion_and_nothing_else():
    """Likely as typed, ends in the same proportion up to the largest value, source kept; a pattern's own in its row."""
    case, _ = saved()
    code = case.patterns[1].pattern
    money = replace(case.money, hours_saved_paid=Range(low=0.6, likely=0.8, high=0.9, source="HR"))
    new = changed_case(replace(case, money=money), {"hours_saved_paid": 0.96, f"molds_per_year.{code}": 1_000.0})
    paid = new.money.hours_saved_paid
    assert (paid.likely, paid.high, paid.source) == (0.96, 1.0, "HR") and paid.low == pytest.approx(0.72)
    assert new.patterns[1].molds_per_year.likely == 1_000.0
    assert (new.patterns[0], new.patterns[2:]) == (case.patterns[0], case.patterns[2:])
    assert replace(new.money, hours_saved_paid=money.hours_saved_paid) == money
    known = changed_case(replace(case, money=replace(money, setter_price=Range.exactly(9.0))), {"setter_price": 7.0})
    assert known.money.setter_price == Range.exactly(7.0)


def test_the_live_answer_is_that_of_the_command_on_the_changed_case(tmp_path, capsys):
    """A dearer setter and another volume: `coreset assess` on the folder says the same, figure by figure."""
    case, before = saved()
    values = {"setter_price": 205_000.0, "molds_per_year.VB24": 50_000.0}
    changed = changed_case(case, values)
    now = answered(changed, **FEW)
    write(changed, tmp_path / "changed")
    sizes = [text for name, size in FEW.items() for text in (f"--{name}", str(size))]
    with pytest.raises(SystemExit, match="0"):
        main(["assess", str(tmp_path / "changed"), "--json", "--quiet", *sizes])
    told = json.loads(capsys.readouterr().out)
    option = now.money.alternatives[0]
    assert told["decision"]["verdict"] == decide(now).level
    assert told["money"]["npv"] == pytest.approx(option.npv.mean, rel=1e-12)
    assert told["money"]["payback_years"] == pytest.approx(option.payback_years, rel=1e-12)
    assert told["money"]["chance_npv_positive"] == option.chance_npv_positive
    worse = changed_figures(now, before)
    assert [one.better for one in worse] == [-1, -1, -1] and all(one.difference for one in worse)
    assert [one.difference for one in changed_figures(before, before)] == ["", "", ""]
    assert "185000 \N{RIGHTWARDS ARROW} 205000" in changes_in_words(levers(case, before.money), values)
