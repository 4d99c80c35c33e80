"""Sources: what the figures of the open case rest on, then every published table; one cell at a time recalculated."""

import streamlit as st

from coreset.brief import sources_page
from coreset.brief.case_status import next_step
from coreset.brief.recompute import cells, formulas, recompute, verdict
from coreset.brief.sources_used import sources_used
from coreset.pages.parts import layout, results
from coreset.report import published_tables
from coreset.sources import table, tables
from coreset.text import say
from coreset.web import session

layout.head("front.sources")
todo = next_step(session.case())
if todo is not None:
    layout.answer(say("front.sources.not_yet", words=todo.words))
else:
    used = session.once(lambda: sources_used(session.assessment()), "sources_used")
    layout.answer(sources_page.answer(used))
    st.header(say("front.sources.by_figure"), anchor=False)
    results.rows(lambda: sources_page.by_figure(used), "sources_by_figure")
for kind, rows in (("disagree", published_tables.disagreements), ("less", published_tables.beyond)):
    st.header(say(f"front.sources.{kind}"), anchor=False)
    results.rows(rows())
st.header(say("front.sources.again"), anchor=False)
path = st.selectbox(
    say("front.sources.which"),
    sorted(formulas()),
    format_func=published_tables.label,
    help=say("front.sources.which_help"),
)
left, right = st.columns(2)
given = formulas()[path].given
places = range(len(table(path).rows))
row = left.selectbox(
    say("front.sources.row"),
    places,
    format_func=lambda i: f"{given} {table(path).rows[i][given]}",
    help=say("front.sources.row_help"),
)
column = right.selectbox(say("front.sources.column"), cells(path), help=say("front.sources.column_help"))
st.markdown(layout.plain(verdict(path, row, column)))
results.steps([recompute(path, row, column)])
st.header(say("front.sources.all"), anchor=False)
wanted = st.text_input(say("front.sources.search"), help=say("front.sources.search_help"))
results.rows(published_tables.listed(wanted))
st.header(say("front.sources.one"), anchor=False)
shown = st.selectbox(
    say("front.sources.look"), list(tables()), format_func=published_tables.label, help=say("front.sources.look_help")
)
st.caption(layout.plain(published_tables.citation(table(shown).key)))
results.rows(table(shown).rows)
