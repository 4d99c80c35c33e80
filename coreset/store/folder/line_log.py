"""A line log: time stamp and pattern of each mold. In: a CSV file of any column names. Out: seconds and codes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
from numpy.typing import NDArray

from coreset.errors import Fault, StudyError
from coreset.store.folder.faults import known_name, shown
from coreset.store.intake.cells import codec_of

LOG = "line_log.csv"
BLOCK = 1024**2
LOOKED = 200
"""Rows on which the forms of a time are tried before one is taken for all."""
MOST_UNREAD = 0.01
BOTH = " + "
"""Between the heads of two columns, one with the day and one with the time of day."""
OFFSET = r"(?<=\d)\s?(?:Z|[+-]\d\d:?\d\d)$"
"""What may follow a time of day, as in 06:14:05+01:00: left out, for shifts go by the clock on the wall."""
SORTED_BY_YEAR = (
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M:%S",
    "%Y-%m-%d %H:%M:%S.%f",
    "%Y-%m-%dT%H:%M:%S.%f",
    "%Y-%m-%d %H:%M:%S,%f",
    "%Y-%m-%d %H:%M",
    "%Y/%m/%d %H:%M:%S",
)
DAY_FIRST = ("%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M", "%d/%m/%Y %H:%M:%S", "%d/%m/%Y %H:%M", "%d-%m-%Y %H:%M:%S")
MONTH_FIRST = ("%m/%d/%Y %H:%M:%S", "%m/%d/%Y %H:%M", "%m/%d/%Y %I:%M:%S %p", "%m-%d-%Y %H:%M:%S")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineLog:
    """Molds in the order of the file: seconds since 1970 by the plant's clock, number of the pattern in `names`.

    `unread` rows had no time that could be read; `form` is the form of the time that was taken.
    """

    times_s: NDArray[np.float64]
    pattern: NDArray[np.int64]
    names: tuple[str, ...]
    unread: int
    form: str


def read_log(path: Path, *, time: str = "time", pattern: str = "pattern", form: str = "") -> LineLog:
    """Read a line log.

    Parameters
    ----------
    path : Path
        CSV with a header row.
    time, pattern : str
        Names of the two columns; for a day and a time of day apart, both heads with " + " between.
    form : str
        Form of the time as of `datetime.strptime`; found out where empty.

    Returns
    -------
    LineLog

    Raises
    ------
    StudyError
        If a column is missing, no form fits, day and month cannot be told apart, or more than 1 % of the times
        cannot be read.
    """
    import pandas as pd

    heads = [name.strip() for name in time.split(BOTH)]
    try:
        encoding = _encoding(path)
        form_of_file: dict[str, Any] = {"sep": _separator(path, encoding), "encoding": encoding}
        head = pd.read_csv(path, nrows=0, **form_of_file)
        for name in (*heads, pattern):
            if name not in head.columns:
                _refuse(path, f"no column {shown(name)}", known_name(name, [str(each) for each in head.columns]))
        kinds: dict[str, Any] = dict.fromkeys(heads, str) | {pattern: "category"}
        rows = pd.read_csv(path, usecols=[*heads, pattern], dtype=kinds, **form_of_file)
    except StudyError:
        raise
    except (ValueError, OSError) as error:
        raise StudyError(
            [Fault(file=path.name, found=str(error)[:160], expected="a CSV file with a header")]
        ) from error
    rows = rows.dropna(subset=[pattern])
    texts = rows[heads[0]] if len(heads) == 1 else rows[heads[0]].str.cat([rows[name] for name in heads[1:]], sep=" ")
    if texts.head(LOOKED).str.contains(OFFSET, na=False).any():
        texts = texts.str.replace(OFFSET, "", regex=True)
    taken = form.replace("%z", "").strip() or _form(path, texts)
    moments = pd.to_datetime(texts, format=taken, errors="coerce")
    known = moments.notna().to_numpy()
    unread = int((~known).sum())
    if not len(rows) or unread > MOST_UNREAD * len(rows):
        _refuse(path, f"{unread} of {len(rows)} times not of the form {taken}", "one form of time in all rows")
    seconds = moments.to_numpy(dtype="datetime64[ns]").astype(np.int64)[known] / 1e9
    codes = rows[pattern].cat.codes.to_numpy().astype(np.int64)[known]
    names, number = np.unique([str(name).strip() for name in rows[pattern].cat.categories], return_inverse=True)
    return LineLog(times_s=seconds, pattern=number[codes], names=tuple(names.tolist()), unread=unread, form=taken)


def _encoding(path: Path) -> str:
    """How the text is written: as its first bytes tell, else by whether all of it can be read."""
    with path.open("rb") as file:
        codec = codec_of(file.read(LOOKED))
    try:
        with path.open(encoding=codec) as text:
            while text.read(BLOCK):
                pass
    except UnicodeDecodeError:
        return "cp1252"
    return codec


def _separator(path: Path, encoding: str) -> str:
    with path.open(encoding=encoding) as file:
        first = file.readline()
    return max(",;\t", key=first.count)


def _refuse(path: Path, found: str, expected: str) -> NoReturn:
    raise StudyError([Fault(file=path.name, found=found, expected=expected)])


def _form(path: Path, texts: Any) -> str:
    """The form that fits rows spread over the file; of day first and month first the one that fits all of them."""
    few = texts.iloc[np.unique(np.linspace(0, len(texts) - 1, LOOKED).astype(int))] if len(texts) else texts
    fit = [form for form in (*SORTED_BY_YEAR, *DAY_FIRST, *MONTH_FIRST) if _fits(few, form)]
    if not fit:
        _refuse(
            path, shown(str(texts.iloc[0]) if len(texts) else ""), "a time such as 2026-03-31 06:14:05, or its form"
        )
    if fit[0] in SORTED_BY_YEAR or len(fit) == 1:
        return fit[0]
    whole = [form for form in fit if _fits(texts, form)]
    if len(whole) != 1:
        _refuse(path, shown(str(texts.iloc[0])), f"the form of the time, {' or '.join(whole or fit)}: no day above 12")
    return whole[0]


def _fits(texts: Any, form: str) -> bool:
    import pandas as pd

    return bool(pd.to_datetime(texts, format=form, errors="coerce").notna().mean() > 1.0 - MOST_UNREAD)
