"""The part of Cycles on one study: order, shape, how many cycles, odd readings; only what is shown is calculated."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.case import Case
from coreset.pages.parts import layout
from coreset.pages.time_study import cycles_more
from coreset.study.report import sentences
from coreset.study.series import every_series
from coreset.text import say
from coreset.web import session

TABS = {
    "order": cycles_more.order,
    "shape": cycles_more.shape,
    "needed": cycles_more.needed,
    "odd": cycles_more.odd,
}


@st.cache_resource(show_spinner=False, max_entries=16)
def _series(key: str, study: str, _study: Any) -> dict[str, Any]:
    return {row.element: row for row in every_series(_study)}


def study_readings(case: Case, studies: Sequence[Any], standards: Sequence[Any]) -> None:
    """One study of the pattern, element by element."""
    left, right = st.columns(2)
    named = {study.study: study for study in studies}
    label = {name: session.in_manner(sentences.study_label(study)) for name, study in named.items()}
    told = {"help": layout.word("reading"), "format_func": label.get}
    study = named[left.selectbox(say("study.cycles.study"), list(named), **told)]  # by name: a choice is copied
    every = _series(session.content(case), study.study, study)
    told = {"help": layout.word("element"), "format_func": sentences.name_of}
    series = every[right.selectbox(say("study.cycles.element"), list(every), **told)]
    standard = next((row for row in standards if row.study == study.study), None)
    tabs = st.tabs([say(f"study.cycles.tab_{tab}") for tab in TABS], key="cycles_tab", on_change="rerun")
    for tab, shown in zip(tabs, TABS.values(), strict=True):
        with tab:
            if tab.open:
                shown(cycles_more.Part(series=series, study=study, every=tuple(every.values()), standard=standard))
