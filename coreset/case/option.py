"""Options of the purchase beside that of [money] and [setter]: offers of other vendors, used, leased, improved hand."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Annotated, Any, Literal

from annotated_types import Ge, Le

from coreset.case.fields import Code, Count, CountFromOne, NotNegative, Range, meaning, says
from coreset.case.money import Money
from coreset.case.plant import Setter

if TYPE_CHECKING:
    from coreset.case.case import Case

LEASED, USED = "leased", "second-hand"
"""Names of the two options that [money] may state by itself."""
MUST_DO, RULED_OUT = "must do", "ruled out"


def _as(kind: type, name: str, unit: str | None = None) -> Any:
    """A field that replaces one of the case's own; empty leaves that."""
    counted_in = next(field.metadata["counted_in"] for field in fields(kind) if field.name == name)
    return says(meaning(kind, name), unit=unit, counted_in=counted_in, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One option: a row of options.csv. What it leaves empty is as in [money] and [setter] of the case."""

    option: Code = says("name of the option")
    method: str = says("method that patterns go over to; empty is the method that is weighed", default="")
    patterns: tuple[str, ...] = says("patterns that go over; empty takes the best set", default=())
    by_hand: tuple[str, ...] = says("patterns that are improved by hand instead", default=())
    hand_method: str = says("method by hand that these go over to", default="")
    rule: Literal["", "must do", "ruled out"] = says("whether it must be done, or is ruled out", default="")
    reason: str = says("reason of that rule", default="")
    setter_price: Range | None = _as(Money, "setter_price")
    installation: Range | None = _as(Money, "installation")
    training: Range | None = _as(Money, "training")
    mask_cost: Range | None = _as(Money, "mask_cost")
    maintenance_per_year: Range | None = _as(Money, "maintenance_per_year")
    repairs_per_year: Range | None = _as(Money, "repairs_per_year")
    warranty_years: NotNegative | None = _as(Money, "warranty_years")
    delivery_months: Annotated[float, Ge(0), Le(60)] | None = _as(Money, "delivery_months")
    mask_repair_per_year: Range | None = _as(Money, "mask_repair_per_year")
    residual: Range | None = _as(Money, "residual")
    installation_lost_hours: Range | None = _as(Money, "installation_lost_hours")
    mask_life_molds: NotNegative | None = _as(Money, "mask_life_molds")
    lease_per_year: NotNegative | None = says(
        "lease per year; the price is then 0 unless entered", counted_in="{currency}/year", default=None
    )
    lease_years: Count | None = _as(Money, "lease_years")
    lease_buyout: NotNegative | None = _as(Money, "lease_buyout")
    mask_change_min: NotNegative | None = _as(Setter, "mask_change_min")
    downtime_share: Annotated[float, Ge(0), Le(0.5)] | None = _as(Setter, "downtime_share")
    mask_length: NotNegative | None = _as(Setter, "mask_length", "size")
    mask_width: NotNegative | None = _as(Setter, "mask_width", "size")
    mask_mass: NotNegative | None = _as(Setter, "mask_mass", "mass")
    payload: NotNegative | None = _as(Setter, "payload", "mass")
    lowering: NotNegative | None = _as(Setter, "lowering", "size")
    stroke_m: NotNegative | None = _as(Setter, "stroke_m")
    stroke_speed_m_s: NotNegative | None = _as(Setter, "stroke_speed_m_s")
    vacuum_max_kpa: NotNegative | None = _as(Setter, "vacuum_max_kpa")
    vacuum_flow_l_min: NotNegative | None = _as(Setter, "vacuum_flow_l_min")
    generators: CountFromOne | None = _as(Setter, "generators")
    air_l_per_cycle: NotNegative | None = _as(Setter, "air_l_per_cycle")
    power_kw: NotNegative | None = _as(Setter, "power_kw")
    claimed_cycle_s: NotNegative | None = says(
        "mold cycle that its vendor claims: valued at it where it is slower than was timed, proven only by timing",
        default=None,
    )
    source: str = says("where these figures come from", default="")

    def claim(self, candidate: str) -> float:
        """Mold cycle that the vendor claims of a setter that was not timed itself; 0 where there is none. [s]"""
        return self.claimed_cycle_s or 0.0 if self.method in {"", candidate} else 0.0

    def stated(self, kind: type) -> dict[str, Any]:
        """What the option states of `Money` or of `Setter`, by field; a lease alone sets the price to 0."""
        own = {f.name for f in fields(kind)}
        found = {f.name: getattr(self, f.name) for f in fields(self) if f.name in own - {"source"}}
        found = {name: value for name, value in found.items() if value is not None}
        if kind is Money and self.lease_per_year and self.setter_price is None:
            none = Range.exactly(0.0)
            found |= {"setter_price": none, "grant": none, "residual": found.get("residual", none)}
        return found


def with_setter(case: Case, option: str) -> Case:
    """The case with the setter as one of its options states it; the case itself for any other name.

    An option with a supply of its own has a straight curve, whatever was measured on another.
    """
    stated = next((o.stated(Setter) for o in case.options if o.option == option), {})
    if {"vacuum_max_kpa", "vacuum_flow_l_min"} & stated.keys():
        stated |= {"curve_kpa": (), "curve_l_min": ()}
    return replace(case, setter=replace(case.setter, **stated)) if stated else case
