"""The element that the clock proposes: always that of one plain rule applied to what was really stored."""

import random
from math import ceil
from pathlib import Path

import pytest
from floor import durable, press, until

from coreset import pages
from coreset.store.book.presses import Press, taken

pytestmark = pytest.mark.browser

RULE = Path(pages.__file__).parent / "time_study" / "clock" / "session.js"
KEYS = {"next": "Space", "missed": "m", "foreign": "f", "undo": "Backspace"}
STUDIES = {
    "three and an occasional one": [("a", 1, False), ("b", 1, False), ("o", 1, True), ("c", 1, False)],
    "one of them twice": [("o", 1, True), ("a", 1, False), ("b", 2, False), ("c", 0.25, False), ("d", 1, False)],
    "one only": [("a", 1, False), ("o", 1, True)],
    "occasional ones only": [("o", 1, True), ("p", 1, True)],
}
DRIVER = """([elements, acts]) => acts.reduce((found, act) => {
  const presses = found.presses, before = understood(presses, elements);
  const add = (kind, element, cycle, target = null) =>
    presses.push({ seq: presses.length + 1, kind, element, cycle, target, clock_s: presses.length, note: "",
      rating: null });
  if (!presses.length) { add("start", "", 0); add("first", "", 0); }
  const cycle = (name) => cycleOf(elements, before, name);
  if (act === "undo") {
    const last = [...settled(presses)].reverse().find((p) => ["end", "missed", "split", "foreign"].includes(p.kind));
    if (last) add("strike", last.element, last.cycle, last.seq);
  } else if (before.away) add("foreign", "foreign", before.away.cycle);
  else if (act === "foreign") add("split", before.next, cycle(before.next));
  else if (act === "missed") add("missed", before.next, cycle(before.next));
  else { const name = act === "next" ? before.next : act; add("end", name, cycle(name)); }
  const after = understood(presses, elements);
  found.next.push(after.next);
  return found;
}, { presses: [], next: [] })"""


class Model:
    """The rule in plain words, on a list of what holds; it shares nothing with the clock."""

    def __init__(self, elements):
        self.due = {name: max(1, ceil(per_mold)) for name, per_mold, occasional in elements if not occasional}
        self.order = list(self.due)
        self.names = [name for name, *_ in elements]
        self.held = []

    def cycles(self):
        """Regular elements of each cycle, in the order taken."""
        found = {}
        for kind, name, cycle in self.held:
            if kind in ("end", "missed"):
                found.setdefault(cycle, []).extend([name] if name in self.due else [])
        return found

    def complete(self, cycle):
        """Whether a cycle has all that is due."""
        return all(cycle.count(name) >= times for name, times in self.due.items())

    def next(self):
        """What comes next."""
        cycles = list(self.cycles().values())
        under_way = [] if not cycles or self.complete(cycles[-1]) else cycles[-1]
        if under_way:
            place = self.order.index(under_way[-1])
            for name in self.order[place:]:
                if under_way.count(name) < self.due[name]:
                    return name
            return self.order[0]
        whole = [cycle for cycle in cycles if cycle and self.complete(cycle)]
        if whole:
            following = self.order[(self.order.index(whole[-1][-1]) + 1) % len(self.order)]
            if following == whole[-1][0]:
                return following
        return self.order[0] if self.order else self.names[0]

    def cycle_of(self, name):
        """The cycle that an element falls into."""
        cycles = self.cycles()
        number = max(cycles, default=0)
        if not number or self.complete(cycles[number]):
            return number + 1
        again = name in self.due and cycles[number].count(name) >= self.due[name]
        return number + again

    def act(self, act):
        """Do what an observer does."""
        if act == "undo":
            self.held = self.held[:-1]
        elif self.held and self.held[-1][0] == "split":
            self.held.append(("foreign", "foreign", self.held[-1][2]))
        else:
            name = self.next() if act in ("next", "missed", "foreign") else act
            kind = {"missed": "missed", "foreign": "split"}.get(act, "end")
            self.held.append((kind, name, self.cycle_of(name)))


def acts_of(elements, seed, count):
    """Random acts: mostly the large button, and all else besides."""
    drawn = random.Random(seed)
    names = [name for name, *_ in elements]
    choices = ["next"] * 6 + ["missed", "foreign", "foreign", "undo", *names, *names]
    return [drawn.choice(choices) for _ in range(count)]


@pytest.mark.parametrize("elements", STUDIES.values(), ids=STUDIES)
def test_random_sequences_follow_the_rule(page, elements):
    """In the browser's own code, over 200 random sequences, each proposal is that of the rule; the server agrees."""
    page.add_script_tag(content=RULE.read_text(encoding="utf-8") + "\nwindow.understood = understood;")
    given = [{"name": name, "per_mold": per_mold, "occasional": odd} for name, per_mold, odd in elements]
    for seed in range(200):
        acts = acts_of(elements, seed, 40)
        found = page.evaluate(DRIVER, [given, acts])
        model, expected = Model(elements), []
        for act in acts:
            model.act(act)
            expected.append(model.next())
        assert found["next"] == expected, (seed, acts)
        assert_readings(found["presses"], model)


def assert_readings(presses, model):
    """The server's readings of the presses are the elements and cycles that the model holds."""
    read = taken([Press(wall_ms=0.0, **p) for p in presses], timing="continuous").readings
    marks = {"end": "", "split": "split", "foreign": "foreign", "missed": "missed"}
    held = model.held
    assert list(read.mark) == [marks[kind] for kind, *_ in held]
    for reading, (kind, name, cycle) in zip(read, held, strict=True):
        if kind != "split":  # the part before foreign time goes by the element that ended after it
            assert (reading.element, reading.cycle) == (name, cycle)


def test_an_occasional_element_after_a_complete_cycle(page, floor):
    """The first element is proposed, and a press stores it: nothing is shifted."""
    floor.open(page)
    press(page, "Space", "Space", "Space", "Space", "Space", "3")
    assert "fetch core" in page.locator(".next-what").inner_text()
    press(page, "Space", "Space", "Space", "3", "f", "f", "Space")
    assert until(lambda: floor.count() == 13, page=page)
    found = [(r.cycle, r.element) for r in floor.study().readings if r.mark == ""]
    assert found == [
        (1, "fetch core"),
        (1, "set core"),
        (1, "close mold"),
        (2, "blow off"),
        (2, "fetch core"),
        (2, "set core"),
        (2, "close mold"),
        (3, "blow off"),
        (3, "fetch core"),
    ]


@pytest.mark.parametrize("seed", [1, 2])
def test_random_keys_on_the_real_clock_follow_the_rule(page, floor, seed):
    """What the large button names after each key is that of the rule, and the stored readings are too."""
    names = [("fetch core", 1, False), ("set core", 1, False), ("blow off", 1, True), ("close mold", 1, False)]
    keys = KEYS | {name: str(number) for number, (name, *_) in enumerate(names, start=1)}
    floor.open(page)
    press(page, "Space", "Space")
    model, count = Model(names), 2
    for act in acts_of(names, seed, 40):
        away = bool(model.held) and model.held[-1][0] == "split"
        if (act == "undo" and not model.held) or (away and act not in ("next", "foreign", "undo")):
            continue
        model.act(act)
        count += 1
        press(page, keys[act], pause_ms=20)
        assert until(lambda count=count: durable(page) == count, page=page)
        if model.held and model.held[-1][0] == "split":
            continue
        assert page.locator(".next-what").inner_text() == f"{model.next()} ends", (act, model.held[-4:])
    assert until(lambda: floor.count() == count, page=page)
    presses = [{name: getattr(p, name) for name in p.__slots__ if name != "wall_ms"} for p in floor.stored()]
    assert_readings(presses, model)
