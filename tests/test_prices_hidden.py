"""Nothing that a person without prices sees or takes along has one: every page and file; an administrator sees them."""

import io
import re
import struct
import zipfile
from dataclasses import fields, replace

import pytest
from provider import roles_file
from streamlit.testing.v1 import AppTest

from coreset.case import Range
from coreset.case.actual import Actual
from coreset.case.prices import OF_CORE, OF_METHOD, OF_PATTERN, OPEN_MONEY
from coreset.case.promise import Promise
from coreset.pages.report.downloads import makers
from coreset.store.book import Book
from coreset.store.folder import read
from coreset.web import navigation
from coreset.web.assessments import assessment_of
from coreset.web.shelf import demo_folder
from coreset.web.sign_in.allowed import AllowedRequests
from coreset.web.sign_in.people import Person
from coreset.web.sign_in.visit import Visit

pytestmark = pytest.mark.slow
PRICE = 77_725.0
WRITTEN = re.compile(rb"(?<![\d.])77(?:,|\.| |\xc2\xa0|\xe2\x80\xaf|&nbsp;|\\u00a0|\\u202f)?725(?!\d)")
"""That price as text, with whatever stands between its thousands."""


def priced(value):
    """The price of this test in the place of an amount; what is a factor, a share or a few people stays."""
    if isinstance(value, Range):
        return Range.exactly(PRICE) if value.likely > 3 else value
    if isinstance(value, str):
        return f"costs {PRICE:.0f}"
    return PRICE if isinstance(value, float) and value > 3 else value


def with_price(case):
    """The case with every price of a pattern, a core, a method, an offer and of money the same; texts name it too."""

    def dressed(one, names):
        return replace(one, **{name: priced(getattr(one, name)) for name in names})

    money = [one.name for one in fields(case.money) if isinstance(getattr(case.money, one.name), Range)]
    return replace(
        case,
        plant="A",
        money=dressed(case.money, {*money} - {*OPEN_MONEY}),
        patterns=tuple(dressed(one, OF_PATTERN) for one in case.patterns),
        cores=tuple(dressed(one, OF_CORE) for one in case.cores),
        methods=tuple(dressed(one, OF_METHOD) for one in case.methods),
        options=tuple(replace(one, setter_price=Range.exactly(PRICE)) for one in case.options),
        actuals=(Actual(year=0, item="setter", amount=PRICE, origin=f"invoice over {PRICE:.0f}"),),
        promised=(Promise(kind="figure", item="npv", amount=PRICE, low=PRICE, middle=PRICE, high=PRICE),),
    )


def holds(content):
    """Whether bytes name the price: as a number, or written."""
    if content.startswith(b"PK"):
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return any(holds(archive.read(name)) for name in archive.namelist())
    return struct.pack("<d", PRICE) in content or bool(WRITTEN.search(content))


@pytest.fixture
def seen_by(tmp_path, monkeypatch):
    """What a person finds: pages that name the price, and files."""
    url = f"sqlite:///{tmp_path / 'b.sqlite'}"
    for name, value in (("BOOK", url), ("ENGINE", "0")):
        monkeypatch.setenv(f"CORESET_{name}", value)
    monkeypatch.setenv("CORESET_ROLES", str(roles_file(tmp_path, "it4@plant.example,,IT4,admin")))
    book = Book(url)
    book.keep("a", with_price(read(demo_folder())), who="OB7", why=f"setter {PRICE:.0f}")
    whole = replace(book.open("a"), actuals=(), promised=())  # what follows from it can be worked out
    book.keep("b", whole, who="OB7", why=f"now {PRICE:.0f}")

    def find(person, case_id, pages=navigation.ORDER):
        monkeypatch.setenv("CORESET_CASE", case_id)
        monkeypatch.setattr("coreset.web.sign_in.visit.visit", lambda: Visit(person=person))
        app, found = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=300), set()
        for name in pages:
            if name != navigation.ORDER[0]:
                app.switch_page(str(navigation.path_of(name).relative_to(navigation.FOLDER)))
            app.run()
            assert app.title and not app.exception, name
            drawn = [one.proto for one in app._tree if getattr(one, "proto", None) is not None]
            assert len(drawn) > 5, name
            if any(holds(proto.SerializeToString()) for proto in drawn):
                found.add(name)
        result = assessment_of(AllowedRequests(book, lambda: person).open(case_id))
        files = makers(result)
        return found | {end for end in files if not end.endswith("pdf") and holds(files[end]())}

    yield find
    book.close()


def test_no_page_and_no_file_names_a_price(seen_by):
    """The PDF has the words of the HTML. The same walk by an administrator finds them where they belong."""
    editor = Person(code="NP1", role="edit", no_prices=frozenset({""}))
    assert not editor.sees_prices("A")
    assert seen_by(editor, "a") == set()
    found = seen_by(Person(code="IT4", role="admin"), "b", ("payback",))
    assert {"payback", "workbook.xlsx", "case.zip", "assessment.json", "brief.html"} <= found
