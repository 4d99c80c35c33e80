"""Line, the setter's fit: which cores it holds by calculation, what is missing, and the caution that ends it."""

from typing import Any

import streamlit as st

from coreset.line.charts import stations as charts
from coreset.line.report import setter_hold, working
from coreset.line.setter_hold import fits
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session


def setter_fit(case: Any) -> None:
    """Verdict, curves of one pattern, every core, what to check, loss of vacuum, the last word."""
    found = session.once(lambda: fits(case), "fits")
    if not found:
        layout.empty("line.fit.nothing")
        return
    layout.answer(session.worded(lambda: setter_hold.answer(case, found), "line.fit.answer"))
    results.sentences(lambda: setter_hold.sentences(case, found), "line.fit")
    results.sentences(lambda: setter_hold.chances(case, found), "line.fit.chances")
    results.sentences(lambda: setter_hold.strokes(case, session.assessment().mold_cycles), "line.fit.strokes")
    worst = session.once(lambda: {row.pattern: row for row in setter_hold.worst_first(found)}, "fits", "worst first")
    name = st.selectbox(
        say("line.page.pattern"),
        list(worst),
        key="line_fit_pattern",
        help=layout.word("pattern"),
    )
    results.picture(
        lambda: charts.fit(case, worst[name]), "fit", name, table=lambda: setter_hold.hold_rows([worst[name]])
    )
    st.header(say("line.page.all_cores"), anchor=False)
    results.rows(lambda: setter_hold.hold_rows(found), "line.fit")
    results.sentences(lambda: setter_hold.reminders(found), "line.fit.reminders")
    results.working(lambda: working.fit(case, found), "line.fit")
    st.warning(say("line.vacuum_loss"))
    st.markdown(f"**{say('line.last_word')}**")
