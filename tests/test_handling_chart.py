"""The charts of lifting indices draw what is beyond the limits and what has no upper end as what it is."""

import pytest
from assessed import assessed
from handling_cases import case, lift, standard

from coreset.brief.charts import worst_indices
from coreset.lifting.charts import indices as charts
from coreset.lifting.report.task_table import task_rows
from coreset.lifting.screen import screen
from coreset.lifting.uncertainty import spreads


def layers(spec):
    """Every layer of a chart that draws something."""
    if "mark" in spec:
        yield spec
    for inner in spec.get("layer", []):
        yield from layers(inner)


def shapes(spec):
    """Shapes that are named outright, with what they are drawn for."""
    for layer in layers(spec):
        if isinstance(layer["mark"], dict) and "shape" in layer["mark"]:
            yield layer["mark"]["shape"]


def test_a_chart_draws_what_is_beyond_the_limits_and_what_has_no_upper_end():
    """RWL 0 as a cross at the edge, an interval without an end as an arrow to it, neither as if it ended in the set."""
    lifts = lift(task="ends", horizontal_sd=1.0), lift(task="far", method="core setter", horizontal_destination=70.0)
    open_ended = lift(task="open", horizontal_destination=60.0, horizontal_sd=3.0)
    a_case = case(*lifts, open_ended)
    found = screen(a_case, [standard(30), standard(30, "core setter")])
    rows = task_rows(found, "metric", spreads=spreads(a_case, found, {}, seed=1))
    spec = charts.all_tasks(rows, ["manual", "core setter"]).to_dict()
    drawn = {row["label"]: row for row in _rows(spec)}
    edge = drawn["P1 · far"]["at"]
    highest = max(row["high"] or row["li"] for row in rows if row["li"])
    assert drawn["P1 · far"]["sign"] == "zero" and edge > 1.5 * highest
    assert drawn["P1 · open"]["sign"] == "open" and drawn["P1 · open"]["to"] == edge
    assert drawn["P1 · ends"]["sign"] == "closed" and drawn["P1 · ends"]["to"] == pytest.approx(rows[-1]["high"])
    assert {"cross", "triangle-right"} <= set(shapes(spec))
    assert "RWL 0: 1" in str(spec["title"]) and "no upper end" in spec["description"]


def _rows(spec):
    """Rows of tasks of a chart, wherever they stand."""
    found = [row for data in spec.get("datasets", {}).values() for row in data if "sign" in row]
    for layer in layers(spec):
        data = layer.get("data", {})
        found += [row for row in data.get("values", []) if "sign" in row]
    return found + [row for row in spec.get("data", {}).get("values", []) if "sign" in row]


def test_a_chart_of_forbidden_tasks_alone_is_drawn():
    """No index at all is no reason to draw nothing."""
    found = screen(case(lift(horizontal_destination=70.0)), [standard(30)])
    spec = charts.all_tasks(task_rows(found, "metric"), ["manual"]).to_dict()
    assert [row["sign"] for row in _rows(spec)][:1] == ["zero"]


def test_the_chart_of_the_brief_draws_rwl_0_and_the_job():
    """GC07 by hand as a cross beyond every index; VB24 with the setter at no less than its composite."""
    spec = worst_indices(assessed().case, assessed().handling).to_dict()
    drawn = [row for layer in layers(spec) for row in layer.get("data", {}).get("values", [])]
    zero = next(row for row in drawn if row.get("beyond"))
    assert (zero["pattern"], zero["method"], zero["label"]) == ("GC07", "manual", "RWL 0")
    assert zero["value"] > max(row["value"] for row in drawn if "pattern" in row and not row.get("beyond"))
    assert next(r["label"] for r in drawn if (r.get("pattern"), r.get("method")) == ("VB24", "manual")) == "1.11"
