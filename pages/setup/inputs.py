"""The inputs behind the figures of a page, opened in place: nobody leaves a figure to change what it rests on."""

from itertools import repeat
from typing import Any

import streamlit as st

from coreset.brief.case_status import place_name
from coreset.pages.parts import layout
from coreset.pages.setup import editor
from coreset.text import say

MONEY = ("money", "patterns", "line", "options")
STUDIES = ("studies", "elements", "allowances", "lines")
LINE = ("line", "steps", "stops", "setter", "cores", "counts", "scrap", "patterns")
BEHIND = {
    "case": (*MONEY, "lifts", "studies"),
    "compare": MONEY,
    "portfolio": MONEY,
    "timing": STUDIES,
    "cycles": STUDIES,
    "standard": (*STUDIES, "raters", "delays"),
    "handling": ("lifts", "place", "cores", "actions"),
    "payback": MONEY,
    "patterns": ("patterns", "cores", "money"),
    "line": LINE,
    "options": ("options", "money"),
    "sensitivity": MONEY,
    "audit": ("actuals", "money"),
    "brief": (*MONEY, "lifts", "studies"),
}
"""Parts of the case that the figures of each page rest on, what moves them most first."""


def offer(case: Any, page: str) -> None:
    """A button that opens them over the page; they are drawn once it is open."""
    places = BEHIND.get(page)
    if not places:
        return
    with st.popover(say("front.inputs.open"), key=f"inputs.{page}", on_change="rerun") as opened:
        if opened.open:
            st.caption(say("front.inputs.how"))
            place = st.selectbox(
                say("front.facts.place"),
                places,
                format_func=place_name,
                key=f"inputs_place.{page}",
                help=layout.word("case"),
            )
            editor.form_of_place(case, place, boxes=repeat(st), key=f"inputs.{page}", folded=False)
