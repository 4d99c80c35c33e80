"""Readings in somebody's own table, broken at random: readings, or what is wrong with them."""

import random

from mutations import spoilt

from coreset.case import Reading, Readings
from coreset.errors import StudyError
from coreset.store.folder.readings_import import as_csv, as_xlsx
from coreset.store.intake import take_in

ROWS = [
    Reading(i, i // 3 + 1, f"element {i % 3}", 2.5 * i, 100.0, "foreign" if i == 7 else "", "=note" if i == 4 else "")
    for i in range(1, 15)
]
GOOD = {"t.csv": as_csv(Readings.of(ROWS)).encode(), "t.xlsx": as_xlsx(Readings.of(ROWS))}


def test_broken_tables_of_readings_are_refused_or_read():
    """400 CSV files and 100 workbooks broken by fixed seeds, by either timing: only the documented error."""
    outcomes = {"read": 0, "asked": 0, "refused": 0}
    for name, seeds in (("t.csv", range(400)), ("t.xlsx", range(100))):
        for seed in seeds:
            rng = random.Random(seed)
            content = spoilt(GOOD[name], rng)
            try:
                answers = {"unit": rng.choice(["s", "min", "cmin"]), "falls": "each_cycle", "empty": "missed"}
                found = take_in(name, content, timing=rng.choice(["continuous", "snapback"]), answers=answers)
                assert all(s != s or 0 <= s < float("inf") for s in found.readings.reading_s), seed
                assert all(one.words for one in (*found.told, *found.questions))
                outcomes["asked" if found.questions else "read"] += 1
            except StudyError as error:
                assert error.faults, seed
                outcomes["refused"] += 1
    assert min(outcomes.values()) > 20, outcomes
