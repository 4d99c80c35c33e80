"""Words, tables, charts and workings of studies: every key is there, every figure adds up, every chart is described."""

import ast
import operator
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from coreset.bodywork.report import rest as say_rest
from coreset.bodywork.static_hold import holds
from coreset.bodywork.workload import workloads
from coreset.rounding import fixed
from coreset.store.folder import read
from coreset.study import known_paces
from coreset.study.charts import series as charts
from coreset.study.charts import standards as standard_charts
from coreset.study.charts.rating_test import rater_check
from coreset.study.charts.standard_data import standard_data as draw_data
from coreset.study.descriptive import describe
from coreset.study.distribution_fit import fits
from coreset.study.drivers import drivers
from coreset.study.estimate import data
from coreset.study.method_pairs import pairs
from coreset.study.pooling import by_pattern, standards
from coreset.study.report import machines, objective_rating, rating_test, sentences, standard_data, tables
from coreset.study.report.working import of_needed, of_pooled, of_standard, of_units
from coreset.study.run_order import in_order
from coreset.study.series import every_series
from coreset.text import say

CASE = Path(__file__).parents[1] / "studies" / "ostrander_bend"


@cache
def demo():
    """Case, standards, pairs of the invented foundry."""
    case = read(CASE)
    timed = standards(case, resamples=300)
    return case, timed, pairs(case, timed, by_pattern(timed))


@pytest.mark.parametrize("place", range(10))
def test_every_study_of_the_demo_can_be_told(place):
    """Each study and each element of it: series, order, shape, words and tables without a hole."""
    case, timed, _ = demo()
    study = case.studies[place]
    every = every_series(study)
    for series in every:
        found = in_order(series.kept)
        said = [
            *sentences.order_findings(series, found), *sentences.needed_sentences(series, every),
            *sentences.odd_sentences(series, timed[place]),
        ]  # fmt: skip
        assert all(sentence and "{" not in sentence for sentence in said)
        assert tables.tests(found)
        assert tables.forms(series)
        assert tables.described(describe(series.kept, resamples=200))
    tables.odd(every[0])
    assert not every[0].used.all() or study.study != "VB24-H1"


def test_the_demo_is_no_walkover():
    """Faster for some patterns; the light core is not: what its cycles say, other operators could make up."""
    case, _, found = demo()
    verdicts = {pair.pattern: pair.verdict for pair in found}
    assert verdicts.pop("PC03") == "unclear" and set(verdicts.values()) == {"faster"}
    (light,) = [pair for pair in found if pair.pattern == "PC03"]
    assert light.crew.low < 0 < light.crew.high and "other operators, the difference is 3.4 s (95 %: 0.6" in " ".join(
        sentences.verdict_more(light, case)
    )
    assert "time more operators" in sentences.verdict(light, case)
    for pair in found:
        if pair is light:
            continue
        assert sentences.verdict(pair, case).startswith(f"{pair.pattern}: core setter is")
        low, high = map(float, re.search(r"95 %: ([\d.]+) to ([\d.]+)", sentences.verdict(pair, case)).groups())
        assert 0 < low < abs(pair.crew.value) < high, "faster by 3 to 5 s, not by -5 to -3"
        assert len(sentences.verdict_more(pair, case)) >= 4
    pooled = by_pattern(demo()[1])
    told = {pair: " ".join(sentences.crew_sentences(row)) for pair, row in pooled.items()}
    assert "One operator was timed" in told["HB10", "manual"] and told["MF15", "core setter"] == ""
    assert f"The crew: {pooled['HB10', 'manual'].standard_low_s:.1f} to" in told["HB10", "manual"]
    for pair in found:
        assert len(tables.compared(pair.found)) == 8
    assert "difference not proven yet for PC03" in sentences.cycles_answer(found, case)


@pytest.mark.parametrize(("low", "said"), [(-0.04, "−0.04 to 8.09"), (-0.4, "−0.4 to 8.1"), (0.0, "0.0 to 8.1")])
def test_an_interval_that_crosses_nothing_is_seen_to(low, said):
    """Not proven at -0.04 to 8.09 s read "0.0 to 8.1", as if proven: an end keeps the digit that has its sign."""
    case, _, found = demo()
    (light,) = [pair for pair in found if pair.pattern == "PC03"]
    near = replace(light, crew=replace(light.crew, low=low, high=8.09))
    assert f"95 %: {said} s" in sentences.verdict(near, case).replace("\N{NO-BREAK SPACE}", " ")


def test_workings_redo_the_figures():
    """Each working's figure is the page's: elements add to the standard, forms of readings needed agree."""
    case, timed, _ = demo()
    for row in timed:
        lines = of_standard(row)
        if row.estimated:
            assert not lines
            continue
        mold = next(line for line in lines if line.formula == "S = Σ S")
        assert sum(float(part) for part in mold.numbers.split(" + ")) == pytest.approx(row.standard_s, abs=0.004)
        assert {line.status for line in lines} <= {"", "reprinted", "memory"}
    for line in of_needed(every_series(case.studies[0])[0]):
        assert line.value > 0 or line.symbol == "r₁"


def test_tables_of_a_standard():
    """Elements, allowances with their sum, time balance and other units."""
    case, timed, _ = demo()
    for row in timed:
        assert len(tables.elements(row)) == len(row.elements)
        assert len(tables.in_units(case, row)) == 5
        assert tables.allowances(row)[-1]["percent"]
        assert bool(tables.balance(row)) != row.estimated
        assert sentences.standard_sentences(row, None)
        assert sentences.allowance_sentences(row)
        assert sentences.balance_sentence(row)
    assert len(tables.standards(timed)) == len(timed)


def test_charts_state_their_finding_and_have_words():
    """Each chart has a title, a description, units on its axes, and is sound as a specification."""
    case, timed, found = demo()
    series = every_series(case.studies[7])[0]
    ordered, fitted = in_order(series.kept), fits(series.kept, draws=99)
    drawn = [
        charts.run_chart(series, ordered), charts.moving_range(series, ordered), charts.histogram(series, fitted),
        charts.precision(series), standard_charts.overview(timed, case), standard_charts.elements(timed[0]),
        standard_charts.densities(found[0], case),
    ]  # fmt: skip
    for chart in drawn:
        spec = chart.to_dict()
        assert spec["title"]
        assert spec["description"]
    assert tables.shapes(fitted)
    assert sentences.shape_sentence(fitted, series.kept).count(".") >= 2
    assert sentences.shape_sentence((), series.kept)


def test_the_raters_words():
    """A check 3 % high throughout: bias, what enters the interval, working that adds up; the next order is another."""
    case, _, _ = demo()
    observer = rating_test.observers(case)[0]
    assert "no rating test" in rating_test.sentences(case, observer)[0]
    asked = rating_test.asked(case, observer, "100-133")
    assert "known_pct" not in str(asked)
    known = [scene.known_pct for scene in known_paces.scenes(asked["seed"])]
    shown = {"seed": asked["seed"], "taken": "2026-03-31T10:00:00"}
    taken = rating_test.with_check(case, observer, "100-133", [1.03 * pace for pace in known], **shown)
    others = rating_test.with_check(taken, observer, "100-133", known, seed=asked["seed"], taken="2026-03-30T09:00:00")
    assert [row.known_pct for row in others.raters[-len(known) :]] == known, "rated as shown, whatever came before"
    said = rating_test.sentences(taken, observer)
    assert said[0].startswith(f"{observer} rates too high by 3.0 %")
    assert "3.0 %" in said[1]
    assert [row["error, %"] for row in rating_test.rating_rows(taken, observer)] == ["3.0"] * 16
    assert [line.value for line in rating_test.working(taken, observer)][3] == pytest.approx(3.0)
    assert rater_check(taken.raters).to_dict()["title"] == "Bias 3.0 %, variation 0.0 %"
    assert rating_test.asked(taken, observer, "100-133")["seed"] != asked["seed"]


def test_rest_stands_side_by_side():
    """Allowance 23 % of the work is 11.2 min of an hour; energy and holding stand beside it, nothing is added."""
    case, timed, _ = demo()
    row = next(r for r in timed if r.study == "HB10-H1")
    loads = workloads(case, timed)
    lines = say_rest.rest_rows(row, loads)
    assert float(lines[0]["min per hour"]) == pytest.approx(60 * 0.23 / 1.23, abs=0.05)
    assert len(lines) >= 3
    assert lines[-1]["after"] == say("study.rest.no_static")
    assert [line.value for line in say_rest.rest_working(row, loads)][0] == pytest.approx(60 * 0.23 / 1.23)


def test_static_holding_is_told_where_a_hold_is_stated():
    """PC03: effort 2 of 10 held 1.5 s; endurance 6.5 min at a fifth of strength; rest redone from the working."""
    case, timed, _ = demo()
    row = next(r for r in timed if (r.pattern, r.method) == ("PC03", "manual"))
    held = holds(case, "PC03", "manual", [row])
    assert [(one.share, one.hold_s) for one in held] == [(0.2, 1.5)]
    endurance, rest = say_rest.rest_working(row, (), held)[-2:]
    assert endurance.value == pytest.approx(6.5)
    by_hand = 3600 / row.standard_s * 1.5 / 60 * 18 * (0.025 / 6.5) ** 1.4 * 0.05**0.5
    assert rest.value == pytest.approx(by_hand, rel=0.01)
    assert (rest.source, rest.status) == ("rohmert1960", "memory")
    assert say_rest.rest_rows(row, (), held)[-1]["min per hour"] == fixed(by_hand, 1)


def test_objective_rating_in_words():
    """0.26 min at 95 % with trunk (8) and both hands alike (18): 26 %, by confirmed rows only."""
    assert list(objective_rating.factors()) == ["amount of body used", "foot pedals", "bimanualness"]
    assert all(code in "ABCDEFGHE2H2" for choices in objective_rating.factors().values() for code in choices)
    lines = objective_rating.working(0.26 * 60, pace_pct=95, codes=("E", "F", "H2"), scale_name="100-133")
    assert [line.value for line in lines] == pytest.approx([26, 0.26 * 60 * 0.95 * 1.26, 95 * 1.26])
    assert "enter 119.7 as the rating" in objective_rating.sentence(lines)
    row = demo()[1][0]
    known = objective_rating.times(row)
    assert known[""] == pytest.approx(sum(value for name, value in known.items() if name))


def test_machines_in_words():
    """[freivalds] l 1.41, m 4.34, w 0.08: 3.86 machines, 3 cost 2.236 and 4 cost 2.235; [stevenson] 4.90 min."""
    given = {"load": 1.41, "machine": 4.34, "away": 0.08, "worker": 10.0, "rate": 20.0}
    assert machines.sentence(**given).startswith("3.86 machines keep both busy; a piece is cheapest with 4")
    rows = machines.machine_rows(**given)
    assert [row["who waits"] for row in rows] == ["operator"] * 3 + ["machines"] * 2
    n, _, three, _, four = machines.working(**given)
    assert n.value == pytest.approx(3.86, abs=0.005)
    assert (three.value, four.value) == (pytest.approx(2.236, abs=0.001), pytest.approx(2.235, abs=0.001))
    for line in (n, three, four):
        assert _results(line.numbers) == pytest.approx(line.value, abs=0.002)
    assert machines.examples()[1]["n′"] == "3.86 / 3.86"
    assert machines.bare_machine()[0].value == pytest.approx(4.90, abs=0.005)
    asked = machines.asked(demo()[0], demo()[1][0])
    assert asked["load"] > 0 and asked["machine"] > 0


def _results(numbers):
    """A formula with its figures put in, as a pocket calculator has it: products, sums, one quotient."""
    tree = ast.parse(numbers.replace("×", "*").replace("−", "-"), mode="eval").body
    does = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv}

    def value(node):
        if isinstance(node, ast.Constant):
            return node.value
        return does[type(node.op)](value(node.left), value(node.right))

    return value(tree)


def test_units_and_set_up_open_into_their_working():
    """Each figure in another unit is redone from its own numbers; pooled studies weigh by their cycles."""
    case, timed, _ = demo()
    row = timed[0]
    shown = [each["value"] for each in tables.in_units(case, row)]
    for line in of_units(case, row, set_up_min=7.0, run_molds=40):
        assert _results(line.numbers) == pytest.approx(line.value, rel=0.001)
    assert len(shown) == len(of_units(case, row, set_up_min=7.0, run_molds=40))
    pooled = by_pattern(timed)["VB24", "manual"]
    line, *ends = of_pooled(pooled, timed)
    assert _results(line.numbers) == pytest.approx(pooled.standard_s, abs=0.001)
    assert [end.value for end in ends] == pytest.approx([pooled.standard_low_s, pooled.standard_high_s], rel=1e-12)
    alone = by_pattern(timed)["HB10", "manual"]
    assert [end.value for end in of_pooled(alone, timed)] == [alone.standard_low_s, alone.standard_high_s]


def test_levelling_in_words():
    """Skill C2, effort C1, conditions D, consistency E make 1.06, with the sum shown."""
    said = say_rest.levelled({"skill": "C2", "effort": "C1", "conditions": "D", "consistency": "E"})
    assert said.startswith("Leveling factor 1 + 0.03 + 0.05 + 0.00 \N{MINUS SIGN} 0.02 = 1.06")


def test_standard_data_in_words_and_picture():
    """Both methods of the demo: each element with what it follows, its range, a chart; a choice of one's own holds."""
    case, timed, _ = demo()
    pooled = by_pattern(timed)
    found = data(case, pooled)
    assert [one.method for one in found] == ["manual", "core setter"]
    for one in found:
        assert len(standard_data.driver_rows(one, case)) == len(one.elements)
        for e in one.elements:
            assert standard_data.sentence(e, case).lower().startswith(e.element)
            assert draw_data(one, e, case).to_dict()["title"].lower().startswith(e.element)
            assert len(standard_data.tried(e, case)) >= 4
    assisted = found[1]
    assert "MF15" in standard_data.notes(assisted, case)[1]
    mask = assisted.elements[0]
    own = standard_data.with_driver(case, "core setter", mask, "mass")
    again = data(own, pooled)[1].elements[0]
    assert (again.fitted.drives, again.stated) == (("mass",), True)
    assert "(stated)" in standard_data.driver_rows(data(own, pooled)[1], own)[0]["follows"]
    assert standard_data.with_driver(own, "core setter", again, "") == case


def test_the_working_of_an_estimate_adds_up():
    """MF15 was not timed with the setter: its elements add to the standard, the ends are those of the prediction."""
    case, timed, _ = demo()
    row = next(r for r in timed if r.estimated)
    lines = standard_data.working(data(case, by_pattern(timed)), drivers(case, row.pattern, row.method), row.method)
    total = next(line for line in lines if line.symbol == "S")
    assert total.value == pytest.approx(row.standard_s)
    assert sum(float(part) for part in total.numbers.split(" + ")) == pytest.approx(row.standard_s, abs=0.005)
    assert lines[-2].value < row.standard_s < lines[-1].value
    for line in lines[: len(row.elements)]:
        parts = [float(x) for term in line.numbers.split(" + ") for x in term.replace("−", "-").split(" × ")]
        told = parts[0] + sum(a * b for a, b in zip(parts[1::2], parts[2::2], strict=True))
        assert told == pytest.approx(line.value, abs=0.02)
