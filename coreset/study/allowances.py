"""Allowances: lines of cause, percent and source, their sum, its basis, and what it does to a normal time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coreset.case import AllowanceLine, Allowances, Case, Core
from coreset.errors import OutOfRange
from coreset.sources import Table, table
from coreset.study.delay_study import DelayStudy, delay_studies
from coreset.units import KG_PER_LB

TABLES = {"ilo1957": ("mass_lb", "us"), "ilo1979": ("mass_kg", "metric")}
FORCE = "use of force"
CONTINGENCY_USUAL_PCT = 5.0  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class AllowedFor:
    """One line of an allowance as calculated: percent of normal time (or of the shift, as the basis says)."""

    cause: str
    condition: str
    percent: float
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AppliedAllowances:
    """A set of allowances as calculated for one study. `notes` are codes of what the reader must be told."""

    name: str
    basis: str
    lines: tuple[AllowedFor, ...]
    notes: tuple[str, ...] = ()

    @property
    def percent(self) -> float:
        """Sum of the lines: allowance tables add, they do not multiply. [%]"""
        return sum(line.percent for line in self.lines)

    @property
    def factor(self) -> float:
        """Standard over normal time."""
        return factor(self.percent, self.basis)


def factor(percent: float, basis: str) -> float:
    """Standard over normal time for an allowance and its basis.

    Parameters
    ----------
    percent : float
        A, as a percentage. [%]
    basis : str
        `normal`: of the work, 1 + A. `shift`: of the day, 1/(1 - A).

    Raises
    ------
    OutOfRange
        If the basis is neither, or the allowance leaves no time to work.

    References
    ----------
    [stevenson] equations 7-7 and 7-8, p. 329.

    Examples
    --------
    >>> factor(15, "normal"), round(factor(15, "shift"), 4)
    (1.15, 1.1765)
    """
    if basis == "normal":
        return 1 + percent / 100
    if basis != "shift":
        raise OutOfRange(f"allowance basis must be normal or shift, got {basis!r}")
    if percent >= 100:
        raise OutOfRange(f"an allowance on the shift must be below 100 %, got {percent}")
    return 1 / (1 - percent / 100)


def on_basis(percent: float, *, basis_from: str, basis_to: str) -> float:
    """The same allowance as a percentage of the other basis. [%]

    Parameters
    ----------
    percent : float
        The allowance. [% of the basis it is stated on]
    basis_from, basis_to : str
        "normal" (of normal time) or "shift" (of the time at work).

    Raises
    ------
    OutOfRange
        If a basis is neither, or 100 % or more of the shift is allowed.

    Examples
    --------
    >>> on_basis(25, basis_from="normal", basis_to="shift"), on_basis(20, basis_from="shift", basis_to="normal")
    (20.0, 25.0)
    """
    times = factor(percent, basis_from)
    factor(0, basis_to)
    return round(100 * (times - 1) if basis_to == "normal" else 100 * (1 - 1 / times), 10)


def force_row(mass: float, *, units: str, table_key: str) -> tuple[AllowedFor, bool]:
    """The row of the force table for a mass: the next higher row between two; whether it is beyond the last one.

    Parameters
    ----------
    mass : float
        Load. [kg or lb, as `units` says]
    units : str
        Unit set of the mass: metric or us.
    table_key : str
        ilo1957 (pounds) or ilo1979 (kilograms): two printed tables, no conversions of each other.

    References
    ----------
    [ilo1957], [ilo1979] use of force. Next higher row between rows: common practice, no source.

    Examples
    --------
    >>> force_row(12, units="us", table_key="ilo1957")[0].condition
    '15 lb'
    """
    column, table_units = TABLES[table_key]
    if units != table_units:
        mass = mass / KG_PER_LB if table_units == "us" else mass * KG_PER_LB
    found = table(f"{table_key}/allowances")
    rows = [row for row in found.rows if row["cause"] == FORCE]
    row = next((row for row in rows if mass <= float(row[column]) + 1e-9), None)
    return _line(found, row or rows[-1], table_key), row is None


def _line(found: Table, row: dict[str, str], key: str) -> AllowedFor:
    return AllowedFor(
        cause=row["cause"],
        condition=row["condition"],
        percent=float(row["percent"]),
        source=key,
        status=found.row_status(row),
    )


def table_line(cause: str, condition: str, *, table_key: str) -> AllowedFor:
    """One row of a printed table by cause and condition.

    Parameters
    ----------
    cause, condition : str
        As printed; the condition may be empty where the cause has one row.
    table_key : str
        Key of the publication, a folder of `reference/` with `allowances`.

    Raises
    ------
    OutOfRange
        If there is no such row, or the row prints a range and needs a percent of its own.
    """
    found = table(f"{table_key}/allowances")
    rows = [row for row in found.rows if row["cause"] == cause]
    if not rows:
        causes = ", ".join(dict.fromkeys(row["cause"] for row in found.rows))
        raise OutOfRange(
            f"cause of an allowance must be a row of {table_key} ({causes}) or have a percent, got {cause!r}"
        )
    row = next((row for row in rows if condition == row["condition"] or len(rows) == 1 and not condition), None)
    if row is None:
        conditions = ", ".join(row["condition"] for row in rows)
        raise OutOfRange(f"condition of {cause!r} must be one of {conditions}, got {condition!r}")
    if "-" in row["percent"]:
        raise OutOfRange(f"{cause!r} prints {row['percent']} %: the percent must be stated, got none")
    return _line(found, row, table_key)


def heaviest(cores: Iterable[Core]) -> Core | None:
    """The heaviest of some cores, or None."""
    return max(cores, key=lambda core: core.mass, default=None)


def allowed(case: Case, chosen: Allowances | None, cores: Iterable[Core] = ()) -> AppliedAllowances:
    """The allowances of a study, line by line.

    Parameters
    ----------
    case : Case
        For its unit set.
    chosen : Allowances or None
        The set that the study names; None gives no allowance and a note.
    cores : iterable of Core
        Cores handled in the study; the heaviest decides the force row.

    Returns
    -------
    AppliedAllowances
        Lines, sum and basis. A line with its own percent keeps it, with its own source.
    """
    if chosen is None:
        return AppliedAllowances(name="", basis="normal", lines=(), notes=("no_allowances",))
    found = delay_studies(case.delays)
    lines, notes = [_line_of(line, chosen, found) for line in chosen.lines], []
    notes += ["delays_few"] if any(found[line.study].few for line in chosen.lines if line.study in found) else []
    core = heaviest(cores)
    if chosen.force_from_core and chosen.table and core and not any(line.cause == FORCE for line in lines):
        line, beyond = force_row(core.mass, units=case.units, table_key=chosen.table)
        lines.append(line)
        notes += ["force_beyond_table"] if beyond else []
    if chosen.contingency_pct:
        lines.append(
            AllowedFor(cause="contingency", condition="", percent=chosen.contingency_pct, source="", status="")
        )
        notes += ["contingency_large"] if chosen.contingency_pct > CONTINGENCY_USUAL_PCT else []
    return AppliedAllowances(name=chosen.name, basis=chosen.basis, lines=tuple(lines), notes=tuple(notes))


def _line_of(line: AllowanceLine, chosen: Allowances, found: Mapping[str, DelayStudy]) -> AllowedFor:
    """A line by the study of delays that it cites, else with its own percent or that of the table."""
    if not line.study:
        return _own_or_table(line, chosen.table)
    if line.study not in found or line.cause not in found[line.study].shares:
        raise OutOfRange(f"allowance {line.cause!r} must cite a study with work in delays.csv, got {line.study!r}")
    one = found[line.study]
    share = one.shares[line.cause]
    told = (
        f"{one.study}: {one.shifts} shifts, {one.watched:g} {one.counted}, 95 % {share.low:.1f} to {share.high:.1f} %"
    )
    percent = on_basis(share.percent, basis_from="normal", basis_to=chosen.basis)
    return AllowedFor(cause=line.cause, condition=line.condition, percent=percent, source=told, status="")


def _own_or_table(line: AllowanceLine, table_key: str) -> AllowedFor:
    if line.percent is not None:
        return AllowedFor(
            cause=line.cause, condition=line.condition, percent=line.percent, source=line.source, status=""
        )
    if not table_key:
        raise OutOfRange(f"allowance {line.cause!r} must have a percent or the set a table, got neither")
    return table_line(line.cause, line.condition, table_key=table_key)
