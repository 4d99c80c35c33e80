"""Readings in somebody's own table, broken at random: readings, or what is wrong with them."""

import random

from mutations import spoilt

from coreset.case import Reading, Readings
from coreset.errors import StudyError
from coreset.store.folder.readings_import import Reader, as_csv, as_xlsx, guess, readings_from, table_of

ROWS = [
    Reading(i, i // 3 + 1, f"element {i % 3}", 2.5 * i, 100.0, "foreign" if i == 7 else "", "=note" if i == 4 else "")
    for i in range(1, 15)
]
GOOD = {"t.csv": as_csv(Readings.of(ROWS)).encode(), "t.xlsx": as_xlsx(Readings.of(ROWS))}


def test_broken_tables_of_readings_are_refused_or_read():
    """400 CSV files and 100 workbooks broken by fixed seeds, in every form of clock: only the documented error."""
    outcomes = {"read": 0, "refused": 0}
    for name, seeds in (("t.csv", range(400)), ("t.xlsx", range(100))):
        for seed in seeds:
            rng = random.Random(seed)
            content = spoilt(GOOD[name], rng)
            try:
                table = table_of(name, content)
                form = rng.choice(["s", "min", "cmin", "clock"])
                reader = Reader(columns=guess(table.heads), form=form, comma=rng.random() < 0.2)
                readings = readings_from(table, reader)
                assert all(s != s or 0 <= s < float("inf") for s in readings.reading_s), seed
                outcomes["read"] += 1
            except StudyError as error:
                assert error.faults, seed
                outcomes["refused"] += 1
    assert min(outcomes.values()) > 50
