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
    results.sentences(sources_page.exceptions(used))
    rows_of = session.once(lambda: sources_page.by_figure(used), "sources_by_figure")
    if rows_of:
        figure = st.selectbox(say("front.sources.by_figure"), list(rows_of), help=layout.word("origin_of_a_figure"))
        results.rows(rows_of[figure])
        results.sentences(sources_page.weak_rules(used, figure))
for kind, rows in (("disagree", published_tables.disagreements), ("less", published_tables.beyond)):
    with st.expander(say(f"front.sources.{kind}")):
        results.rows(rows())
with st.expander(say("front.sources.again")):
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
with st.expander(say("front.sources.all")):
    wanted = st.text_input(say("front.sources.search"), help=say("front.sources.search_help"))
    results.rows(published_tables.listed(wanted))
with st.expander(say("front.sources.one")):
    shown = st.selectbox(
        say("front.sources.look"),
        list(tables()),
        format_func=published_tables.label,
        help=say("front.sources.look_help"),
    )
    st.caption(layout.plain(published_tables.citation(table(shown).key)))
    results.rows(table(shown).rows)
