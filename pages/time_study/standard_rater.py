"""The parts of Standard on judging pace: an observer's check on known paces, and grades in place of a rating."""

import streamlit as st

from coreset.bodywork.report import rest
from coreset.case import Case
from coreset.pages.parts import layout, results
from coreset.pages.time_study.clock.desk import attempt
from coreset.pages.time_study.rating_test.widget import ratings
from coreset.study.charts.rating_test import rater_check
from coreset.study.rating_test import of_observer
from coreset.study.report import rating_test
from coreset.text import say
from coreset.web import person, session


def rating_check(case: Case) -> None:
    """What an observer's last check says, and a new one to take."""
    left, right = st.columns(2)
    names = rating_test.scale_names()
    observer = left.selectbox(
        say("study.rater.observer"),
        rating_test.observers(case),
        accept_new_options=True,
        help=layout.word("code_of_a_person"),
    )
    scale = right.selectbox(
        say("study.rater.scale"),
        names,
        index=rating_test.scale_of(case, observer or ""),
        help=layout.word("rating_scale"),
    )
    if not observer:
        return
    results.sentences(rating_test.sentences(case, observer))
    if working := rating_test.working(case, observer):
        results.chart(rater_check(of_observer(case.raters, observer)))
        results.rows(rating_test.rating_rows(case, observer))
        results.steps(working)
    st.markdown(layout.plain(rating_test.explain(scale)))
    if not session.may("edit"):
        return
    if not person.code():
        layout.empty("study.rater.no_code")
        return
    check = session.form_of("rating_test", observer, scale)  # its scenes stay, whatever others save meanwhile
    shown = st.session_state.setdefault(check, rating_test.asked(case, observer, scale))
    if given := ratings(shown):
        changed = rating_test.with_check(case, observer, scale, given, taken=session.now(), seed=shown["seed"])
        attempt(lambda: session.keep(changed, say("study.rater.kept", observer=observer)))


def level() -> None:
    """Four grades instead of a pace, and the factor they make."""
    chosen = {}
    for factor, column in zip(rest.FACTORS, st.columns(4), strict=True):
        grades = rest.grades(factor)
        label = rest.factor_name(factor)
        chosen[factor] = column.selectbox(
            label, grades, index=grades.index("D"), key=f"level_{factor}", help=layout.word("rating")
        )
    st.markdown(layout.plain(rest.levelled(chosen)))
