"""Cycles and Standard: the answer first, then picture, tables and working; an empty case says what to do."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import pytest

from coreset.store.folder import read
from coreset.study.method_pairs import pairs
from coreset.study.pooling import by_pattern, standards
from coreset.text import say

ROOT = Path(__file__).parents[2]


@cache
def demo():
    """The invented foundry with its standards only."""
    case = read(ROOT / "studies" / "ostrander_bend")
    timed = standards(case, resamples=2_000)
    return SimpleNamespace(case=case, seed=case.seed, standards=timed, counting=timed, pooled=by_pattern(timed))


def shown(name, monkeypatch, case, found):
    """A page run by itself with the open case replaced."""
    from streamlit.testing.v1 import AppTest

    from coreset.web import navigation, session

    monkeypatch.setattr(session, "case", lambda: case)
    monkeypatch.setattr(session, "assessment", lambda: found)
    page = AppTest.from_file(str(navigation.path_of(name)), default_timeout=60).run()
    assert not page.exception, page.exception
    return page


def said(page):
    """The first sentence as it reads, without the marks that keep it from being taken for markup."""
    return page.markdown[0].value.replace("\\", "").replace("\N{NO-BREAK SPACE}", " ")


def test_cycles_leads_with_which_method_is_faster(monkeypatch):
    """Faster for some patterns; for the light core the cycles timed are slower, but the crew may not be."""
    page = shown("cycles", monkeypatch, demo().case, demo())
    first = said(page)
    assert first.startswith("**Against manual, core setter is faster for ")
    assert first.endswith("difference not proven yet for PC03.**")
    known = demo()
    (light,) = (one for one in pairs(known.case, known.counting, known.pooled) if one.pattern == "PC03")
    assert light.found.verdict == "slower" and light.crew.low < 0 < light.crew.high
    labels = [tab.label for tab in page.tabs]
    assert say("study.cycles.tab_needed") in labels
    assert say("front.working") not in [fold.label for fold in page.expander], "a hidden tab is not calculated"
    for label in labels:
        page.session_state["cycles_tab"] = label
        page.run()
        assert not page.exception, page.exception
        if label == say("study.cycles.tab_needed"):
            assert say("front.working") in [fold.label for fold in page.expander]


def test_broken_off_tries_are_told_with_the_fits(monkeypatch):
    """A study with three tries broken off: how many they are and how they entered, and why there is no p value."""
    case = demo().case
    study = next(s for s in case.studies if s.study == "HB10-H1")
    place = [i for i, name in enumerate(study.readings.element) if name == "set cores"][3:6]
    marks = tuple("failed" if i in place else mark for i, mark in enumerate(study.readings.mark))
    broken = replace(study, readings=replace(study.readings, mark=marks))
    changed = replace(case, studies=tuple(broken if s is study else s for s in case.studies))
    page = shown("cycles", monkeypatch, changed, demo())
    page.segmented_control[0].set_value("HB10").run()
    page.selectbox[1].set_value("set cores")
    page.session_state["cycles_tab"] = say("study.cycles.tab_shape")
    page.run()
    told = " ".join(line.value.replace("\\", "") for line in page.markdown)
    assert "3 of 43 attempts were aborted" in told, "45 readings, of which two breakpoints were missed"
    assert "no p value is given" in told


@pytest.mark.parametrize("pattern", ["GC07", "HB10", "MF15", "PC03", "VB24"])
def test_cycles_opens_on_every_pattern(monkeypatch, pattern):
    """Every pattern of the demo, timed both ways or one way only."""
    page = shown("cycles", monkeypatch, demo().case, demo())
    page.segmented_control[0].set_value(pattern).run()
    assert not page.exception


def test_standard_leads_with_the_times_of_a_pattern(monkeypatch):
    """Both methods with their intervals in one sentence; an estimate says that it is one."""
    page = shown("standard", monkeypatch, demo().case, demo())
    assert "s (95 %: " in said(page)
    page.segmented_control[0].set_value("MF15").run()
    assert not page.exception
    assert "estimated" in said(page)


def test_a_case_without_readings_says_what_to_do(monkeypatch):
    """No study: no traceback, no figure, a hint."""
    bare = replace(demo().case, studies=())
    page = shown("cycles", monkeypatch, bare, SimpleNamespace(standards=(), counting=(), pooled={}))
    assert page.info[0].value == say("study.cycles.nothing")
    page = shown("standard", monkeypatch, bare, SimpleNamespace(standards=(), counting=(), pooled={}))
    assert say("study.answer.standard_none") in said(page)


def test_every_fold_of_standard_opens(monkeypatch):
    """Delays, standard data, rater check, levelling, pace and difficulty, machines: each opens without a fault."""
    page = shown("standard", monkeypatch, demo().case, demo())
    closed = len(page.selectbox)
    titles = ("data.title", "standard.section_rater", "levelling.title", "pace.title", "machines.title")
    for title in titles:
        page.session_state[f"study.{title}"] = True
        page.run()
        assert not page.exception, (title, page.exception)
    assert len(page.selectbox) >= closed + 10
    told = " ".join(line.value.replace("\\", "") for line in page.markdown)
    assert "machines keep both busy" in told and "for difficulty the normal time is" in told
    assert any("not added" in line.value for line in page.caption)
    page.session_state["brief.head.delays"] = True
    page.run()
    assert any(say("study.delays.none") in line.value for line in page.markdown)
    next(one for one in page.number_input if one.label == say("study.delays.looks_asked")).set_value(3).run()
    assert page.text[-1].value.startswith("Day 1") and len(page.text[-1].value.splitlines()) == 5
