"""Actions on Handling and Overview: begun from a job, saved with the case, told where they are overdue."""

import io
from dataclasses import replace

import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from coreset.case import Readings
from coreset.case.study import PICTURE
from coreset.store.folder import read
from coreset.web import navigation, shelf

APP = navigation.FOLDER / "app.py"


@pytest.fixture
def book(own_book):
    """A database with the demo when its first study was taken."""
    demo = read(shelf.demo_folder())
    own_book.keep("begun", replace(demo, studies=demo.studies[:1]), who="T1", why="test")
    return own_book


def shown(page, case="begun"):
    """A page through the router."""
    app = AppTest.from_file(str(APP), default_timeout=90)
    app.session_state["who"] = "T1"
    app.session_state["case_id"] = case
    return app.run().switch_page(str(navigation.path_of(page))).run()


def field(app, label):
    """A text field of the form by the beginning of its label."""
    return next(box for box in app.text_input if box.label.startswith(label))


@pytest.mark.slow
def test_an_action_is_begun_from_a_job_and_told_when_overdue(book):
    """The worst job is offered first with its index; without a day it is refused; saved and late, both pages say so."""
    app = shown("handling")
    field(app, "What will be changed").set_value("rack nearer")
    field(app, "Code of the person who sees").set_value("SC1")
    saves = [button for button in app.button if button.label == "Save"]
    app = saves[0].click().run()
    assert not app.exception and app.error and not book.open("begun").actions
    assert field(app, "What will be changed").value == "rack nearer"
    field(app, "Day by which it is done").set_value("2020-01-31")
    app = next(button for button in app.button if button.label == "Save").click().run()
    assert not app.exception and not app.error
    (one,) = book.open("begun").actions
    assert (one.action, one.change, one.owner, one.due, one.state) == ("A1", "rack nearer", "SC1", "2020-01-31", "open")
    for page in (app, shown("case")):
        assert any("Overdue actions on" in words.value and "rack nearer" in words.value for words in page.warning)


def test_lifts_are_screened_before_anything_is_timed(book):
    """A lift with a pace of its own needs no study: its job has a status, and actions and papers are offered."""
    demo = read(shelf.demo_folder())
    lifts = tuple(replace(lift, frequency_per_min=1.0, frequency_reason="counted") for lift in demo.lifts[:3])
    studies = (replace(demo.studies[0], readings=Readings()),)
    book.keep("untimed", replace(demo, studies=studies, lifts=lifts), who="T1", why="test")
    app = shown("handling", "untimed")
    assert not app.exception and not app.error
    assert any(words.value.startswith("**Lifting jobs") for words in app.markdown)
    assert field(app, "What will be changed").value == ""
    assert len(app.get("download_button")) == 3


def photo(shade):
    """A photo of one shade, as a file that is chosen."""
    stream = io.BytesIO()
    Image.new("RGB", (1200, 900), (shade, 90, 40)).save(stream, "JPEG")
    return "station.jpg", stream.getvalue(), "image/jpeg"


@pytest.mark.slow
def test_a_photo_of_a_job_is_saved_with_its_action(book):
    """Chosen before there is an action it goes with the one that is added; a later one takes its place on request."""
    app = shown("handling")
    app = app.file_uploader[0].set_value(photo(200)).run()
    assert not app.exception and any("saved with the action" in words.value for words in app.caption)
    assert not book.open("begun").actions
    typed = {"What will be": "rack nearer", "Code of the person who sees": "SC1", "Day by": "2030-01-31"}
    for label, value in typed.items():
        field(app, label).set_value(value)
    app = next(button for button in app.button if button.label == "Save").click().run()
    assert not app.exception and not app.error
    (one,) = book.open("begun").actions
    assert one.picture.startswith(PICTURE)
    app = shown("handling")
    app = app.file_uploader[0].set_value(photo(20)).run()
    app = next(button for button in app.button if button.label.startswith("Save the photo")).click().run()
    assert not app.exception and not app.error
    (kept,) = book.open("begun").actions
    assert kept.picture.startswith(PICTURE) and kept.picture != one.picture
    assert replace(kept, picture=one.picture) == one
