# longer because it is the list of pages, not one of them
"""Which pages there are, in the order of the work; a page is listed when its file stands here."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import streamlit as st

from coreset.brief import say

ORDER = (
    "case",
    "facts",
    "timing",
    "cycles",
    "standard",
    "handling",
    "line",
    "payback",
    "brief",
    "compare",
    "audit",
    "sources",
    "guide",
)
HERE = Path(__file__).parent


def pages() -> list[Any]:
    """The pages to list, the case first."""
    found = [name for name in ORDER if HERE.joinpath(f"{name}.py").is_file()]
    return [
        st.Page(HERE.joinpath(f"{name}.py"), title=say(f"front.page.{name}"), default=name == found[0])
        for name in found
    ]


def link(name: str, label: str, *, icon: str = ":material/arrow_forward:", help: str = "", **at: str) -> None:
    """A link to a page, as its address; words only where the page is not there.

    Parameters
    ----------
    name : str
        Page.
    label, icon, help : str
        How it looks.
    **at
        Where on the page, as parameters of the address.
    """
    if HERE.joinpath(f"{name}.py").is_file():
        query = {"query_params": at} if at else {}
        st.page_link(HERE.joinpath(f"{name}.py"), label=label, icon=icon, help=help or None, **query)
    else:
        st.markdown(label)
