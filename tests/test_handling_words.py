"""Handling: sentences, workings, charts and the page say what was calculated."""

import json
import re
from types import SimpleNamespace

import pytest
from handling_cases import case, lift, standard

from coreset.bodywork.applicable_method import fittings
from coreset.bodywork.report.working import working_of_fitting, working_of_workload
from coreset.bodywork.report.workload import energy_sentence, heat_sentence
from coreset.bodywork.workload import workloads
from coreset.case import Place
from coreset.lifting import buildable, controls, redesign, scope
from coreset.lifting import lever_ranges as ranges
from coreset.lifting.apply_change import kept
from coreset.lifting.bands import bands
from coreset.lifting.charts import indices as charts
from coreset.lifting.charts.side_view import side_view
from coreset.lifting.en_iso import referred_indices
from coreset.lifting.exposure import compared, shift
from coreset.lifting.infrequent import seldom
from coreset.lifting.job import index_at, job_of
from coreset.lifting.job_status import job_statuses
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.pace_and_mix import curves, job_mix, rotation
from coreset.lifting.report import exposure as crew
from coreset.lifting.report import redesign as more
from coreset.lifting.report import sentences as words
from coreset.lifting.report import status
from coreset.lifting.report.composite_working import working_of_composite, working_of_variable
from coreset.lifting.report.measures import measure_rows
from coreset.lifting.report.task_table import plain_rows, table_row, task_rows
from coreset.lifting.report.uncertainty import sure_rows, sureness_sentence
from coreset.lifting.report.working import working_of
from coreset.lifting.screen import screen
from coreset.lifting.task_values import binding_of, index_of, task_at
from coreset.lifting.uncertainty import spreads, sureness
from coreset.text import catalogue, say

LIFTS = (
    lift(),
    lift(task="second", horizontal_destination=40.0, mass=6.0),
    lift(task="mask", method="core setter", horizontal_destination=35.0, lifts_per_mold=2.0),
    lift(task="brush", hands=1, mass=1.0, effort_borg=3.0, exertion_s=1.0),
    lift(task="far", core="", mass=5.0, horizontal_destination=70.0, pattern="P2", frequency_per_min=1.0),
    lift(task="rack", core="", mass=12.0, lifts_per_mold=0.0, lifts_per_run=30.0),
)
STANDARDS = (standard(60), standard(24, "core setter"))
CASE = case(*LIFTS, place=Place(wet_bulb=24, globe=34, humidity_pct=30))
SCREENED = screen(CASE, STANDARDS)


def test_the_answer_names_the_worst_task_and_what_binds_it():
    """One sentence: how many are above the limit, which is worst, why; then what has no number, and why."""
    text = words.answer(SCREENED, limit=1.0)
    assert (
        "1 of 6 lifts are beyond the equation's limits (RWL = 0), redesign before use: P2 · far" in text
        and "reach is beyond the limit" in text
    )
    assert re.search(r"Above an index of 1.0: \d of 5 rated tasks", text)
    assert "In 1 tasks the index is a lower limit, because it is lifted with one hand" in text
    assert words.answer(()) == "No handling task is described yet, so nothing can be screened."
    within = screen(case(lift(mass=1.0)), STANDARDS)
    assert words.answer(within).startswith("Above an index of 1.0: none of 1 rated tasks")


def test_every_code_has_its_words():
    """Reasons, limits, measures and methods that the room can give all have a sentence."""
    texts = catalogue()
    slip = scope.slips(units="us", mass=0, horizontal=1, vertical=-1, frequency_per_min=-1, angle_deg=-1)
    slip += scope.slips(units="us", mass=999, horizontal=999, vertical=999, frequency_per_min=99, angle_deg=181)
    slip += scope.slips(
        units="us", mass=1, horizontal=9, vertical=9, frequency_per_min=1, angle_deg=1, core_depth=0
    ) + scope.slips(units="us", mass=1, horizontal=9, vertical=9, frequency_per_min=1, angle_deg=1, core_depth=41)
    codes = {*slip, "no_standard", "no_mass", "load_limit"}
    codes |= {"reach_limit", "height_limit", "travel_limit", "angle_limit", "frequency_limit"}
    codes |= {"hoist", "one_handed", "two_persons", "seated", "restricted", "unstable", "slippery", "fast"}
    codes |= {"carrying", "over_8_h", "hot", "cold", "left_out", "no_pace"}
    assert len(slip) == 12
    for code in codes:
        assert f"handling.why_not.{code}" in texts, code
    for code in scope.TOO_MUCH:
        assert f"handling.limit.{code}" in texts, code


def test_a_band_comes_after_its_number_with_its_place_and_status():
    """The scheme's own words; a band from memory says so."""
    assert status.band_text(1.2) == "2 of 3: likely an increased risk for some fraction of the workforce"
    assert status.band_text(1.2, "2021") == "2 of 5: low (band from memory)"
    assert status.band_text(None) == ""
    rows = task_rows(SCREENED, "metric")
    columns = list(plain_rows(rows)[0])
    assert columns.index("LI") < columns.index("Band")
    assert rows[0]["Band"].startswith("RWL 0: the reach") and rows[-1]["Band"].startswith(
        "not proven to be in the lowest"
    )


def test_limits_of_the_result_are_told():
    """Humidity, and lifts of a set-up that may come all together."""
    told = " ".join(words.limits_of(SCREENED))
    assert "humidity is outside" in told and "spread over the run" in told


def test_the_working_of_a_lift_multiplies_to_its_result():
    """Figures put in give RWL and LI again."""
    posture = Posture(horizontal=50, vertical=70, travel=20, frequency_per_min=2, duration="long")
    lines = {line.symbol: line for line in working_of(posture, rate(posture), mass=10)}
    product = 1.0
    for factor in lines["RWL"].numbers.split(" × "):
        product *= float(factor)
    assert product == pytest.approx(lines["RWL"].value, abs=1e-3)
    top, bottom = lines["LI"].numbers.split(" / ")
    assert float(top) / float(bottom) == pytest.approx(lines["LI"].value, abs=1e-3)
    assert {line.source for line in lines.values()} == {"waters1994"}


def test_the_working_of_a_composite_adds_up():
    """FILI from loads and limits, the worst STLI, what each task adds, and their sum."""
    job = job_of(CASE, pattern="P1", method="manual")
    found = index_at(job, 60)
    lines = working_of_composite(job, found)
    parts = [float(x) for x in lines[-1].numbers.split(" + ")]
    assert sum(parts) == pytest.approx(lines[-1].value, abs=1e-3) and lines[-1].value == found.index
    for line in lines[:2]:
        top, bottom = (float(x) for x in line.numbers.split(" / "))
        assert top / bottom == pytest.approx(line.value, abs=1e-3)
    summed = [line for line in lines if line.symbol not in {"FILI", "STLI"}]
    assert {line.status for line in summed} == {"memory"} and {line.status for line in lines[:2]} == {"reprinted"}


def test_the_working_of_a_variable_index_adds_up():
    """Mean FILI and share of each category, the worst STLI, what each further one adds, and their sum."""
    mixed = job_mix(CASE, STANDARDS, method="manual")
    for variable in (mixed.variable, mixed.gridded):
        lines = working_of_variable(variable)
        parts = [float(x) for x in lines[-1].numbers.split(" + ")]
        assert sum(parts) == pytest.approx(lines[-1].value, abs=1e-3) and lines[-1].value == variable.index
        shares = [float(line.numbers.split(" ")[0]) for line in lines if line.symbol == "FILI"]
        assert sum(shares) == pytest.approx(100, abs=0.2) and lines[-1].symbol == "VLI"
        assert "memory" in {line.status for line in lines}


def test_the_workings_beside_the_lifting_equation_give_their_values():
    """Energy, heat and hand work: the figures put in give the value that is shown."""
    energy, terms, watts, limit, _, wbgt, heat = working_of_workload(workloads(CASE, STANDARDS)[0])
    assert sum(float(x) for x in terms.numbers.split(" + ")) == pytest.approx(terms.value, abs=2e-3)
    assert energy.numbers == "(1.0 + 0.6 + 2.5) × 1.000" and energy.value == pytest.approx(4.1)
    for line in (watts, limit):
        first, second = (float(x) for x in line.numbers.split(" × "))
        assert first * second == pytest.approx(line.value, rel=1e-3)
    first, second = (float(x) for x in wbgt.numbers.split(" + "))
    assert first + second == pytest.approx(wbgt.value)
    assert heat.numbers.startswith("59.9 - 14.1 log10 286")
    brush = next(one for one in fittings(CASE, SCREENED) if one.task == "brush")
    for line in working_of_fitting(brush):
        product = 1.0
        for factor in line.numbers.split(" × "):
            product *= float(factor)
        assert product == pytest.approx(line.value, rel=1e-3)
    shared = case(lift(persons=2, mass=12.0, carry=4.0))
    lines = working_of_fitting(fittings(shared, screen(shared, STANDARDS))[0])
    assert [(line.status, line.source) for line in lines] == [("reprinted", "hse2004"), ("memory", "iso11228_2003")]
    top, bottom = lines[0].numbers.split(" / ")
    rwl, factor = (float(x) for x in bottom.strip("()").split(" × "))
    assert float(top) / (rwl * factor) == pytest.approx(lines[0].value, rel=1e-3)


def test_charts_are_complete_and_say_what_they_show():
    """Each chart has a title that states the finding and a text alternative, and no blank is left unfilled."""
    found = curves(CASE, STANDARDS, "P1")
    task = task_at(CASE, LIFTS[0], SCREENED[0])
    drawn = [
        charts.all_tasks(task_rows(SCREENED, "metric"), ["manual", "core setter"]),
        charts.pace(found),
        charts.ideal_effects(more.ideal_rows(redesign.ideal_multipliers(task)), SCREENED[0].li, 1.0),
        charts.mix(job_mix(CASE, STANDARDS, method="manual"), ("manual", "core setter")),
        side_view(task.values, "metric"),
    ]
    for chart in drawn:
        spec = chart.to_dict()
        assert spec["title"] and spec["description"] and "{" not in spec["description"]
        json.dumps(spec)


def test_the_side_view_is_to_scale():
    """A centimetre along the floor is as long as a centimetre of height, at both ends."""
    for panel in side_view(task_at(CASE, LIFTS[0], SCREENED[0]).values, "metric").to_dict()["hconcat"]:
        scales = [
            layer["encoding"]["x"]["scale"]["domain"]
            for layer in panel["layer"]
            if "scale" in layer["encoding"].get("x", {})
        ]
        heights = [
            layer["encoding"]["y"]["scale"]["domain"]
            for layer in panel["layer"]
            if "scale" in layer["encoding"].get("y", {})
        ]
        across, up = scales[0][1] - scales[0][0], heights[0][1] - heights[0][0]
        assert panel["width"] / across == pytest.approx(panel["height"] / up)


def test_rows_and_sentences_of_the_other_parts():
    """Pace, redesign, sureness, crew, workload, methods: rows are filled and sentences carry their figures."""
    task = task_at(CASE, LIFTS[0], SCREENED[0])
    rows = more.crossing_rows(curves(CASE, STANDARDS, "P1"))
    assert [row["Method"] for row in rows] == ["manual", "core setter"]
    spans = ranges.allowed(task, ("rack_near", "mask_tilt", "lighter_core"))
    assert set(spans) == {"horizontal_origin", "mask_tilt_deg"}
    found = buildable.redesign_of(task, LIFTS[0], spans, target=0.9 * SCREENED[0].li)
    assert "index then" in more.redesign_sentence(found, "metric", target=1.0)
    none = buildable.redesign_of(task, LIFTS[0], {}, target=0.5 * SCREENED[0].li)
    assert "cannot be reached" in more.redesign_sentence(none, "metric", target=1.0)
    short, margin = more.redesign_parts(none, "metric", target=1.0)
    assert short.startswith("An index of 1.0 cannot be reached") and margin.startswith("Reached means")
    assert len(short) < len(more.redesign_sentence(none, "metric", target=1.0)) / 2
    assert "Variation not entered" in sureness_sentence(sureness(task, LIFTS[0], seed=1))
    varying = sureness(task, lift(horizontal_sd=2.0, measured_error=1.0), seed=1)
    assert "95 % of cycles have an index of" in sureness_sentence(varying)
    assert crew.compare_rows(compared(CASE, STANDARDS), "metric")[0]["For the crew"] in {"better", "worse", "not known"}
    shifts = [shift(CASE, STANDARDS, method=method) for method in ("manual", "core setter")]
    assert len(crew.crew_rows(shifts, "metric")) == 2
    assert "minutes above 1.0: " in crew.minutes_sentence(*shifts)
    assert "WBGT 27.0 °C" in heat_sentence(workloads(CASE, STANDARDS), "metric")
    assert "WBGT 80.6 °F" in heat_sentence(workloads(CASE, STANDARDS), "us")
    says = {row["Task"]: row["What it says"] for row in crew.fitting_rows(fittings(CASE, SCREENED), SCREENED, "metric")}
    assert "Strain Index" in says["P1 · brush"] and says["P1 · set core"].startswith("LI ")
    assert says["P2 · far"].startswith("RWL 0: the reach is beyond")
    counted = crew.fitting_sentence(fittings(CASE, SCREENED))
    assert counted.startswith("Of 6 tasks") and "NIOSH lifting equation 5, hand work (Strain Index) 1" in counted
    mixed = job_mix(CASE, STANDARDS, method="manual")
    assert "variable lifting index by manual" in crew.mix_sentence(mixed, rotation(CASE, STANDARDS, method="manual"))
    assert "of 30 cells in use" in crew.mix_sentence(mixed, SimpleNamespace(index=1.0))
    forbidden = job_mix(case(lift(), lift(task="far", horizontal_destination=70.0)), STANDARDS, method="manual")
    assert "Tasks with RWL = 0 are left out, whatever this index says: 1." in crew.mix_sentence(
        forbidden, SimpleNamespace(index=1.0)
    )
    assert any("national team factor" in row["Yes/no control"] for row in _measures(task))


def _measures(task):
    return measure_rows(controls.whole_measures(task, LIFTS[0]), "metric")


def test_pace_drawn_from_the_standard_widens_the_interval():
    """Resamples of the standard time carry into the index; a task without an index has no spread."""
    pooled = {(one.pattern, one.method): one for one in STANDARDS}
    found = spreads(CASE, SCREENED, pooled, draws=2000, seed=3)
    still = spreads(CASE, SCREENED, {}, draws=2000, seed=3)
    assert found[0].low < SCREENED[0].li < found[0].high
    assert still[0].low == pytest.approx(SCREENED[0].li) == pytest.approx(still[0].high)
    assert [one is None for one in found] == [row.li is None for row in SCREENED]
    rows = task_rows(SCREENED, "metric", spreads=found)
    closed = [row for row in rows if row["high"] is not None]
    assert len(closed) == 4 and all(row["low"] <= row["li"] <= row["high"] for row in closed)


def test_sliders_change_the_index_and_the_case():
    """What the sliders say is what the case then holds."""
    task = task_at(CASE, LIFTS[0], SCREENED[0])
    values = task.values | {"horizontal_destination": 30.0}
    now = controls.moved(task, values, "good")
    assert index_of(now) < index_of(task) and binding_of(now) in {"hm", "fm", "vm"}
    for name in values:
        low, high, step = ranges.slider(name, task)
        assert low <= task.values[name] <= high and step > 0
    changed = kept(CASE, LIFTS[0], task, now, reason="x")
    assert changed.lifts[0].horizontal_destination == 30.0 and changed.lifts[1:] == CASE.lifts[1:]
    assert screen(changed, STANDARDS)[0].li == pytest.approx(index_of(now))


def test_a_case_in_inches_and_pounds_is_shown_in_them():
    """Sliders, side view, sentences and rows of a US case stay in its own units."""
    inches = {"horizontal_origin": 14.0, "vertical_origin": 34.0, "horizontal_destination": 23.0}
    one = lift(**inches, vertical_destination=27.0)
    us = case(one, units="us", mass=25.0)
    found = screen(us, STANDARDS)
    task = task_at(us, one, found[0])
    assert ranges.slider("horizontal_origin", task)[:2] == (4.0, 30.0)
    assert "lb is recommended" in words.task_sentence(found[0], "us")
    assert "Load [lb]" in table_row(found[0], "us")
    total = buildable.redesign_of(task, one, ranges.allowed(task, ())).best
    assert "H from 23 to" in more.change_text(total, "us") and " in; index then" in more.change_text(total, "us")
    assert "reach 14, height 34 in" in side_view(task.values, "us").to_dict()["description"]


def test_energy_says_how_many_are_above_their_limit():
    """The terms lead; by classes 4.1 kcal/min is above 3.1 for a long job with low hands, whatever the load."""
    text = energy_sentence(workloads(CASE, STANDARDS))
    assert text.startswith("By the terms") and "none of the 2 kinds" in text and "2 of 2 are above it" in text


@pytest.mark.slow
def test_the_page_leads_with_its_answer(monkeypatch):
    """The page runs on a case, answer first, all eight parts, no exception."""

    from streamlit.testing.v1 import AppTest

    from coreset.web import navigation, session

    monkeypatch.setattr(session, "case", lambda: CASE)
    pooled = {(one.pattern, one.method): one for one in STANDARDS}
    jobs = job_statuses(CASE, STANDARDS, SCREENED)
    found = SimpleNamespace(handling=SCREENED, standards=STANDARDS, pooled=pooled, jobs=jobs)
    monkeypatch.setattr(session, "assessment", lambda: found)
    monkeypatch.setattr(session, "lifting", lambda: found)
    page = AppTest.from_file(str(navigation.path_of("handling")), default_timeout=60).run()
    assert not page.exception
    assert page.markdown[0].value.startswith("**Lifting jobs")
    assert any("1 of 6\N{NO-BREAK SPACE}lifts are beyond" in said.value for said in page.markdown)
    names = ("check", "tasks", "actions", "pace", "redesign", "crew", "body", "methods")
    of_form = {say("front.group.main"), say("front.group.advanced")}
    assert [tab.label for tab in page.tabs if tab.label not in of_form] == [say(f"handling.page.{n}") for n in names]
    assert "qualified ergonomist" in page.caption[-1].value
    page.selectbox(key="handling_task").set_value("P1 · set core (manual)").run()
    page.slider(key="set core_horizontal_destination").set_value(30.0).run()
    assert not page.exception
    ranges = [one.key for one in page.slider if "_range_" in one.key]
    assert ranges and all(key.startswith("set core_range_") for key in ranges)
    labels = [one.label for kind in ("slider", "number_input", "multiselect") for one in getattr(page, kind)]
    assert len(set(labels)) == len(labels) and sum("Range allowed: " in label for label in labels) == len(ranges)
    assert any("Index" in text.value and "with these values" in text.value for text in page.markdown)
    page.slider(key="set core_mask_tilt_deg").set_value(20.0).run()
    page.slider(key="set core_frequency_per_min").set_value(0.5).run()
    assert not page.exception
    trail = []
    monkeypatch.setattr(session, "keep", lambda changed, why: trail.append((changed, why)))
    page.text_input(key="set core_why").set_value("rack moved").run()
    page.button(key="set core_keep").click().run()
    ((changed, why),) = trail
    assert changed.lifts[0].frequency_per_min == 0.5 and changed.lifts[0].frequency_reason == "rack moved"
    assert "Tilt of the mask or mold from 0 to 20 degrees" in why and why.endswith("rack moved")


def test_seldom_lifts_and_sureness_are_told_per_task():
    """Tasks below 0.1 lifts a minute with both indices; each index with its interval, chances and measuring share."""
    rare = lift(task="mask", lifts_per_mold=0.0, lifts_per_run=6.0, horizontal_sd=2.0, measured_error=1.0)
    a_case = case(rare, lift())
    found = screen(a_case, [standard(30)])
    text = more.seldom_sentence(seldom(a_case, found))
    assert text.startswith("Lifted less than 0.1 times per minute: P1 · mask (") and ", short " in text
    assert more.seldom_sentence(()) == ""
    rows = sure_rows(found, spreads(a_case, found, {}, seed=1))
    by = {row["Task"]: row for row in rows}
    assert " to " in by["P1 · mask"]["95 % of cycles"] and by["P1 · mask"]["Chance above 3 [%]"] == "0"
    assert by["P1 · set core"]["95 % of cycles"] == "variation not entered"
    assert by["P1 · set core"]["Chance above 1 [%]"] == by["P1 · set core"]["Chance above 3 [%]"] == "–"
    assert 0 < int(by["P1 · mask"]["Share of measuring error [%]"]) < 100
    assert by["P1 · set core"]["Share of measuring error [%]"] == "–"
    task = task_at(a_case, rare, found[0])
    assert any("short duration" in next(iter(row.values())) for row in _measures(task))


@pytest.mark.rules("N-l-glossary", "N-l-goal", "N-l-three")
def test_bands_use_the_words_of_the_manual_and_clear_nothing():
    """[waters1994] p. 20: the goal is 1.0 or less, above it an increased risk for some, above 3.0 for nearly all.

    The glossary of the print calls 1.0 hazardous: said once, in Help. No text of any room calls a lift safe.
    """
    assert [band.words for band in bands("1994")] == [
        "1.0 or less: the goal of the manual",
        "likely an increased risk for some fraction of the workforce",
        "nearly all workers at increased risk",
    ]
    texts = catalogue()
    assert [key for key, text in texts.items() if "contradicts itself" in text] == ["glossary.lifting_index_of_1"]
    own = [text for key, text in texts.items() if key.startswith(("handling.", "glossary.lifting"))]
    assert len(own) > 300 and not [text for text in own if re.search(r"\b(safe|safely|protected|harmless)\b", text)]
    assert not [key for key, text in texts.items() if re.search(r"\b(safe|safely|harmless|no risk)\b", text, re.I)]
    assert all("pregnancy" in texts[key] for key in ("glossary.mass", "handling.reference.groups"))


def test_factors_of_another_standard_never_pass_for_a_niosh_result():
    """[en1005_2]: its factors are named with whose form and whose factors; the NIOSH index is none."""
    named = [text for key, text in catalogue().items() if key.startswith("handling.") and "EN/ISO" in text]
    assert len(named) >= 2
    for text in named:
        assert "NIOSH form with EN/ISO factors" in text, text
    named += [text for key, text in catalogue().items() if key.startswith("handling.") and "team factor" in text]
    assert len(named) >= 4
    for text in named:
        assert not text.lower().startswith(("li ", "lifting index")) and "RWL" not in text
    for row in crew.referred_rows(referred_indices(1.0)):
        assert "LI" not in row and "Index, NIOSH form with this mass" in row
    shared = screen(case(lift(persons=2)), STANDARDS)[0]
    assert shared.li is None and shared.rwl is None and not shared.applies
    plain, one_hand = (screen(case(lift(hands=hands)), STANDARDS)[0] for hands in (2, 1))
    assert one_hand.li == plain.li and one_hand.at_least == ("one_handed",)
