"""Options of several commands; numbers are read as those of a file are, so that `1_0` is refused, not taken as 10."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any

import typer

from coreset.number_text import number, whole
from coreset.text import say

EngineName = Annotated[
    str, typer.Option("--engine", help=say("cli.engine"), envvar="CORESET_ENGINE", show_envvar=False)
]
"""Option of the commands that assess several cases, or serve those who do."""


def number_option(help_: str, *, least: float = -math.inf, most: float = math.inf, **more: Any) -> Any:
    """An option that takes a number from `least` to `most`; `more` goes to the option as it is.

    Parameters
    ----------
    help_ : str
        What the help says of it.
    least, most : float
        Bounds, both allowed.
    more
        Further arguments of the option.
    """
    return _option(number, "number", help_, (least, most), more)


def whole_option(help_: str, *, least: float = -math.inf, most: float = math.inf, **more: Any) -> Any:
    """An option that takes a whole number from `least` to `most`; `more` goes to the option as it is.

    Parameters
    ----------
    help_ : str
        What the help says of it.
    least, most : float
        Bounds, both allowed.
    more
        Further arguments of the option.
    """
    return _option(whole, "whole number", help_, (least, most), more)


def _option(read: Callable[[str], float], kind: str, help_: str, limits: tuple[float, float], more: Any) -> Any:
    least, most = limits
    above = f" from {least:.0f}" if least > -math.inf else ""
    expected = kind + above + (f" to {most:.0f}" if most < math.inf else "")

    def parsed(text: Any) -> float:
        """The number; a default is one already."""
        try:
            value = read(text) if isinstance(text, str) else text
        except ValueError:
            value = math.nan
        if not least <= value <= most:
            raise typer.BadParameter(f"must be a {expected}, got {text!r}")
        return value

    return typer.Option(parser=parsed, metavar=f"<{expected}>", help=help_, **more)
