"""Line, mold to shake-out: the line run for one pattern, where each station's time goes, what each change brings."""

from typing import Any

import streamlit as st

from coreset.line.charts import stations as charts
from coreset.line.charts.track import track, track_rows
from coreset.line.pattern_line import look_closer
from coreset.line.report import pattern_line, tables
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

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
            found.case,
            found.mold_cycles,
            pattern,
            found.line,
            seed=found.seed,
            progress=lambda done: bar.progress(done, say("line.page.running")),
        )
        bar.empty()
        if len(shelf) >= KEPT:
            shelf.clear()
        shelf[key] = ran
    return shelf[key]


def flow_of_pattern(found: Any) -> None:
    """Rate, losses and gains of one pattern."""
    names = list(dict.fromkeys(row.pattern for row in found.mold_cycles))
    pattern = st.selectbox(say("line.page.pattern"), names, key="line_flow_pattern", help=layout.word("pattern"))
    closer = _closer(found, pattern)
    if not closer.methods:
        layout.empty("line.page.nothing")
        return
    results.picture(
        lambda: track(found.case, closer, found.mold_cycles),
        "track",
        pattern,
        table=lambda: track_rows(found.case, pattern),
    )
    results.picture(lambda: charts.shares(closer), "shares", pattern, table=lambda: tables.stations(closer))
    with st.expander(say("line.page.roots")):
        results.rows(lambda: tables.roots(closer), "line.roots", pattern)
    for method in closer.methods[:1]:
        st.markdown(layout.plain(" ".join(pattern_line.seconds(method.seconds))))
    if closer.gains:
        results.picture(lambda: charts.gains(closer), "gains", pattern, table=lambda: tables.gains(closer.gains))
    for sentence in pattern_line.flow(found.case, closer):
        st.markdown(layout.plain(sentence))
    st.caption(layout.plain(f"{say('line.interval_note')} {pattern_line.warm_up(closer, found.case.seed)}"))
