"""The working of a figure: what was calculated, from what, by which formula, after whom."""

from __future__ import annotations

from dataclasses import dataclass

from coreset.text import message


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """One line of working, to be redone with a pocket calculator.

    `formula` has the symbols, `numbers` the same with the figures put in. `source` is a key of reference/sources.csv,
    empty for plain arithmetic; `status` is the weakest of the rows and rules used here, not of the whole publication,
    empty without a source; `rules` are ids of reference/<source>/rules.csv that decide the value.

    Examples
    --------
    >>> line = Working(what="mean", symbol="m", formula="(x1 + x2)/2", numbers="(4 + 5)/2", value=4.5, unit="s")
    >>> line.value, line.source, line.status
    (4.5, '', '')
    """

    what: str
    symbol: str = ""
    formula: str
    numbers: str
    value: float
    unit: str = ""
    source: str = ""
    where: str = ""
    status: str = ""
    rules: tuple[str, ...] = ()

    @property
    def cited(self) -> str:
        """Source and place in it, or what it was drawn with.

        Examples
        --------
        >>> Working(what="a", formula="b", numbers="c", value=1.0, source="stevenson", where="equation 7-1").cited
        'stevenson, equation 7-1'
        """
        return ", ".join(filter(None, (self.source, message(self.where))))
