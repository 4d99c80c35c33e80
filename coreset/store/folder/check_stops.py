"""What must hold between an overall uptime and a list of stops. In: records with their spots. Out: faults."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coreset.case.stops import FORM_OF_STOPS, list_leaves
from coreset.store.folder.faults import Faults
from coreset.store.folder.tables import Row


def stops(head: Row, line: Row, parts: Sequence[Row], faults: Faults) -> None:
    """An overall uptime stands alone; what a list of stops does not explain is `other_stops_pct`."""
    found, form = line.value, head.fields.get("form", 1)
    if found is None:
        return
    listed = [row.value for row in parts if row.value is not None]
    if form < FORM_OF_STOPS:
        if found.other_stops_pct is not None:
            expected = f"form = {FORM_OF_STOPS} at the head of case.toml, in which it has a meaning"
            faults.add(line.spot.fault(found=f"{found.other_stops_pct:g}", expected=expected, column="other_stops_pct"))
    elif found.uptime is not None and listed:
        value = f"{found.uptime:g} and a list of {len(listed)} stops"
        faults.add(line.spot.fault(found=value, expected=_other_stops(found.uptime, listed), column="uptime"))
    elif found.uptime is not None and found.other_stops_pct is not None:
        expected = "one of them: uptime is 1 - other_stops_pct / 100"
        faults.add(line.spot.fault(found=f"{found.uptime:g} and other_stops_pct", expected=expected, column="uptime"))


def _other_stops(uptime: float, listed: Sequence[Any]) -> str:
    """What to enter in place of an overall uptime that stands with a list, with the arithmetic."""
    least, highest = list_leaves(listed)
    if uptime > least:
        sums = f"the list alone leaves {least:.4f} to {highest:.4f} of the time"
        return f"an uptime alone or a list alone: {sums}, so that the list is too long or {uptime:g} too high"
    low, high = (100.0 * (1.0 - uptime / left) for left in (least, highest))
    sums = f"100 (1 - {uptime:g} / {least:.4f}) = {low:.1f} without places between stations"
    if highest > least:
        sums += f", 100 (1 - {uptime:g} / {highest:.4f}) = {high:.1f} with places in plenty"
    return f"an uptime alone, or the list with other_stops_pct = {sums}"
