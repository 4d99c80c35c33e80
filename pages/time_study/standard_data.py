"""The part of Standard on standard data: what each element follows, and a choice of one's own."""

import streamlit as st

from coreset.case import Case
from coreset.pages.parts import layout, results
from coreset.study.charts.standard_data import standard_data
from coreset.study.estimate import data
from coreset.study.report import standard_data as say_data
from coreset.text import say
from coreset.web import session


def element_drivers(case: Case, found: dict) -> None:
    """Elements of a method with what they follow; one of them as a picture."""
    known = {one.method: one for one in data(case, found)}
    if not known:
        st.markdown(layout.plain(say("study.data.nothing")))
        return
    left, right = st.columns(2)
    one = known[left.selectbox(say("study.data.method"), list(known), help=layout.word("method"))]
    elements = {e.element: e for e in one.elements}
    labels = {e.element: say_data.element_name(e) for e in one.elements}
    told = {"format_func": labels.get, "help": layout.word("element")}
    e = elements[right.selectbox(say("study.data.element"), list(elements), **told)]
    results.chart(standard_data(one, e, case), say_data.tried(e, case))
    results.sentences([say_data.sentence(e, case)])
    results.rows(say_data.driver_rows(one, case))
    results.sentences(say_data.notes(one, case))
    _choose(case, one.method, e)


def _choose(case: Case, method: str, e: say_data.VariableElement) -> None:
    options, names = say_data.options(e), {by: say_data.driver_name(by, case) for by in say_data.options(e)}
    told = {"format_func": names.get, "key": f"drive-{method}-{e.element}", "help": layout.word("standard_data")}
    by = st.selectbox(say("study.data.own"), options, index=say_data.chosen(e), **told)
    why = say("study.data.kept", element=say_data.element_name(e), method=method, driver=names[by])
    st.button(
        say("study.data.keep"),
        disabled=options.index(by) == say_data.chosen(e) or not session.may("edit"),
        on_click=lambda: _keep(say_data.with_driver(case, method, e, by), why),
    )


def _keep(changed: Case, why: str) -> None:
    with session.told():
        session.keep(changed, why)
