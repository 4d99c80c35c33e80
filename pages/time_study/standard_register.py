"""The register on the Standards page: one standard of each pattern and method, and its file for a routing."""

from typing import Any

import streamlit as st

from coreset.brief.register import register_csv, register_table
from coreset.pages.parts import results
from coreset.text import say


def register_of_standards(found: Any) -> None:
    """The table and the file."""
    results.rows(lambda: register_table(found.register), "register")
    st.download_button(
        say("brief.register.download"),
        lambda: register_csv(found.register),
        "register.csv",
        "text/csv",
        on_click="ignore",
        help=say("brief.register.download_help"),
    )
