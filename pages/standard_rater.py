# longer because each of its fields carries its help
"""The parts of Standard on judging pace: an observer's check on known paces, and grades in place of a rating."""

import streamlit as st

from coreset.brief import say, say_rater, say_rest
from coreset.case import Case
from coreset.charts.rater import rater_check
from coreset.pages import parts, person, results, session
from coreset.pages.clock.desk import attempt
from coreset.pages.rater.widget import ratings
from coreset.study.rater import of_observer


def show(case: Case) -> None:
    """What an observer's last check says, and a new one to take."""
    left, right = st.columns(2)
    names = say_rater.scale_names()
    observer = left.selectbox(
        say("study.rater.observer"),
        say_rater.observers(case),
        accept_new_options=True,
        help=parts.word("code_of_a_person"),
    )
    scale = right.selectbox(
        say("study.rater.scale"), names, index=say_rater.scale_of(case, observer or ""), help=parts.word("rating_scale")
    )
    if not observer:
        return
    results.sentences(say_rater.sentences(case, observer))
    if working := say_rater.working(case, observer):
        results.chart(rater_check(of_observer(case.raters, observer)))
        results.rows(say_rater.rows(case, observer))
        results.steps(working)
    st.markdown(parts.plain(say_rater.explain(scale)))
    if not session.may("edit"):
        return
    if not person.code():
        parts.empty("study.rater.no_code")
        return
    if given := ratings(say_rater.asked(case, observer, scale)):
        changed = say_rater.with_check(case, observer, scale, given, session.now())
        attempt(lambda: session.keep(changed, say("study.rater.kept", observer=observer)))


def level() -> None:
    """Four grades instead of a pace, and the factor they make."""
    chosen = {}
    for factor, column in zip(say_rest.FACTORS, st.columns(4), strict=True):
        grades = say_rest.grades(factor)
        label = say_rest.factor_name(factor)
        chosen[factor] = column.selectbox(
            label, grades, index=grades.index("D"), key=f"level_{factor}", help=parts.word("rating")
        )
    st.markdown(parts.plain(say_rest.levelled(chosen)))
