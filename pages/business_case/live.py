"""The live answer: the inputs that move it most at the left, the answer at the right; nothing is saved unasked."""

from typing import Any

import streamlit as st

from coreset.brief.case_status import lacking_for_money
from coreset.decision import headline
from coreset.decision.side_by_side import ChangedFigure, changed_figures
from coreset.errors import CoresetError
from coreset.forms.editing import checked
from coreset.forms.levers import Lever, changed_case, changes_in_words, levers, titled
from coreset.money import charts
from coreset.money.report import chart_tables
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import navigation, session

COLORS = {1: "green", -1: "red", 0: "gray"}


def money() -> Any:
    """The decision on money of the open case.

    Without one the page ends here: what is missing is said, each with a link to where it is entered.
    """
    missing = lacking_for_money(session.case())
    try:
        found = session.assessment()
    except CoresetError:
        if not missing:
            raise
        found = None
    if found is None or found.money is None:
        layout.answer(say("money.live.lacking") if missing else headline.decision(found))
        for stage in missing:
            page, place = stage.entered
            navigation.link(page, stage.words, **({"place": place} if place else {}))
        st.stop()
    return found.money


@st.fragment
def inputs_and_answer() -> None:
    """Inputs and answer, run by themselves at each change."""
    case, saved = session.case(), session.assessment()
    found = session.once(lambda: levers(case, saved.money), "levers")
    with st.container(key="live"):
        left, right = st.columns([2, 3], gap="large")
        with left:
            st.caption(say("money.live.inputs", count=len(found)))
            places = [place for _ in found for place in st.columns(2, vertical_alignment="bottom")]
            for one, column in zip(found, places, strict=False):
                with column:
                    _input(one)
        with right:
            _answer(case, saved, found)


def _input(one: Lever) -> None:
    """One input with its unit; what is saved stands below where it was changed."""
    key, values = session.form_of("live", one.name), session.changed_inputs()
    st.session_state.setdefault(key, values.get(one.name, one.value))
    st.number_input(
        layout.plain(one.label),
        min_value=one.least,
        max_value=one.most,
        step=one.step,
        format="%.12g",
        key=key,
        help=say("money.live.help"),
        on_change=_typed,
        args=(key, one),
    )
    if one.name in values:
        st.caption(session.in_manner(say("money.live.saved_value", value=f"{one.value:,.12g}")))


def _typed(key: str, one: Lever) -> None:
    if (value := st.session_state[key]) is not None:
        session.change_input(one.name, None if value == one.value else float(value))


def _answer(case: Any, saved: Any, found: tuple[Lever, ...]) -> None:
    values = session.changed_inputs()
    changed = changed_case(case, values) if values else case
    try:
        now = session.answer_of(changed) if values else saved
    except CoresetError as error:
        layout.fault(say("money.live.cannot", words=str(error)))
        return
    layout.answer(headline.decision(now))
    _figures(changed_figures(now, saved))
    results.chart(charts.payback_chance(now.money), chart_tables.payback_chance(now.money))
    if not values:
        st.caption(say("money.live.none_changed"))
        return
    st.info(layout.plain(say("money.live.differs", changes=changes_in_words(found, values))))
    _save(case, changed, changes_in_words(found, values))


def _figures(shown: tuple[ChangedFigure, ...]) -> None:
    for column, one in zip(st.columns(max(1, len(shown))), shown, strict=False):
        column.metric(
            layout.plain(one.what), session.in_manner(one.value), session.in_manner(one.difference) or None,
            delta_color=COLORS[one.better],
        )  # fmt: skip
        column.caption(layout.plain(session.in_manner(one.interval)))


def _save(case: Any, changed: Any, changes: str) -> None:
    """Save to the case, save as a case of its own, or drop the changes."""
    able = session.may("edit")
    with st.container(horizontal=True):
        saved = st.button(say("money.live.save"), type="primary", disabled=not able)
        with st.popover(say("money.live.scenario"), disabled=not able):
            name = st.text_input(
                say("money.live.scenario_name"),
                value=f"{session.case_id()}-what-if",
                help=say("money.live.scenario_help"),
            ).strip()
            apart = st.button(say("money.live.save_scenario"), disabled=not name)
        dropped = st.button(say("money.live.reset"))
    try:
        if saved:
            with session.told():
                session.keep(checked(changed, case), say("money.live.why", changes=changes))
                session.drop_inputs()
        if apart:
            with session.told():
                session.save_as(name, checked(titled(changed, name), case))
    except CoresetError as error:
        layout.fault(say("money.live.cannot", words=str(error)))
        return
    if dropped:
        session.drop_inputs()
        session.begin_forms()
    if saved or apart or dropped:
        st.rerun()
