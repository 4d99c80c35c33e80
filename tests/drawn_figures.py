"""The demo and its draws as a steward opens them, for the tests of figures that were drawn."""

import io
import re
from functools import cache

import pandas as pd

from coreset.assess import assess
from coreset.brief.dataset import drawn
from coreset.brief.draws import columns
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

REL = 2e-7
"""Draws are written in eight digits."""


@cache
def found():
    """The demo."""
    return assess(read(demo_folder()), draws=20_000, resamples=2_000)


@cache
def table(name):
    """Draws as a steward opens them: the file, read by pandas; what is empty never comes."""
    return pd.read_csv(io.BytesIO(drawn(columns(found())[name])))


def numbers(text):
    """Figures of a line, thousands not set apart."""
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", re.sub(r"\s", "", text).replace("−", "-"))]
