"""What a case consists of on disk: its tables, the sections and named tables of case.toml, by kind of value."""

from coreset.case import (
    Action,
    Actual,
    Allowances,
    Core,
    Driver,
    ItemGrowth,
    Lift,
    Line,
    Method,
    Money,
    Option,
    Pattern,
    Place,
    Promise,
    RatedPace,
    ScrapCount,
    Setter,
    ShiftCount,
    WatchedShift,
)

TABLES = {
    "patterns": Pattern,
    "cores": Core,
    "lifts": Lift,
    "actions": Action,
    "scrap": ScrapCount,
    "counts": ShiftCount,
    "raters": RatedPace,
    "drivers": Driver,
    "delays": WatchedShift,
    "actuals": Actual,
    "promised": Promise,
    "options": Option,
    "growth": ItemGrowth,
}
SECTIONS = {"place": Place, "line": Line, "setter": Setter, "money": Money}
NAMED = {"allowances": (Allowances, "name"), "method": (Method, "method")}
