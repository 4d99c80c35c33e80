# longer because it runs the line with progress and keeps what it ran
"""Line, mold to shake-out: the line run for one pattern, where each station's time goes, what each change brings."""

from typing import Any

import streamlit as st

from coreset.brief import say, say_flow, tables_line
from coreset.charts import line as charts
from coreset.line.closer import look_closer
from coreset.pages import parts, results, session

KEPT = 16


@st.cache_resource(show_spinner=False)
def _shelf() -> dict[Any, Any]:
    return {}


def _closer(found: Any, pattern: str) -> Any:
    """The runs of one pattern; run once for the same content, with progress."""
    shelf, key = _shelf(), (session.content(found.case), pattern)
    if key not in shelf:
        bar = st.progress(0.0, say("line.page.running"))
        ran = look_closer(
            found.case, found.mold_cycles, pattern, progress=lambda done: bar.progress(done, say("line.page.running"))
        )
        bar.empty()
        if len(shelf) >= KEPT:
            shelf.clear()
        shelf[key] = ran
    return shelf[key]


def show(found: Any) -> None:
    """Rate, losses and gains of one pattern."""
    names = list(dict.fromkeys(row.pattern for row in found.mold_cycles))
    pattern = st.selectbox(say("line.page.pattern"), names, key="line_flow_pattern", help=parts.word("pattern"))
    closer = _closer(found, pattern)
    if not closer.methods:
        parts.empty("line.page.nothing")
        return
    for sentence in say_flow.flow(found.case, closer):
        st.markdown(parts.plain(sentence))
    results.picture(lambda: charts.shares(closer), "shares", pattern, table=lambda: tables_line.stations(closer))
    with st.expander(say("line.page.roots")):
        results.rows(lambda: tables_line.roots(closer), "line.roots", pattern)
    for method in closer.methods[:1]:
        st.markdown(parts.plain(" ".join(say_flow.seconds(method.seconds))))
    if closer.gains:
        results.picture(lambda: charts.gains(closer), "gains", pattern, table=lambda: tables_line.gains(closer.gains))
    st.caption(parts.plain(f"{say('line.interval_note')} {say_flow.warm_up(closer, found.case.seed)}"))
