"""A time study as taken: header, elements, readings, and the corrections made since, none of them overwritten."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, Literal, NamedTuple

from annotated_types import Gt, Le, MaxLen

from coreset.case.fields import Code, NotNegative, Positive, says

LONGEST_ELEMENT_S, SHORTEST_CYCLE_S, LEAST_RATING = 1800.0, 1.0, 2.0
"""Beyond these a figure of a study is questioned: an element of half an hour, a cycle of a second, a rating below 2,
which is likely a share. Our own choice, no source."""
Mark = Literal["", "foreign", "missed", "failed", "split"]
Timing = Literal["continuous", "snapback"]
PICTURE = "data:image/jpeg;base64,"
"""How a picture begins that is text: it goes wherever the study goes."""
MOST_PICTURE = 24_000
"""Characters of a picture at most, some 18 kB: a cell of a workbook holds 32,767."""
Picture = Annotated[str, MaxLen(MOST_PICTURE)]
DELAY_CAUSES = ("contingency", "delay")
"""Causes of an allowance that a study of delays gives the percent of."""
Status = Literal["draft", "trial", "current", "superseded", "withdrawn"]


class Reading(NamedTuple):
    """One reading of the watch.

    `reading_s` is the clock at the breakpoint (continuous) or the element time itself (snapback); NaN if missed.
    `mark`: foreign = not part of the job; missed = breakpoint not read; failed = try broken off, the time is a
    lower bound; split = the part of an element before foreign time, which goes with the part that ends it. `rating`
    is on the study's scale, NaN where the element's or study's rating holds.
    """

    seq: int
    cycle: int
    element: str
    reading_s: float
    rating: float
    mark: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Readings in the order taken, one tuple a column, all of one length."""

    seq: tuple[int, ...] = ()
    cycle: tuple[int, ...] = ()
    element: tuple[str, ...] = ()
    reading_s: tuple[float, ...] = ()
    rating: tuple[float, ...] = ()
    mark: tuple[str, ...] = ()
    note: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.seq)

    def __iter__(self) -> Iterator[Reading]:
        columns = (self.seq, self.cycle, self.element, self.reading_s, self.rating, self.mark, self.note)
        return map(Reading._make, zip(*columns, strict=True))

    @classmethod
    def of(cls, rows: Iterator[Reading] | list[Reading]) -> Readings:
        """Readings from rows, kept in their order."""
        columns = list(zip(*rows, strict=True)) or [()] * len(Reading._fields)
        return cls(**dict(zip(Reading._fields, columns, strict=True)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """One element of the job, between two breakpoints."""

    name: Code = says("name of the element")
    kind: Literal["manual", "machine"] = says("manual: rated, with allowance; machine: neither", default="manual")
    breakpoint: str = says("sight or sound that ends it", default="")
    per_mold: Annotated[float, Gt(0), Le(1000)] | None = says(
        "times it occurs for one mold; empty is once in every cycle", default=None
    )
    occasional: bool = says("not in every cycle; its frequency is per_mold, or counted if that is empty", default=False)
    rating_pct: Positive | None = says("rating of the element where its readings carry none", default=None)
    core: str = says("core that it handles, for the force allowance and standard data", default="")
    cores_handled: NotNegative = says("cores handled in one occurrence", default=0.0)
    distance_m: NotNegative = says("distance walked or carried in one occurrence", counted_in="m", default=0.0)
    picture: Picture = says("picture of the moment that ends it: a small JPEG as a data address", default="")
    earlier: tuple[str, ...] = says("names that it had before, under which readings were taken", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A change made after the study was taken: the reading it concerns stays as it was."""

    seq: int = says("reading that it concerns")
    action: Literal["exclude", "relabel", "rerate", "restore"] = says("what is done to it")
    value: str = says("new element for relabel, new rating for rerate", default="")
    who: Code = says("code of the person who made it")
    when: Code = says("date and time it was made")
    why: Code = says("reason")


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """One time study: times/<study>.toml and times/<study>.csv."""

    study: Code = says("code of the study")
    method: Code = says("method that was timed")
    pattern: Code = says("pattern that was molded")
    observer: Code = says("code of the observer")
    operator: Code = says("code of the operator")
    timing: Timing = says("continuous (clock runs on) or snapback (clock reset at each breakpoint)")
    date: str = says("day of the study", default="")
    shift: str = says("shift", default="")
    clock_in: str = says("wall clock at the start, h:mm:ss", default="")
    clock_out: str = says("wall clock at the end, h:mm:ss", default="")
    elapsed_before_s: NotNegative = says("TEBS: clock-in until the first element starts", default=0.0)
    elapsed_after_s: NotNegative = says("TEAF: last element ends until clock-out", default=0.0)
    rating_scale: str = says("rating scale by name", default="100-133")
    rating_pct: Positive = says("rating of the whole study where nothing else is rated", default=100.0)
    rater_sd_pct: NotNegative | None = says(
        "variation of the rater, one standard deviation; empty is assumed", default=None
    )
    allowances: str = says("name of the allowance set", default="")
    molds_per_cycle: Positive = says("molds made in one cycle", default=1.0)
    crew: Positive = says("people whose time the standard covers", counted_in="people", default=1.0)
    taken_by: str = says("code of who used the clock", default="")
    taken_with: Literal["watch", "clock", "video", "import"] = says("how it was taken", default="watch")
    origin: str = says("file, size and hash of a video, or where readings were imported from", default="")
    consent: bool = says("operator told of the study and its purpose", default=False)
    department: str = says("department and operation", default="")
    tooling: str = says("machine, tooling and settings", default="")
    layout: str = says("method and layout in words", default="")
    conditions: str = says("heat, light, noise, floor", default="")
    experience: str = says("operator's experience", default="")
    watch: str = says("instrument and its check", default="")
    approver: str = says("code of who approved it", default="")
    signed: str = says("code and time of the signature that locks it", default="")
    version: str = says("version of the method", default="1")
    status: Status = says(
        "status in the register: only current studies count, trial ones where none is current", default="current"
    )
    effective: str = says("day from which the standard holds; empty is the day of the study", default="")
    superseded_by: str = says("study that took its place", default="")
    status_reason: str = says("why it has this status: why it counts, or why it was withdrawn", default="")
    restudy: str = says("day of the next study, or what calls for it", default="")
    clock_trouble: str = says("what the instrument noticed: sleep, clock set, gaps", default="")
    note: str = says("anything worth knowing", default="")
    elements: tuple[Element, ...] = says("elements in the order of the work")
    readings: Readings = field(default_factory=Readings)
    corrections: tuple[Correction, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedPace:
    """One known pace that an observer rated: a row of raters.csv. Rows of one observer and time are one check."""

    observer: Code = says("code of the observer")
    taken: Code = says("day and time of the check")
    shown: Literal["walking", "dealing"] = says("what was shown: a walk, or cards being dealt")
    known_pct: Positive = says("pace that was shown, on the rating scale")
    rated_pct: Positive = says("rating that the observer gave, on the same scale")
    rating_scale: Code = says("rating scale by name")


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedShift:
    """One shift of a production study, in minutes, or of work sampling, in looks: a row of delays.csv.

    What was watched is the sum of all kinds; `total` is that sum.
    """

    study: Code = says("code of the study of delays")
    shift: Code = says("day and shift that was watched")
    counted: Literal["minutes", "looks"] = says("minutes of a production study, or looks of work sampling")
    watched: NotNegative = says(
        "minutes or looks in all; empty is the sum of the kinds", counted_in="min or looks", default=0.0
    )
    effective: NotNegative = says("work that the standard covers", counted_in="min or looks")
    rating_pct: Positive = says(
        "mean rating of that work, 100 being the pace of the standard",
        default=100.0,
        plausible=(20.0, 250.0),
        slip="a share instead of per cent",
    )
    contingency: NotNegative = says("work that the standard does not cover", counted_in="min or looks", default=0.0)
    delay: NotNegative = says(
        "delays that could not be avoided, without line stops and waits in the cycle",
        counted_in="min or looks",
        default=0.0,
    )
    personal: NotNegative = says("personal time", counted_in="min or looks", default=0.0)
    avoidable: NotNegative = says("delays that could have been avoided", counted_in="min or looks", default=0.0)
    foreign: NotNegative = says(
        "meals, breaks, meetings, breakdowns, stops of the line", counted_in="min or looks", default=0.0
    )
    not_seen: NotNegative = says("operator not seen", counted_in="min or looks", default=0.0)

    @property
    def total(self) -> float:
        """Minutes or looks in all."""
        kinds = (self.effective, self.contingency, self.delay, self.personal, self.avoidable, self.foreign)
        return sum(kinds) + self.not_seen


By = Literal[
    "constant", "cores", "mass", "heaviest", "distance", "cores + mass", "cores + heaviest", "cores + distance",
    "mass + heaviest", "mass + distance", "heaviest + distance",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """What an element's time follows, stated by a person instead of chosen by rule: a row of drivers.csv."""

    method: Code = says("method of the studies")
    element: str = says("element; empty is all that not every pattern has", default="")
    by: By = says("cores per mold, their mass, the heaviest of them, their distance, two of these, or none")


@dataclass(frozen=True, slots=True, kw_only=True)
class AllowanceLine:
    """One line of an allowance: a row of the table by cause and condition, or a percent with its own source."""

    cause: Code = says("row of the allowance table, or a cause of your own")
    condition: str = says("condition within the row", default="")
    percent: NotNegative | None = says("percent, where it is not the table's", counted_in="%", default=None)
    source: str = says("where a percent of your own comes from", default="")
    study: str = says("study of delays that gives the percent of the cause contingency or delay", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """A named set of allowances: [allowances.<name>] of case.toml."""

    name: Code = says("name of the set")
    basis: Literal["normal", "shift"] = says(
        "basis of the allowance: normal is 1 + A, shift is 1/(1 - A). Must be stated"
    )
    table: Literal["ilo1957", "ilo1979", ""] = says(
        "printed table the lines refer to: pounds 1957, kilograms 1979", default=""
    )
    force_from_core: bool = says("add the force row for the heaviest core handled", default=True)
    contingency_pct: NotNegative = says("contingency, usually not above 5 %", default=0.0)
    lines: tuple[AllowanceLine, ...] = says("lines, each with its cause", default=())
