"""Line, job mix: a year's runs in sequence, with the masks chosen, and the hours that are left."""

from typing import Any

import streamlit as st

from coreset.line.job_mix import job_mix, shifts
from coreset.line.report import sentences as say_line
from coreset.line.report import tables
from coreset.pages.parts import layout, results, written
from coreset.text import say
from coreset.web import session


def mean_shift(found: Any) -> None:
    """Choose which patterns get a mask; hours needed and left, the first week of the sequence."""
    can = [row.pattern for row in found.line if row.method == found.case.candidate]
    good = [row.pattern for row in found.money.patterns if row.masked] if found.money else can
    known = set(can)
    masked = st.multiselect(
        say("line.page.masked"), can, default=[name for name in good if name in known], help=layout.word("core_mask")
    )
    sentences, of_patterns, first_week = session.worded(lambda: _told(found, masked), "line.jobs", masked)
    for sentence in sentences:
        st.markdown(layout.plain(sentence))
    st.header(say("line.page.shifts"), anchor=False)
    results.sent(of_patterns)
    st.header(say("line.page.first_week"), anchor=False)
    results.sent(first_week)


def _told(found: Any, masked: list[str]) -> tuple[list[str], written.Text, written.Text]:
    """What follows from the masks chosen, as it is shown: the runs themselves are too many to be kept."""
    case = found.case
    chosen = job_mix(case, found.line, dict.fromkeys(masked, case.candidate))
    by_hand = job_mix(case, found.line, {})
    rows = tables.shifts(shifts(case, found.line, chosen), found.line)
    week = written.table(tables.runs(chosen.first_week()))
    return say_line.jobs(chosen, by_hand, masked), written.table(rows), week
