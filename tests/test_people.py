"""People of shared pages: a list in the database, groups of the provider, prices hidden, sign-ins ended everywhere."""

import csv
import dataclasses
import io
import json
import re
import time
from dataclasses import fields

import pytest
from book_cases import case, study
from provider import roles_file
from test_door import book, client, roles, signed_in  # noqa: F401 - fixtures
from test_routes import body

from coreset.case import Core, Element, ItemGrowth, Method, Money, Option, Pattern, Promise, Range, Study
from coreset.case.actual import Actual
from coreset.case.prices import OF_CASE, OF_CORE, OF_METHOD, OF_PATTERN, OPEN_MONEY, without_prices
from coreset.case.promise import FIGURES
from coreset.errors import BookError, StudyError
from coreset.store.book import Book
from coreset.store.book.plain import plain
from coreset.store.folder.parts import NAMED, SECTIONS, TABLES
from coreset.web import opened
from coreset.web.sign_in import people, visit
from coreset.web.sign_in.allowed import AllowedRequests
from coreset.web.sign_in.people import Person

ADMIN = Person(code="IT4", role="admin")
HEAD = "email,subject,code,role,since,plant,group,prices\n"


def claims(who, **more):
    """What the provider says of somebody who has just signed in."""
    return {"is_logged_in": True, "iat": time.time(), "sub": f"sub-{who}"} | more


def test_a_list_that_an_administrator_saves_holds_at_once_on_every_server(book, roles):  # noqa: F811 - fixtures
    """Beside the file, which still lets in its people; a second save of the same revision is refused and told."""
    other = Book(book.url)
    assert visit.judged(claims("new"), roles, lambda: other).reason == "unknown"
    door = AllowedRequests(book, lambda: ADMIN)
    assert door.save_people(f"{HEAD},sub-new,NW1,edit,,,,\n", base=0) == 1
    assert visit.judged(claims("new"), roles, lambda: other).person == Person(code="NW1", role="edit")
    assert visit.judged(claims("ed2"), roles, lambda: other).person.code == "ED2"
    with pytest.raises(BookError, match="somebody else changed it"):
        AllowedRequests(other, lambda: ADMIN).save_people(HEAD, base=0)
    door.save_people(HEAD, base=1)
    assert visit.judged(claims("new"), roles, lambda: other).reason == "unknown"
    other.close()


def test_only_an_administrator_of_every_plant_changes_the_list(book):  # noqa: F811 - fixtures
    """One of a single plant could otherwise give themselves the others."""
    for person in (Person(code="AP1", role="sign"), Person(code="A1", role="admin", plants={"A": "admin"})):
        door = AllowedRequests(book, lambda person=person: person)
        for act in (door.people, lambda door=door: door.save_people(HEAD, base=0)):
            with pytest.raises(BookError, match="needs admin"):
                act()
    assert book.people() == (0, "")


def test_a_group_of_the_provider_gives_its_role(book, roles, monkeypatch):  # noqa: F811 - fixtures
    """By the claim `groups` or another one; each person gets a code of their own, or keeps that of their own row."""
    book.save_people(f"{HEAD},,,sign,,B,line B,\n,,,edit,,A,line A,\n", who="IT4", base=0)
    found = visit.judged(claims("g1", groups=["line A", "line B", 7]), roles, lambda: book).person
    assert found.plants == {"A": "edit", "B": "sign"} and re.fullmatch("U[0-9A-F]{8}", found.code)
    assert visit.judged(claims("g2", groups=["line A"]), roles, lambda: book).person.code != found.code
    assert visit.judged(claims("ed2", groups=["line B"]), roles, lambda: book).person.code == "ED2"
    for groups in (["line C"], None, [], "line"):
        assert visit.judged(claims("g1", groups=groups), roles, lambda: book).reason == "unknown"
    monkeypatch.setenv(people.CLAIM_VARIABLE, "memberships")
    assert visit.judged(claims("g1", groups=["line A"]), roles, lambda: book).reason == "unknown"
    assert visit.judged(claims("g1", memberships="line A"), roles, lambda: book).person


@pytest.mark.parametrize(
    "row",
    ["a@plant.example,,A1,edit,,,line A,", ",,A1,edit,,,line A,", ",,,edit,,,,", "a@plant.example,,A1,edit,,,,never"],
)
def test_a_row_that_says_two_things_is_refused(row):
    """A group and an address, a group with a code, nobody at all, prices neither yes nor no."""
    with pytest.raises(StudyError):
        people.entries_of(HEAD + row + "\n", "list")


S = 777.25
PRICED = case(
    money=Money(setter_price=Range.exactly(S), wage_per_h=Range.exactly(S), discount_rate=0.08, budget=S),
    patterns=(
        Pattern(
            pattern="P1", molds_per_year=Range.exactly(1000), runs_per_year=10, margin_per_casting=Range.exactly(S),
            cost_per_scrapped_casting=S, mask_cost=Range.exactly(S), note=f"mask {S}",
        ),
    ),
    cores=(Core(pattern="P1", core="C1", mass=2.0, cost=S),),
    options=(Option(option="used", setter_price=Range.exactly(S)),),
    actuals=(Actual(year=0, item="setter", amount=S, origin="invoice"),),
    growth=(ItemGrowth(item="maintenance", per_year=0.03, source=f"offer {S}"),),
    promised=tuple(
        Promise(kind=kind, item=item, amount=S, low=S, middle=S, high=S, who="OB7", day="2026-03-31")
        for kind, item in (*(("figure", name) for name in FIGURES), ("input", "setter_price"))
    ),
    plant="A",
)  # fmt: skip


def test_every_field_that_is_a_price_by_its_meaning_is_hidden():
    """A field that is added later is hidden, or this fails: in [money] all that is not listed, else by its words."""
    price = re.compile(r"\b(cost|costs|price|margin|wage|paid|money)\b")
    hidden = {
        Pattern: OF_PATTERN,
        Core: OF_CORE,
        Method: OF_METHOD,
        Money: {one.name for one in fields(Money)} - {*OPEN_MONEY},
    }
    parts = {*TABLES.values(), *SECTIONS.values(), *(kind for kind, _ in NAMED.values()), Study, Element}
    for kind in parts - {TABLES[name] for name in OF_CASE}:
        words = {one.name: f"{one.metadata.get('meaning')} {one.metadata.get('counted_in')}" for one in fields(kind)}
        named = {name for name, text in words.items() if price.search(text) or "{currency}" in text}
        assert named - {"extra_molds_per_year", "breaks_min"} <= set(hidden.get(kind, ())), kind
    assert str(S) in json.dumps(plain(PRICED)) and str(S) not in json.dumps(plain(without_prices(PRICED)))


def test_prices_are_hidden_where_the_list_says_so_and_stay_as_they_are(book, roles):  # noqa: F811 - fixtures
    """The case comes without them, at any revision, and without reasons; what is saved leaves the stored ones."""
    book.keep("a", PRICED, who="OB7", why=f"setter {S}")
    book.save_people(
        f"{HEAD},sub-np,NP1,edit,,,,no\n,sub-ab,AB1,edit,,A,,no\n,sub-ab,AB1,edit,,B,,yes\n", who="IT4", base=0
    )
    hidden, half = (visit.judged(claims(who), roles, lambda: book).person for who in ("np", "ab"))
    assert (hidden.sees_prices("A"), half.sees_prices("A"), half.sees_prices("B")) == (False, False, True)
    for person in (hidden, half):
        door = AllowedRequests(book, lambda person=person: person)
        for found in (door.open("a"), door.open("a", revision=1), door.trail("a"), door.cases()):
            assert str(S) not in repr(found)
        seen = door.open("a")
        door.keep("a", dataclasses.replace(seen, title=f"By {person.code}"), who="", why="title")
        assert book.open("a") == dataclasses.replace(PRICED, title=f"By {person.code}")
        for changed in (
            dataclasses.replace(seen, money=dataclasses.replace(seen.money, setter_price=Range.exactly(1.0))),
            dataclasses.replace(seen, patterns=(), cores=()),
            dataclasses.replace(seen, plant="B"),
            dataclasses.replace(seen, actuals=PRICED.actuals),
        ):
            with pytest.raises(BookError, match="does not see the prices"):
                door.keep("a", changed, who="", why="x")
    assert str(S) in repr(AllowedRequests(book, lambda: ADMIN).open("a"))


def test_other_cases_of_a_plant_are_kept_with_prices_and_without(book, roles, monkeypatch):  # noqa: F811 - fixtures
    """What was read for a person who sees prices is not shown to one who does not, though both ask for one case."""
    monkeypatch.setenv("CORESET_ROLES", str(roles))
    for name in ("a", "next"):
        book.keep(name, PRICED, who="OB7", why="entered")
    monkeypatch.setattr(opened, "case", lambda: PRICED)
    monkeypatch.setattr(opened, "case_id", lambda: "a")
    for person in (ADMIN, Person(code="NP1", role="edit", no_prices=frozenset({""})), ADMIN):
        monkeypatch.setattr(opened, "guest", lambda person=person: person)
        assert (str(S) in repr(opened.cases_of_plant()["next"])) == (person is ADMIN)


def test_a_sign_out_ends_every_sign_in_of_that_person(client, book):  # noqa: F811 - fixtures
    """Of other devices and of a copied cookie too, and of nobody else; another site cannot ask for it."""
    here, copied, other = signed_in("ob7"), signed_in("ob7", iat=time.time() - 60), signed_in("ap1")
    asked = [client.get("/auth/logout", headers=here | {"sec-fetch-site": "cross-site"})]
    assert client.post("/api/presses", json=body(), headers=here).status_code == 200
    time.sleep(0.01)
    asked += [client.get("/auth/logout", headers=here | {"sec-fetch-site": "same-origin"})]
    for headers, status in ((here, 401), (copied, 401), (other, 200), (signed_in("ob7", iat=time.time() + 1), 200)):
        assert client.post("/api/presses", json=body(), headers=headers).status_code == status


def test_a_deleted_code_leaves_the_list_too(book, roles):  # noqa: F811 - fixtures
    """In every revision, as the one who saved as well."""
    book.keep("c", case(study()), who="OB7", why="entered")
    book.save_people(f"{HEAD},sub-new,NW1,edit,,,,\n,sub-b,BB2,edit,,,,\n", who="NW1", base=0)
    book.save_people(f"{HEAD},sub-b,BB2,edit,,,,\n", who="IT4", base=1)
    assert book.forget("NW1") == 1
    assert visit.judged(claims("new"), roles, lambda: book).reason == "unknown"
    assert [row["code"] for row in csv.DictReader(io.StringIO(book.people()[1]))] == ["BB2"]


def test_the_page_saves_the_list_or_its_faults_and_ends_sign_ins(book, roles, monkeypatch):  # noqa: F811 - fixtures
    """An administrator sees it on Setup; a list that would shut out who saves it is refused."""
    from coreset.web.sign_in import people_list

    roles_file(roles.parent, "it4@plant.example,,IT4,admin")
    monkeypatch.setenv("CORESET_ROLES", str(roles))
    who = claims("it4", email="it4@plant.example", email_verified=True)
    monkeypatch.setattr(people_list.st, "user", type("User", (), {"to_dict": staticmethod(lambda: who)}))
    assert people_list.saved() == (0, [dict.fromkeys(people_list.HEADS, "")]) and people_list.is_admin()
    row = {"subject": "sub-new", "code": "NW1", "role": "edit", "email": None}
    with pytest.raises(StudyError, match="role"):
        people_list.save([row | {"role": "boss"}], base=0)
    people_list.save([row], base=0)
    assert visit.judged(claims("new"), roles, lambda: book).person.code == "NW1"
    assert book.people()[0] == 1
    people_list.save(people_list.ended(people_list.saved()[1], "NW1"), base=1)
    assert visit.judged(claims("new", iat=time.time() - 5), roles, lambda: book).reason == "late"
    assert visit.judged(claims("new", iat=time.time() + 1), roles, lambda: book).person
    roles_file(roles.parent, *("ob7@plant.example,,OB7,observe",))
    book.save_people(f"{HEAD},sub-it4,IT4,admin,,,,\n", who="IT4", base=2)
    with pytest.raises(BookError, match="no longer be an administrator"):
        people_list.save([row], base=3)


def test_an_administrator_sees_the_list_on_setup_and_nobody_else_does(book, roles, monkeypatch):  # noqa: F811 - fixtures
    """Drawn as the page draws it: the grid with its words, the end of one person's sign-ins."""
    from streamlit.testing.v1 import AppTest

    from coreset.web.sign_in import people_list

    roles_file(roles.parent, ",sub-it4,IT4,admin")
    monkeypatch.setenv("CORESET_ROLES", str(roles))
    book.save_people(f"{HEAD},sub-new,NW1,edit,,,,\n", who="IT4", base=0)
    for person, shown in ((ADMIN, True), (Person(code="AP1", role="sign"), False), (None, False)):
        monkeypatch.setattr(people_list, "guest", lambda person=person: person)
        monkeypatch.setattr("coreset.web.opened.guest", lambda person=person: person)
        page = AppTest.from_string(
            "from coreset.pages.setup import people\npeople.people_of_server()", default_timeout=30
        ).run()
        assert not page.exception and bool(page.expander) == shown
        if shown:
            assert [one.label for one in page.button] == ["Save list of people", "End now"]
            monkeypatch.setattr(
                people_list.st, "user", type("User", (), {"to_dict": staticmethod(lambda: claims("it4"))})
            )
            page.button[1].click().run()
            assert book.people()[0] == 2 and book.people()[1].count("+00:00") == 1 and not page.error
