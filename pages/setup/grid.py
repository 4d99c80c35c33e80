"""A list of the case as a grid: rows pasted from a spreadsheet, saved together, faults by row and column above it."""

from typing import Any

import streamlit as st

from coreset.errors import StudyError
from coreset.forms.changes import rows_in_words
from coreset.forms.grid import FAULT, GridColumn, cells_at_fault, from_grid, grid_columns, grid_frame, grid_rows
from coreset.pages.parts import layout, results
from coreset.text import message, say
from coreset.web import session

WRONG = "grid_wrong"
SETS = ("in_use", "volumes", "all")


def list_grid(case: Any, place: str, name: str) -> None:
    """The grid of one list.

    Parameters
    ----------
    case : Case
        As it is now.
    place, name : str
        The list, and what it is called.
    """
    form = session.form_of("grid", place)
    base = session.opened_form(form)
    st.header(say("front.grid.title", name=name), anchor=False)
    columns = grid_columns(base, place)
    sets = [one for one in SETS if one != "volumes" or place == "patterns"]
    chosen = st.segmented_control(
        say("front.grid.columns"),
        sets,
        default=sets[0],
        required=True,
        format_func=_set_name,
        key=f"{form}.columns",
        help=say("front.grid.columns_help"),
    )
    st.caption(say("front.grid.how"))
    error, typed, tries = st.session_state.get(WRONG, {}).get(form, (None, None, ()))
    labels = {one.name: one.label for one in columns}
    wrong = cells_at_fault(error, labels)
    faulty = {name for _, name in wrong}
    shown = [FAULT, *(one.name for one in columns if _shown(one, chosen) or one.name in faulty)]
    if error is not None:
        _faults(error, labels)
    table = grid_frame(grid_rows(base, place) if typed is None else typed, error, labels)
    edited = st.data_editor(
        table,
        num_rows="dynamic",
        hide_index=False,
        width="stretch",
        key=f"{form}.rows.{len(tries)}",
        column_order=shown,
        column_config={one.name: st.column_config.TextColumn(one.label, help=one.help) for one in columns}
        | {FAULT: st.column_config.TextColumn(say("front.grid.fault"), disabled=True, pinned=True, width="medium")},
        disabled=not session.may("edit"),
    )
    if wrong:
        row, column = wrong[0]
        layout.focus_cell(f"{form}.rows.{len(tries)}", row, labels[column])
    with st.container(key=f"save_bar_{place}"):
        if st.button(say("front.grid.save", name=name), type="primary", disabled=not session.may("edit")):
            _save(base, case, place, edited.to_dict("records"), form, tries)


def _set_name(name: str) -> str:
    return say(f"front.grid.{name}")


def _shown(one: GridColumn, chosen: str) -> bool:
    return {"in_use": one.in_use, "volumes": one.volume, "all": True}[chosen]


def _save(base: Any, case: Any, place: str, rows: Any, form: str, tries: tuple[StudyError, ...]) -> None:
    """Save all rows, or show them as they were typed with what is wrong in each."""
    try:
        new = from_grid(base, case, place, rows)
    except StudyError as error:
        st.session_state[WRONG] = {form: (error, rows, (*tries, error))}
        st.rerun()
    st.session_state.pop(WRONG, None)
    with session.told():
        before, after = getattr(case, place), getattr(new, place)
        session.keep(new, rows_in_words(place, before, after, case.units, case.currency))
    st.rerun()


def _faults(error: StudyError, labels: dict[str, str]) -> None:
    """What was wrong when it was saved last: row, column by its label, found, expected; scrolled to if no cell is."""
    with st.container(key="grid_faults"):
        st.error(layout.plain(say("front.grid.wrong", count=len(error.faults))))
        results.rows(
            [
                {
                    say("front.grid.row"): str(fault.row or ""),
                    say("front.grid.column"): labels.get(fault.column or "", fault.column or ""),
                    say("front.fault.found"): message(fault.found),
                    say("front.fault.expected"): message(fault.expected),
                }
                for fault in error.faults
            ]
        )
    if not cells_at_fault(error, labels):
        layout.scroll_to("grid_faults")
