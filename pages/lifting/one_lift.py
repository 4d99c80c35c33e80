"""Check one lift: what is measured at the left, its index and what would improve it at the right."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import streamlit as st

from coreset.case import UNIT_SETS, Case
from coreset.errors import StudyError
from coreset.forms.editing import changed
from coreset.lifting import one_lift
from coreset.lifting.charts.side_view import places_view, side_view
from coreset.lifting.constants import COUPLINGS
from coreset.lifting.lift_end import rate
from coreset.lifting.lift_table import answers, postures_of
from coreset.lifting.report import chart_tables
from coreset.lifting.report import one_lift as words
from coreset.lifting.report.working import working_of
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

LENGTHS = ("horizontal", "vertical", "horizontal_destination", "vertical_destination")
KEPT = "one_lift"


@st.fragment
def lift_check(case: Case) -> None:
    """The whole check; nothing is stored unless it is asked for."""
    left, right = st.columns([2, 3], gap="large")
    with left.container(key=f"{KEPT}_asked"):
        units = _remembered(
            "units",
            case.units,
            partial(
                st.segmented_control,
                format_func=lambda name: say(f"handling.one.units_{name}"),
                required=True,
                on_change=_convert,
            ),
            say("handling.one.units"),
            list(UNIT_SETS),
        )
        measured, hours, control = _asked(units)
        measured |= _fill_in(case, units)
    with right:
        if lacking := words.lacking_sentence(measured, hours):
            st.info(lacking)
            return
        row = one_lift.row_of(measured, hours=hours, control=control, units=units)
        if wrong := words.slip_sentence(row):
            st.error(wrong)
            return
        _answered(measured, row)
        _save(case, measured, hours=hours, control=control, units=units)


def _remembered(name: str, first: Any, widget: Any, *args: Any, **how: Any) -> Any:
    """A widget whose value stays while one looks at other pages."""
    kept, key = st.session_state.setdefault(KEPT, {}), f"{KEPT}.{name}"
    if key not in st.session_state:
        st.session_state[key] = kept.get(name, first)
    kept[name] = widget(*args, key=key, **how)
    return kept[name]


def _number(place: Any, name: str, label: str, step: float = 1.0, most: float | None = None, **how: Any) -> Any:
    """A number that is empty until it is entered."""
    first = how.pop("first", None)
    widget = partial(place.number_input, value=None, min_value=0.0, max_value=most, step=step, format="%g")
    return _remembered(name, first, widget, label, **how)


def _hands(name: str, units: str) -> tuple[float, float] | None:
    """Reach and height of the hands at one end: a place from the sketches, or two numbers."""
    typed = st.session_state.get(f"{KEPT}.{name}", st.session_state[KEPT].get(name))
    example = words.example_of(units)
    box = partial(
        st.selectbox,
        index=None,
        format_func=words.place_name,
        placeholder=say("handling.one.hands_hint", **example),
        help=say("handling.one.hands_help"),
        accept_new_options=True,
    )
    label = say(f"handling.one.{name}", unit=UNIT_SETS[units]["length"])
    said = _remembered(name, None, box, label, list(dict.fromkeys([*one_lift.PLACES, *filter(None, [typed])])))
    hands = one_lift.hands_of(said, units)
    if said and hands is None:
        st.error(say("handling.one.hands_wrong", **example))
    return hands


def _asked(units: str) -> tuple[dict[str, Any], float | None, bool]:
    """The eight things that are asked: load, hands at both ends, twist, pace, hours, grip, control."""
    unit = UNIT_SETS[units]
    help_of = {name: say(f"handling.one.{name}_help") for name in ("angle", "frequency", "hours", "control")}
    found = {"mass": _number(st, "mass", say("handling.one.mass", unit=unit["mass"]), help=layout.word("mass"))}
    for name, suffix in zip(one_lift.HANDS, ("", "_destination"), strict=True):
        hands = _hands(name, units)
        found |= dict(zip((f"horizontal{suffix}", f"vertical{suffix}"), hands or (None, None), strict=True))
    left, right = st.columns(2)
    found["angle"] = _number(left, "angle", say("handling.one.angle"), 5.0, 180.0, help=help_of["angle"])
    found["frequency"] = _number(right, "frequency", say("handling.one.frequency"), 0.1, help=help_of["frequency"])
    left, right = st.columns(2)
    hours = _number(left, "hours", say("handling.one.hours"), 0.5, 24.0, help=help_of["hours"], first=8.0)
    grips = partial(
        right.selectbox,
        help=say("handling.one.coupling_help"),
        format_func=lambda name: say(f"handling.one.coupling_{name}"),
    )
    found["coupling"] = _remembered("coupling", COUPLINGS[-1], grips, say("handling.one.coupling"), COUPLINGS)
    control = _remembered("control", True, st.checkbox, say("handling.one.control"), help=help_of["control"])
    layout.points()
    return found, hours, control


def _fill_in(case: Case, units: str) -> dict[str, Any]:
    """Values from sketches of usual places, from a core of the case and the pace of the line; the core's depth."""
    with st.expander(say("handling.one.not_measured")):
        places = {code: found[units] for code, found in one_lift.PLACES.items()}
        named = {words.place_name(code): hands for code, hands in places.items()}
        results.chart(places_view(named, units), chart_tables.places(named, units))
        cores = one_lift.cores_of(case, units)
        if cores:
            st.selectbox(
                say("handling.one.from_core"),
                list(cores),
                index=None,
                key="one_core",
                on_change=_core,
                args=(cores,),
                help=layout.word("mass"),
            )
        depth = _number(
            st,
            "core_depth",
            say("handling.one.core_depth", unit=UNIT_SETS[units]["length"]),
            help=say("handling.one.core_depth_help"),
        )
        left, right = st.columns(2)
        per_mold = left.number_input(
            say("handling.one.lifts_per_mold"),
            0.0,
            None,
            None,
            1.0,
            "%g",
            key="one_per_mold",
            help=layout.word("pace_of_lifting"),
        )
        pace = right.number_input(
            say("handling.one.molds_per_h"), 0.0, None, None, 1.0, "%g", key="one_molds", help=layout.word("mold_cycle")
        )
        st.button(
            say("handling.one.fill_pace"), on_click=_pace, args=(per_mold, pace), disabled=not (per_mold and pace)
        )
        st.caption(say("handling.one.places_note"))
    return {"core_depth": depth}


def _set(**values: Any) -> None:
    st.session_state.update({f"{KEPT}.{name}": value for name, value in values.items()})
    st.session_state[KEPT] |= values


def _convert() -> None:
    """What was entered, in the units now chosen."""
    _set(**one_lift.converted(st.session_state[KEPT], st.session_state[f"{KEPT}.units"]))


def _core(cores: Mapping[str, Mapping[str, Any]]) -> None:
    if (name := st.session_state["one_core"]) is not None:
        _set(**cores[name])


def _pace(per_mold: float, molds_per_h: float) -> None:
    _set(frequency=one_lift.per_min(per_mold, molds_per_h))


def _answered(measured: Mapping[str, Any], row: Mapping[str, Any]) -> None:
    """The answer in words, the picture, what costs most and what would improve it, the working behind it."""
    answer = answers([row])[0]
    kept = st.session_state[KEPT]
    if kept.get("row") != row:
        with st.spinner(say("handling.page.searching")):
            kept |= {"advice": one_lift.advised(row, answer), "row": row}
    layout.answer(words.answer_sentence(row, answer))
    results.sentences(
        [
            words.status_sentence(answer),
            words.cost_sentence(row, answer),
            words.near_sentence(row, kept["advice"]),
            words.first_sentence(row, kept["advice"]),
        ]
    )
    if behind := words.advice_sentences(row, answer, kept["advice"]):
        with st.expander(say("handling.one.more")):
            results.sentences(behind)
    values = {name if "_" in name else f"{name}_origin": measured[name] for name in LENGTHS}
    results.chart(side_view(values, row["units"]), chart_tables.side(values, row["units"]))
    for end, posture in postures_of(row, row["units"]).items():
        lines = working_of(posture, rate(posture), mass=row["mass"])
        results.working(lines, label=say("handling.one.working", end=say(f"handling.end.{end}")))


def _save(case: Case, measured: Mapping[str, Any], *, hours: float, control: bool, units: str) -> None:
    """The lift as a task of the case, if that is wanted."""
    with st.expander(say("handling.one.save")):
        st.caption(say("handling.one.save_note"))
        if why := words.not_savable(case, hours=hours, units=units):
            st.caption(why)
            return
        name = st.text_input(say("handling.one.task"), key="one_task", help=layout.word("lifting_index"))
        left, right = st.columns(2)
        patterns, methods = [one.pattern for one in case.patterns], [one.method for one in case.methods]
        pattern = left.selectbox(say("handling.page.pattern"), patterns, key="one_pattern", help=layout.word("pattern"))
        method = right.selectbox(say("handling.column.method"), methods, key="one_method", help=layout.word("method"))
        ready = bool(name.strip()) and session.may("edit")
        if st.button(say("handling.one.save_do"), type="primary", disabled=not ready):
            named = {"task": name.strip(), "pattern": pattern, "method": method}
            named["frequency_reason"] = say("handling.one.pace_reason")
            try:
                typed = named | one_lift.task_fields(measured, hours=hours, control=control)
                added = changed(case, "lifts", typed, row=len(case.lifts))
            except StudyError as error:
                st.error(layout.plain(str(error)))
                return
            with session.told():
                session.keep(added, say("handling.one.saved", task=name.strip()))
            st.rerun()
