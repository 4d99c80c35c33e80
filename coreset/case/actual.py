"""What was really paid and saved after the purchase: a row of actuals.csv, set against what was promised."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from coreset.case.fields import Code, Count, item_of, says, yearly_costs
from coreset.case.money import Money

FIRST = ("setter", "installation", "training", "commissioning", "masks", "step", "production_lost", "capital_tied_up")
"""Items paid before the setter runs: year 0."""
SAVED = (
    "labour",
    "overtime",
    "throughput",
    "scrap",
    "core_losses",
    "core_supply",
    "injury",
    "residual",
    "capital_released",
)
"""Items whose amount is what was saved or earned, below 0 where it cost more; of all others it is what was paid."""
RUNNING = (
    "labour",
    "overtime",
    "throughput",
    "scrap",
    "core_losses",
    "core_supply",
    "injury",
    "residual",
    "capital_released",
    "mask_changes",
    "mask_preparation",
    "mask_repair",
    "mask_replacement",
    "mask_phase_in",
    "ramp_up",
    "air",
    "electricity",
    "lease",
    "overhaul",
    "replacement",
    "buyout",
    "tax",
    *(item_of(key) for key in yearly_costs(Money)),
)
"""Items of a running year."""
if TYPE_CHECKING:
    Item = str
else:
    Item = Literal[(*FIRST, *RUNNING)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Actual:
    """One amount of one year: a row of actuals.csv. Rows of the same year and item are added up."""

    year: Count = says(
        "year of the evaluation period: 0 is what was paid before the setter ran, 1 its first year", counted_in="year"
    )
    item: Item = says("item of the cash flow")
    amount: float = says(
        "money of that year: what was paid, or what was saved or earned by labor, scrap, sales", counted_in="{currency}"
    )
    origin: Code = says("where the figure comes from: invoice, payroll, meter")

    @property
    def flow(self) -> float:
        """The amount as it stands in the cash flow: paid is negative, saved positive."""
        return self.amount if self.item in SAVED else -self.amount
