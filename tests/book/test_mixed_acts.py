"""Sixteen writers from sixteen processes, acts of every kind mixed: each acknowledged one is there, in order, once."""

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from book_cases import case, study
from mixed_acts import CASE, PRESSED, TYPED

from coreset.case import Readings
from coreset.store.book.verify import verify_store

WRITERS = 16
SCRIPT = Path(__file__).parents[1] / "mixed_acts.py"


def worked(url, folder, each, names):
    """What each writer was acknowledged, in order, by its name."""
    started = [
        subprocess.Popen([sys.executable, str(SCRIPT), url, name, str(each), str(folder / name)]) for name in names
    ]
    assert [process.wait(timeout=3600) for process in started] == [0] * len(names)
    log = {name: [json.loads(line) for line in (folder / name).read_text().splitlines()] for name in names}
    assert sum(map(len, log.values())) == len(names) * each
    return log


def holds(book, log):
    """Whether each act that was acknowledged is there, in its writer's order, once, and no other is."""

    def marks(*kinds):
        return {name: [mark for kind, mark, _ in rows if kind in kinds] for name, rows in log.items()}

    stored = book.presses(CASE, PRESSED)
    assert {name: [press.note for press in stored[name]] for name in log} == marks("press")
    made = [one.why for one in book.open(CASE).studies[0].corrections]
    assert {name: [why for why in made if why.startswith(f"{name}-")] for name in log} == marks("correction")
    trail = list(reversed(book.trail(CASE)))
    assert [row.revision for row in trail] == list(range(1, len(trail) + 1))
    acknowledged = {number: mark for rows in log.values() for kind, mark, number in rows if kind in ("edit", "undo")}
    assert {row.revision: row.why for row in trail[1:]} == acknowledged
    assert not [mark for mark, count in Counter(made).items() if count > 1]
    assert verify_store(book.url) == []


@pytest.mark.slow
@pytest.mark.parametrize("acts", [320, 1_000, pytest.param(10_000, marks=pytest.mark.long)])
def test_every_acknowledged_act_is_there_in_order_once(book, url, tmp_path, acts):
    """Presses, corrections, edits and undos against one case; the chain of acts holds at the end."""
    book.keep(CASE, case(study(TYPED), study(PRESSED, readings=Readings())), who="OB7", why="entered")
    each = -(-acts // WRITERS)
    holds(book, worked(url, tmp_path, each, [f"w{number:02d}" for number in range(WRITERS)]))
