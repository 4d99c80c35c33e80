"""Growth of one item of the cash flow beyond the inflation of its kind: a row of growth.csv."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Literal

from annotated_types import Ge, Le

from coreset.case.fields import Range, item_of, says, yearly_costs
from coreset.case.money import Money

GROWING = (
    "labour",
    "overtime",
    "mask_changes",
    "mask_preparation",
    "core_supply",
    "ramp_up",
    "throughput",
    "scrap",
    "core_losses",
    "injury",
    "mask_repair",
    "mask_replacement",
    "mask_phase_in",
    "overhaul",
    "replacement",
    "air",
    "electricity",
    "lease",
    *(item_of(key) for key in yearly_costs(Money)),
)
"""Items of a running year whose price grows."""
if TYPE_CHECKING:
    Item = str
else:
    Item = Literal[GROWING]


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemGrowth:
    """Growth of one item: a row of growth.csv. An item without a row grows with its kind, a lease not at all."""

    item: Item = says("item of the cash flow")
    per_year: Annotated[float, Ge(-0.5), Le(1)] = says(
        "growth of its price per year beyond wage, energy or general price inflation", counted_in="share"
    )
    source: str = says("where the figure comes from", default="")


def as_ranges(rows: Iterable[ItemGrowth]) -> dict[str, Range]:
    """What is entered, by the input that holds it, with who vouches for it."""
    return {growth_input(row.item): Range.exactly(row.per_year, row.source) for row in rows}


def growth_input(item: str) -> str:
    """Name of the input of the cash flow that holds the growth of an item."""
    return f"{item}_growth"
