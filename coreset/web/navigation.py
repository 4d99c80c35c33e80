"""Which pages there are, in the order of the work; a page is listed when its file stands here."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

import streamlit as st

from coreset.text import say

FOLDERS = {
    "case": "overview",
    "facts": "setup",
    "timing": "time_study",
    "cycles": "time_study",
    "standard": "time_study",
    "handling": "lifting",
    "line": "business_case",
    "payback": "business_case",
    "brief": "report",
    "compare": "overview",
    "audit": "business_case",
    "sources": "help",
    "guide": "help",
}
"""Each page, in the order of the work, and the folder of `pages/` in which it stands."""
ORDER = tuple(FOLDERS)
FOLDER = Path(str(files("coreset.pages")))


def path_of(name: str) -> Path:
    """The file of a page."""
    return FOLDER / FOLDERS[name] / f"{name}.py"


def pages() -> list[Any]:
    """The pages to list, the case first."""
    found = [name for name in ORDER if path_of(name).is_file()]
    return [st.Page(path_of(name), title=say(f"front.page.{name}"), default=name == found[0]) for name in found]


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
    if path_of(name).is_file():
        query = {"query_params": at} if at else {}
        st.page_link(path_of(name), label=label, icon=icon, help=help or None, **query)
    else:
        st.markdown(label)
