"""Posts of presses broken at random: a documented answer, all of a post stored or nothing of it, never a 5xx."""

import copy
import json
import random

import pytest
from book_cases import case, study
from sqlalchemy import text
from test_routes import JSON, body, book, client  # noqa: F401  (fixtures)

from coreset.case import Readings
from coreset.store.book.presses import KINDS
from coreset.web import guard

ANSWERS = {200, 404, 413, 415, 422}
"""What the route may answer to a post of our own page: stored; unknown; too large; no JSON; not of its form."""
SEED = 20261125


def deep(levels):
    """A list in a list in a list."""
    found = []
    for _ in range(levels):
        found = [found]
    return found


ODD = [
    None, True, False, 0, -1, 1, 2, 3, 7, 0.5, -0.0, 1e308, -1e308, 1e-320, float("nan"), float("inf"), -float("inf"),
    10**6, 10**6 + 1, 2**31, 2**63, 10**40, 86400.0, 86400.1, "", "1", "S1", "S2", "NaN", "x" * 200, "x" * 201,
    "x" * 1001, "y" * 300_000, "\x00", "a\x00b", "\x1b[31m", "\ud800", "\u202e", "\U0001f642",
    "'; drop table reading; --", "../../etc/passwd", [], [1], {}, {"seq": 1}, deep(3), deep(60), [None] * 600, *KINDS,
]  # fmt: skip


class Sender:
    """A device that sends what it should, and what it should not."""

    def __init__(self, seed):
        self.draw = random.Random(seed)
        self.sent = []
        self.seq = {}

    def proper(self):
        """A few presses of a device in their order."""
        device = f"tab-{self.draw.randint(1, 6):04d}"
        presses = []
        for _ in range(self.draw.randint(1, 4)):
            self.seq[device] = self.seq.get(device, 0) + 1
            presses.append(
                {"seq": self.seq[device], "kind": self.draw.choice(KINDS), "clock_s": self.draw.uniform(0, 80_000),
                 "wall_ms": self.draw.uniform(1.7e12, 1.9e12), "cycle": self.draw.randint(0, 40),
                 "element": self.draw.choice(["fetch", "set", ""]), "rating": self.draw.choice([None, 90.0, 105.0]),
                 "target": self.draw.choice([None, 1, 2, 9]), "note": self.draw.choice(["", "n"])}
            )  # fmt: skip
        return body(device=device, presses=presses)

    def replayed(self):
        """Something sent before, as it was, in another order, or cut."""
        if not self.sent:
            return self.proper()
        again = copy.deepcopy(self.draw.choice(self.sent))
        presses = again.get("presses") if isinstance(again, dict) else None
        if isinstance(presses, list):
            self.draw.shuffle(presses)
            again["presses"] = presses[: self.draw.randint(0, len(presses))] * self.draw.choice([1, 1, 2])
        return again

    def broken(self):
        """A proper post in which one to three things were changed."""
        post = self.proper() if self.draw.random() < 0.7 else self.replayed()
        for _ in range(self.draw.randint(1, 3)):
            post = self.mutated(post)
        return post

    def mutated(self, value):
        """The value with one place in it changed, dropped, doubled or put elsewhere."""
        if isinstance(value, dict) and value and self.draw.random() < 0.85:
            name = self.draw.choice(list(value))
            how = self.draw.random()
            if how < 0.15:
                return {key: item for key, item in value.items() if key != name}
            if how < 0.25:
                return value | {self.draw.choice(["x", "admin", "presses", "", "__proto__"]): self.draw.choice(ODD)}
            return value | {name: self.mutated(value[name])}
        if isinstance(value, list) and value and self.draw.random() < 0.85:
            at = self.draw.randrange(len(value))
            how = self.draw.random()
            if how < 0.1:
                return value[:at] + value[at + 1 :]
            if how < 0.2:
                return value + [copy.deepcopy(value[at])]
            return [*value[:at], self.mutated(value[at]), *value[at + 1 :]]
        return self.draw.choice(ODD)

    def next(self):
        """What goes out next: bytes and content type."""
        make = self.draw.choices([self.proper, self.replayed, self.broken], [2, 2, 6])[0]
        post = make()
        self.sent = [*self.sent[-60:], post]
        content = json.dumps(post).encode()
        how = self.draw.random()
        if how < 0.03:
            content = content[: self.draw.randint(0, len(content))]
        elif how < 0.06:
            at = self.draw.randrange(max(len(content), 1))
            content = content[:at] + self.draw.randbytes(3) + content[at + 1 :]
        kind = self.draw.choice(["text/plain", "", "application/jsonx"]) if self.draw.random() < 0.02 else None
        return content, JSON if kind is None else JSON | {"content-type": kind}


def stored_rows(book):  # noqa: F811
    """Rows of presses that the book holds, of whatever case and study."""
    with book._reading() as connection:
        return connection.scalar(text("select count(*) from reading"))


def one_post(client, book, content, headers, held):  # noqa: F811
    """Send one; its status. What was stored goes into `held`; what was not left no row."""
    before = stored_rows(book)
    answer = client.post("/api/presses", content=content, headers=headers)
    assert answer.status_code in ANSWERS, (answer.status_code, content[:2000])
    if answer.status_code != 200:
        assert stored_rows(book) == before, content[:2000]
        assert answer.json()["error"].startswith("Refused"), answer.text
        return answer.status_code
    post = json.loads(content)
    apart = answer.json().pop("apart", "")
    assert answer.json() | {"apart": apart} == {"stored": [p["seq"] for p in post["presses"]], "apart": apart}
    assert bool(apart) == (post["study"] == "S2"), "the signed one"
    for press in post["presses"]:
        held.setdefault((post["study"], post["device"]), {}).setdefault(press["seq"], press)
    assert stored_rows(book) == sum(map(len, held.values())), content[:2000]
    return 200


def fuzzed(client, book, monkeypatch, count):  # noqa: F811
    """Send so many; in the end the book holds what was acknowledged, as it was first sent, and can be opened."""
    two = case(study(readings=Readings()), study("S2", readings=Readings()))
    book.keep("c", two, who="OB7", why="one to be signed")
    book.sign("c", "S2", who="AP1")
    moments = iter(range(10**9))
    monkeypatch.setattr(guard, "now_s", lambda: float(next(moments)))
    sender, held, seen = Sender(SEED), {}, {}
    for number in range(count):
        status = one_post(client, book, *sender.next(), held)
        seen[status] = seen.get(status, 0) + 1
        if number % 500 == 0:
            book.open("c")
    found = book.presses("c", "S1")
    assert {device: {p.seq for p in presses} for device, presses in found.items()} == {
        device: set(presses) for (code, device), presses in held.items() if code == "S1"
    }
    late = {device: len(presses) for (code, device), presses in held.items() if code == "S2"}
    assert book.presses("c", "S2") == {}
    assert {one.device.removesuffix("@late"): one.late for one in book.apart("c", "S2")} == late
    for device, presses in found.items():
        for press in presses:
            sent = held["S1", device][press.seq]
            assert (press.kind, press.clock_s, press.element, press.note) == (
                sent["kind"], sent["clock_s"], sent.get("element", ""), sent.get("note", ""))  # fmt: skip
    assert book.revision("c") == 2 and len(book.open("c").studies) == len(found) + 1
    print(f"\n{count} posts, answers {dict(sorted(seen.items()))}, {sum(map(len, held.values()))} presses stored")
    assert set(seen) == ANSWERS and (late or count < 2_000), "a signed study is rarely named"


COUNTS = [400, pytest.param(2_000, marks=pytest.mark.slow), pytest.param(20_000, marks=pytest.mark.long)]


@pytest.mark.slow
@pytest.mark.parametrize("count", COUNTS)
def test_broken_posts(client, book, monkeypatch, count):  # noqa: F811
    """Every answer is a documented one; no post is stored by half."""
    fuzzed(client, book, monkeypatch, count)


@pytest.mark.parametrize("where", ["element", "note"])
@pytest.mark.parametrize("odd", ["\x00", "\x1b", "\ufffe", "\x85"])
def test_what_no_store_can_carry_is_refused(client, book, where, odd):  # noqa: F811
    """A control character would pass one database and break the other, or the export."""
    sent = body()
    sent["presses"][0] |= {where: f"a{odd}b"}
    answer = client.post("/api/presses", json=sent, headers=JSON)
    assert (answer.status_code, "printable text" in answer.text) == (422, True)
    assert book.presses("c", "S1") == {}
