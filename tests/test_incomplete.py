"""A case at any stage of being incomplete leaves and comes back the same; one poor study never blocks the others."""

import dataclasses
import sys
import tempfile
import zipfile
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.assess import assess
from coreset.brief.case_status import empty_case
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html
from coreset.brief.screen import screen
from coreset.brief.warnings import warnings
from coreset.case import Allowances, Element, Method, Readings
from coreset.cli.command import main
from coreset.cli.outputs import write_case
from coreset.errors import StudyError
from coreset.store import folder
from coreset.study.comparison import compare
from coreset.study.descriptive import describe
from coreset.study.pooling import by_pattern, standards
from coreset.web.shelf import demo_folder


@cache
def demo():
    """The invented foundry."""
    return folder.read(demo_folder())


def study_at(study, stage):
    """A study at a stage of its making: header alone, elements, some readings, all."""
    if stage == "whole":
        return study
    count = int(stage) if stage.isdigit() else 0
    elements = () if stage == "header" else study.elements
    rows = list(study.readings)[:count]
    return dataclasses.replace(study, elements=elements, readings=Readings.of(rows), corrections=())


@st.composite
def stages(draw):
    """The demo with parts that are not there yet, and what somebody has only named."""
    case, bit = demo(), st.booleans()
    patterns = case.patterns if draw(bit) else ()
    methods = tuple(
        dataclasses.replace(method, steps=method.steps if draw(bit) else ()) for method in case.methods if draw(bit)
    )
    bare = Method(method="bare", steps=())
    methods += (bare,) if draw(bit) else ()
    allowances = case.allowances if draw(bit) else ()
    allowances += (Allowances(name="begun", basis="normal"),) if draw(bit) else ()
    cores = case.cores if patterns and draw(bit) else ()
    studies = []
    for study in case.studies if patterns else ():
        stage = draw(st.sampled_from(["none", "none", "header", "elements", "1", "2", "7", "whole"]))
        if stage == "none":
            continue
        made = study_at(study, stage)
        if not cores:
            made = dataclasses.replace(made, elements=tuple(dataclasses.replace(e, core="") for e in made.elements))
        studies.append(dataclasses.replace(made, allowances=study.allowances if allowances and draw(bit) and
                                           study.allowances in {a.name for a in allowances} else ""))  # fmt: skip
    codes = {method.method for method in methods}
    known = {case.baseline, case.candidate}
    lifts = case.lifts if cores and known | {lift.method for lift in case.lifts} <= codes and draw(bit) else ()
    steps = {p for m in methods for s in m.steps for p in s.patterns}
    return dataclasses.replace(
        case,
        patterns=patterns,
        methods=methods if patterns or not steps else tuple(dataclasses.replace(m, steps=()) for m in methods),
        baseline=case.baseline if not codes or case.baseline in codes else min(codes),
        candidate=case.candidate if not codes or case.candidate in codes else min(codes),
        allowances=allowances,
        cores=cores,
        lifts=lifts,
        scrap=(),
        drivers=(),
        studies=tuple(s for s in studies if s.method in codes or not codes),
    )


def through_folder(case, work):
    """The case as it comes back from a folder."""
    folder.write(case, work / "case")
    return folder.read(work / "case")


def through_zip(case, work):
    """The case as it comes back from an archive."""
    write_case(case, work / "case.zip")
    with zipfile.ZipFile(work / "case.zip") as pack:
        pack.extractall(work / "unpacked")
    return folder.read(work / "unpacked" / "case")


@settings(max_examples=20, deadline=None)
@given(stages())
def test_an_incomplete_case_comes_back_the_same(case):
    """Whatever is not there yet, folder and archive give back an equal case, which `check` takes."""
    with tempfile.TemporaryDirectory() as work:
        for through in (through_folder, through_zip):
            back = through(case, Path(work))
            assert back.methods == case.methods
            assert folder.plain(back) == folder.plain(case)


@pytest.mark.parametrize("methods", [(), (Method(method="manual", steps=()),), (Method(method="by, hand", steps=()),)])
def test_what_was_only_begun_is_not_dropped(methods, tmp_path):
    """A method without steps, with nothing but its name, is a method when it comes back."""
    case = dataclasses.replace(
        empty_case("begun"), methods=methods, baseline=methods[0].method if methods else "manual",
        candidate=methods[0].method if methods else "core setter",
    )  # fmt: skip
    assert through_folder(case, tmp_path) == case == through_zip(case, tmp_path)


def test_a_study_before_its_method_is_described(tmp_path):
    """Timing can begin with the method's name alone, and before the steps agree with the elements."""
    case = demo()
    study = dataclasses.replace(study_at(case.studies[0], "elements"), allowances="", method=case.baseline)
    begun = dataclasses.replace(case, methods=(), lifts=(), scrap=(), drivers=(), allowances=(), studies=(study,))
    assert through_folder(begun, tmp_path) == begun
    renamed = dataclasses.replace(study, elements=(Element(name="all of it"),))
    other = dataclasses.replace(case, studies=(renamed,), drivers=())
    assert through_folder(other, tmp_path) == other


def test_check_names_a_step_that_no_study_has(tmp_path, capsys):
    """A slip in the element of a step is no fault, but `check` names it with what was perhaps meant."""
    folder.write(demo(), tmp_path / "case")
    head = tmp_path / "case" / "case.toml"
    head.write_text(head.read_text().replace('element = "set cores"', 'element = "set core"', 1))
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(["check", str(tmp_path / "case")]))
    told = capsys.readouterr()
    assert ended.value.code == 0 and "'set core'" in told.err and "'set cores', perhaps" in told.err


def with_first(study):
    """The demo with another first study."""
    return dataclasses.replace(demo(), studies=(study, *demo().studies[1:]))


def poor(kind):
    """The demo with a first study that is hardly one."""
    study = demo().studies[0]
    if kind == "one cycle":
        rows = [row for row in study.readings if row.cycle == min(study.readings.cycle)]
        return with_first(dataclasses.replace(study, readings=Readings.of(rows), corrections=()))
    if kind == "unlike":
        old, new = study.elements[0].name, "something else"
        elements = (dataclasses.replace(study.elements[0], name=new), *study.elements[1:])
        names = tuple(new if name == old else name for name in study.readings.element)
        readings = dataclasses.replace(study.readings, element=names)
        return with_first(dataclasses.replace(study, elements=elements, readings=readings, corrections=()))
    return with_first(study_at(study, kind))


@pytest.mark.parametrize(
    "kind",
    ["unlike", "2", *(pytest.param(kind, marks=pytest.mark.slow) for kind in ("one cycle", "1", "elements", "header"))],
)
def test_one_poor_study_never_blocks_the_rest(kind):
    """The assessment, its screen and its brief answer for every other study, and say what was left out."""
    case = poor(kind)
    found = assess(case, resamples=200, draws=1000, replications=20)
    first = case.studies[0]
    others = {(s.pattern, s.method) for s in case.studies[1:]} - {(first.pattern, first.method)}
    assert others <= {(row.pattern, row.method) for row in found.mold_cycles}
    assert others <= set(found.pooled)
    assert screen(found)
    assert html(found, pictures(found), full=True)
    if kind == "unlike":
        told = [line for line in warnings(found.warnings) if "left out" in line]
        assert len(told) == 1 and first.pattern in told[0] and demo().studies[0].elements[0].name in told[0]


def test_no_interval_of_a_time_begins_below_zero():
    """Few and scattered times: mean, scatter, quantiles, standards, pooled standards and ratios begin at 0 or above."""
    rng = np.random.default_rng(5)
    for n in (4, 5, 8, 2000):
        for scale in (0.5, 2.0, 5.0):
            times = rng.lognormal(0, scale, n)
            found = describe(times, resamples=400)
            ends = [found.mean_interval, found.sd_interval, found.cv_interval]
            ends += [(low, high) for _, low, high in found.quantiles.values()]
            assert all(0 <= low <= high for low, high in ends), (n, scale, ends)
            against = compare(times, rng.lognormal(0, scale, n), resamples=400)
            assert against.mean_ratio.low >= 0 and against.p90_ratio.low >= 0
            assert np.isfinite([against.mean_ratio.high, against.p90_ratio.high]).all()


def test_studies_that_disagree_pool_above_zero():
    """Two studies of one pattern and method, far apart: the pooled interval begins at 0 or above."""
    study = demo().studies[0]
    slow = dataclasses.replace(
        study, study="slow", corrections=(),
        readings=dataclasses.replace(study.readings, reading_s=tuple(40 * t for t in study.readings.reading_s)),
    )  # fmt: skip
    case = dataclasses.replace(demo(), studies=(study, slow))
    pooled = by_pattern(standards(case, resamples=500))[study.pattern, study.method]
    assert 0 <= pooled.standard_low_s <= pooled.standard_s <= pooled.standard_high_s
    assert pooled.draws_s.min() >= 0


def test_a_difference_may_be_negative():
    """The cut is for times, not for differences of times."""
    found = compare([10, 11, 9, 10, 12], [5, 6, 4, 5, 6], resamples=400)
    assert found.mean_difference.low < found.mean_difference.high < 0


ONE_STUDY = {
    "case.toml": 'title = "one study"\nunits = "metric"\ncurrency = "USD"\n',
    "times/T1.toml": 'method = "manual"\npattern = "P1"\nobserver = "A"\noperator = "17"\ntiming = "snapback"\n'
    '[[element]]\nname = "set core"\n[[element]]\nname = "close mold"\n',
    "times/T1.csv": "cycle,element,reading_s\n"
    + "".join(f"{c},set core,{11 + c % 3}\n{c},close mold,{5 + c % 2}\n" for c in range(1, 13)),
}


def one_study(work, **more):
    """A folder with one study of twelve cycles and, by file name, whatever else is given."""
    for name, content in (ONE_STUDY | more).items():
        path = work / "case" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content)
    return work / "case"


def test_a_standard_needs_a_study_and_nothing_else(tmp_path):
    """No patterns, prices, methods, lifts or allowances: the mean of the readings is the standard, and no decision."""
    case = folder.read(one_study(tmp_path))
    found = assess(case, resamples=200)
    [standard] = found.standards
    assert standard.standard_s == pytest.approx(12 + 5.5)
    assert found.money is None and found.line == () and "17.5" in screen(found)
    assert html(found, pictures(found), full=True)
    assert through_folder(case, tmp_path / "again") == case == through_zip(case, tmp_path / "again")


def test_check_says_what_is_missing_for_which_answer(tmp_path, capsys):
    """One study: nothing is refused; each further answer names what it needs; the demo lacks nothing."""
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(["check", str(one_study(tmp_path))]))
    said = capsys.readouterr().out
    assert ended.value.code == 0 and "12" not in said.split("No errors")[0]
    for answer, what in {
        "standard time": "allowance set for T1",
        "lifting status": "patterns.csv for P1",
        "line": "steps of manual and core setter",
        "decision": "price of the setter",
    }.items():
        assert any(answer in line and what in line for line in said.splitlines()), (answer, said)
    with pytest.raises(SystemExit):
        sys.exit(main(["check", str(demo_folder())]))
    assert "Missing" not in capsys.readouterr().out


def test_a_study_of_an_unlisted_pattern_or_method_is_told_not_refused(tmp_path, capsys):
    """Perhaps a slip, so the near name is said; the other studies and its own standard stand."""
    patterns = "pattern,molds_per_year,runs_per_year\nP11,4000,20\n"
    place = one_study(tmp_path, **{"patterns.csv": patterns})
    head = place / "times" / "T1.toml"
    head.write_text(head.read_text().replace('"manual"', '"manuall"'))
    with pytest.raises(SystemExit):
        sys.exit(main(["check", str(place)]))
    told = capsys.readouterr().err
    assert "'P11', perhaps" in told and "'manual', perhaps" in told
    found = assess(folder.read(place), resamples=200)
    assert [row.pattern for row in found.standards] == ["P1"]
    assert any("not listed" in line and "T1" in line for line in warnings(found.warnings))


def test_half_of_the_prices_is_a_slip(tmp_path):
    """A case may have no prices; one that begins to state them states those that nobody may assume."""
    head = ONE_STUDY["case.toml"] + "[money]\nsetter_price = 100000\n"
    with pytest.raises(StudyError, match="wage of one operator"):
        folder.read(one_study(tmp_path, **{"case.toml": head}))
