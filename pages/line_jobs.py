"""Line, job mix: a year's runs in sequence, with the masks chosen, and the hours that are left."""

from typing import Any

import streamlit as st

from coreset.brief import say, say_line, tables_line
from coreset.line.jobs import job_mix, shifts
from coreset.pages import parts


def show(found: Any) -> None:
    """Choose which patterns get a mask; hours needed and left, the first week of the sequence."""
    case = found.case
    can = [row.pattern for row in found.line if row.method == case.candidate]
    good = [row.pattern for row in found.money.patterns if row.masked] if found.money else can
    masked = st.multiselect(
        say("line.page.masked"), can, default=[name for name in good if name in can], help=parts.word("core_mask")
    )
    chosen = job_mix(case, found.line, dict.fromkeys(masked, case.candidate))
    by_hand = job_mix(case, found.line, {})
    for sentence in say_line.jobs(chosen, by_hand, masked):
        st.markdown(parts.plain(sentence))
    st.header(say("line.page.shifts"), anchor=False)
    parts.rows(tables_line.shifts(shifts(case, found.line, chosen), found.line))
    st.header(say("line.page.first_week"), anchor=False)
    parts.rows(tables_line.runs(chosen.first_week()))
