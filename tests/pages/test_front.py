"""The front without a browser: every own page answers, keeps what is typed, refuses what does not fit, undoes."""

import json
import re
from dataclasses import replace

import altair as alt
import pytest
from assessed import assessed
from streamlit.testing.v1 import AppTest

from coreset import assess
from coreset.brief import annex, every_chart
from coreset.brief.case_status import empty_case, next_step
from coreset.brief.document import document
from coreset.case import RatedPace
from coreset.case.digest import digest
from coreset.line.report import bridge as bridge_words
from coreset.pages.report import downloads
from coreset.store.book import Book
from coreset.study.report.practice_case import NAME, practice_case
from coreset.web import navigation

APP = navigation.FOLDER / "app.py"
PAGES = ("case", "facts", "brief", "compare", "portfolio", "sources", "guide")
TIMEOUT_S = 90


@pytest.fixture
def book(book):
    """A book of its own with the demo and the practice case."""
    book.keep(NAME, practice_case(), who="T1", why="test")
    return book


def shown(page, case=""):
    """One page through the router."""
    app = AppTest.from_file(str(APP), default_timeout=TIMEOUT_S)
    app.session_state["who"] = "T1"
    if case:
        app.session_state["case_id"] = case
    app.run()
    return app.switch_page(str(navigation.path_of(page))).run()


@pytest.mark.parametrize("page", PAGES)
def test_each_page_answers_first(book, page):
    """A title, then the answer in a sentence, no refusal and no exception."""
    if page in {"compare", "portfolio"}:
        book.keep("another", book.open("ostrander_bend"), who="T1", why="test")
    app = shown(page)
    assert not app.exception and not app.error, page
    assert len(app.title) == 1
    assert app.markdown[0].value.startswith("**") and len(app.markdown[0].value) > 30


@pytest.mark.parametrize("page", ["brief", "payback"])
def test_a_case_that_is_not_complete_is_no_error(book, page):
    """Before the first reading such a page says what to do next, below its line on top too, and leads there."""
    app, todo = shown(page, case=NAME), next_step(practice_case())
    assert not app.exception and not app.error
    links = [link.proto for link in app.get("page_link") if not link.proto.label.startswith("Next: ")]
    assert any(todo.words in words for words in (app.markdown[0].value, *(link.label for link in links)))
    assert todo.entered[0] in {link.page for link in links}


def test_every_page_says_what_is_next_and_where(book):
    """The line on top of a page: its case, and a link to the place where the next thing is entered."""
    book.keep("fresh", empty_case("fresh"), who="T1", why="test")
    links = {link.proto.label: link.proto for link in shown("sources", case="fresh").get("page_link")}
    assert links["Next: time one pattern by hand and with the setter"].page == "timing"
    links = {link.proto.label: link.proto for link in shown("sources").get("page_link")}
    assert links["Next: read the decision"].page == "brief"


@pytest.mark.parametrize("page", navigation.ORDER)
def test_seven_rooms_of_which_one_holds_the_page(monkeypatch, page):
    """Each page is shown in its room: seven words in the navigation, one of them leads to the page itself."""
    monkeypatch.setattr(navigation.st, "Page", lambda path, **given: given | {"name": path.stem})
    listed = [one for one in navigation.pages(page) if one["visibility"] == "visible"]
    rooms = ["Overview", "Time study", "Lifting", "Business case", "Report", "Setup", "Help"]
    assert [one["title"] for one in listed] == rooms
    here = [one["title"] for one in listed if one["name"] == page]
    assert here == [rooms[list(navigation.ROOMS).index(navigation.ROOM_OF[page])]]


def test_a_room_of_several_pages_has_one_row_of_links_to_them(book):
    """Time study leads to its three pages from each of them; a room of one page has no such row."""
    labels = [link.proto.label for link in shown("standard").get("page_link")]
    assert labels[:3] == ["Clock", "Methods compared", "Standards"]
    assert [link.proto.label for link in shown("brief").get("page_link")][0].startswith("Next")


def test_sources_begin_with_the_figures_of_the_case(book):
    """The answer speaks of this case; no name of a file or of a test and no count of tables stands on the page."""
    app = shown("sources")
    words = [
        app.markdown[0].value,
        *(item.value for item in app.markdown),
        *(o for s in app.selectbox for o in s.options),
    ]
    assert words[0].startswith("**All figures of this case rest on")
    said = " ".join(words).replace("\\", "")
    assert said.count("glossary: 1.0 or more") == 1 and said.count("two hands, standing") == 1
    assert not re.search(r"test_\w|\.py|\.csv|[a-z]\d{4}/|published tables:", said)


def test_an_unchanged_case_is_not_read_again(book, monkeypatch):
    """A page that is run again on the same case, bar and all, reads it not again and calculates nothing anew."""
    opened, calculated = [], []
    real_open, real_assess = Book.open, assess.assess
    monkeypatch.setattr(Book, "open", lambda self, *a, **k: opened.append(1) or real_open(self, *a, **k))
    monkeypatch.setattr(assess, "assess", lambda *a, **k: calculated.append(1) or real_assess(*a, **k))
    app = shown("brief")
    opened.clear()
    calculated.clear()
    app.run()
    assert not opened and not calculated


@pytest.mark.slow
def test_a_changed_price_is_kept_and_undone(book):
    """A price typed on Facts is in the book with its reason; undo brings the old one back."""
    before = book.open("ostrander_bend").money.setter_price.likely
    app = shown("facts")
    app.selectbox[0].select("money").run()
    key = "ostrander_bend.money.None.None.0.setter_price.likely"
    app.number_input(key=key).set_value(before + 5000)
    next(button for button in app.button if button.label == "Save").click().run()
    assert not app.exception and not app.error
    assert book.open("ostrander_bend").money.setter_price.likely == before + 5000
    assert "185000 / 225000 \N{RIGHTWARDS ARROW} 165000 / 190000" in book.trail("ostrander_bend")[0].why
    app.switch_page(str(navigation.path_of("case"))).run()
    next(button for button in app.button if button.label.startswith("Undo")).click().run()
    assert book.open("ostrander_bend").money.setter_price.likely == before


def pressed(app, label):
    """The page after a button."""
    return next(button for button in app.button if button.label == label).click().run()


def test_undo_stands_on_facts_too_and_shows_what_was(book):
    """After Undo on Facts the field shows the value from before."""
    app = shown("facts")
    app.selectbox[0].select("line").run()
    before = book.open("ostrander_bend").line.other_stops_pct
    box = next(box for box in app.number_input if box.label.startswith("Share of the scheduled time"))
    box.set_value(before - 1.0)
    app = pressed(app, "Save")
    assert book.open("ostrander_bend").line.other_stops_pct == pytest.approx(before - 1.0)
    app = pressed(app, "Undo the last change")
    assert not app.exception and book.open("ostrander_bend").line.other_stops_pct == before
    box = next(box for box in app.number_input if box.label.startswith("Share of the scheduled time"))
    assert box.value == before


def test_a_step_of_a_method_is_changed_moved_added_and_removed(book):
    """Steps are edited one by one; what does not fit is told under its field, and nothing is kept."""
    app = shown("facts")
    app.selectbox[0].select("steps").run()
    steps = book.open("ostrander_bend").methods[0].steps
    app.number_input[0].set_value(25.0)
    app = pressed(app, "Save")
    assert not app.exception and book.open("ostrander_bend").methods[0].steps[0].constant_s == 25.0
    app.selectbox(key="facts_row.steps.manual").select("\N{HEAVY PLUS SIGN}").run()
    next(box for box in app.text_input if box.label.startswith("Name of the step")).set_value("wipe the drag")
    app = pressed(app, "Save")
    assert app.error and len(book.open("ostrander_bend").methods[0].steps) == len(steps)
    assert any("expected" in words.value for words in app.markdown), "told at the field"
    next(box for box in app.selectbox if box.label.startswith("Who or what does it")).select("operator")
    app.number_input[0].set_value(3.0)
    app = pressed(app, "Save")
    assert not app.error and book.open("ostrander_bend").methods[0].steps[-1].name == "wipe the drag"
    app = pressed(app, "Move it up")
    assert [step.name for step in book.open("ostrander_bend").methods[0].steps][-2:] == [
        "wipe the drag",
        "clear and signal",
    ]
    app.selectbox(key="facts_row.steps.manual").select("wipe the drag").run()
    app = pressed(app, "Remove this one")
    assert len(book.open("ostrander_bend").methods[0].steps) == len(steps)


@pytest.mark.slow
def test_what_a_rater_gave_is_corrected_added_and_removed_on_facts(book):
    """Rows of raters.csv are edited like every other list; a scale that there is not is refused at its field."""
    row = RatedPace(
        observer="E02", taken="2026-11-02T08:00", shown="walking", known_pct=100, rated_pct=95, rating_scale="100-133"
    )
    kept = (row, replace(row, shown="dealing"))
    book.keep("ostrander_bend", replace(book.open("ostrander_bend"), raters=kept), who="T1", why="test")
    app = shown("facts")
    app.selectbox[0].select("raters").run()
    which = next(box for box in app.selectbox if box.label == "Which one")
    assert which.options[:2] == [f"E02 {row.taken} walking", f"E02 {row.taken} dealing"]
    next(box for box in app.number_input if box.label.startswith("Rating that the observer gave")).set_value(105.0)
    app = pressed(app, "Save")
    assert not app.error and [one.rated_pct for one in book.open("ostrander_bend").raters] == [105, 95]
    next(box for box in app.selectbox if box.label == "Which one").select_index(2).run()
    app = pressed(app, "Save")
    assert app.error and len(book.open("ostrander_bend").raters) == 2
    next(box for box in app.selectbox if box.label == "Which one").select_index(1).run()
    app = pressed(app, "Remove this one")
    assert not app.error and [one.shown for one in book.open("ostrander_bend").raters] == ["walking"]


def test_an_allowance_line_that_its_table_does_not_have_is_refused(book):
    """A condition is chosen from the printed table; a percent of one's own has its source."""
    app = shown("facts")
    app.selectbox[0].select("lines").run()
    row = next(box for box in app.selectbox if box.label == "Which one")
    lines = book.open("ostrander_bend").allowances[0].lines
    row.select_index(len(lines)).run()
    cause = next(box for box in app.selectbox if box.label.startswith("Row of the allowance table"))
    assert "noise level" in cause.options
    cause.select("noise level")
    app = pressed(app, "Save")
    assert app.error and book.open("ostrander_bend").allowances[0].lines == lines
    app.number_input[0].set_value(1.5)
    app = pressed(app, "Save")
    assert not app.error and book.open("ostrander_bend").allowances[0].lines[-1].percent == 1.5


def test_the_header_of_a_study_is_changed_on_facts(book):
    """The rating scale and the allowance set of a study are chosen from what there is."""
    app = shown("facts")
    app.selectbox[0].select("studies").run()
    named = next(box for box in app.selectbox if box.label.startswith("Name of the allowance set"))
    assert set(named.options) == {"by hand", "with mask"}
    other = next(name for name in named.options if name != named.value)
    named.select(other)
    app = pressed(app, "Save")
    assert not app.exception and book.open("ostrander_bend").studies[0].allowances == other
    assert len(book.open("ostrander_bend").studies[0].readings)


def test_compare_says_what_the_other_case_wants(book):
    """A case that cannot be calculated yet is no error on Compare: a sentence says what it still wants."""
    book.keep("fresh", empty_case("fresh"), who="T1", why="test")
    app = shown("compare")
    app.selectbox[0].select("fresh").run()
    assert not app.exception and not app.error
    assert "time one pattern by hand and with the setter" in app.markdown[0].value
    app.selectbox[0].select(NAME).run()
    assert not app.exception and not app.error and len(app.markdown[0].value) > 30


@pytest.mark.slow
def test_a_budget_funds_one_of_two_cases_and_says_what_is_left(book):
    """Cases of the plant are chosen to begin with; what is typed stays when the page is turned."""
    first = book.open("ostrander_bend")
    for name, plant in (("ostrander_bend", "Bend"), ("twin", "Bend")):
        book.keep(name, replace(first, plant=plant), who="T1", why="test")
    app = shown("portfolio")
    assert not app.exception and app.multiselect[0].value == ["ostrander_bend", "twin"]
    both = app.markdown[0].value.replace("\\", "")
    assert "Without a limit" in both and "ostrander_bend, then twin" in both
    app.number_input[0].set_value(300_000.0).run()

    def answer():
        return app.markdown[0].value.replace("\N{NO-BREAK SPACE}", " ").replace("\\", "")

    words = answer()
    assert not app.exception and "Within 300 000 USD: fund ostrander_bend." in words
    assert "Left of the budget: " in words
    app.switch_page(str(navigation.path_of("sources"))).run()
    app.switch_page(str(navigation.path_of("portfolio"))).run()
    assert app.number_input[0].value == 300_000.0 and answer() == words
    app.multiselect[0].set_value([NAME, "twin"]).run()
    assert not app.exception and "Choose two cases" in app.markdown[0].value
    assert any("time one pattern" in info.value for info in app.info)


def test_what_does_not_fit_is_refused_with_its_place(book):
    """A pattern without a code is not kept; the page says where, what was found, what was expected."""
    kept = len(book.open("ostrander_bend").patterns)
    app = shown("facts")
    app.selectbox[0].select("patterns").run()
    app.selectbox[1].select_index(kept).run()
    next(button for button in app.button if button.label == "Save").click().run()
    assert app.error and not app.exception
    assert len(book.open("ostrander_bend").patterns) == kept


def test_a_new_case_is_started_and_opened(book):
    """A name typed on Case begins an empty case, which says what to do first."""
    app = shown("case")
    next(box for box in app.text_input if box.label == "New case").set_value("fresh").run()
    next(button for button in app.button if button.label == "Create case").click().run()
    assert not app.exception
    assert book.revision("fresh") == 1 and "next" in app.markdown[0].value


def test_cases_are_found_by_words_of_name_and_title(book):
    """The list of cases holds those with all the words, in any case of letters, and all of them without words."""
    everything = {row.case_id for row in book.cases()}
    app = shown("case")

    def listed(words):
        next(box for box in app.text_input if box.label == "Search cases").set_value(words).run()
        assert not app.exception
        return {name.partition(":")[0] for name in next(b for b in app.selectbox if b.label == "Open a case").options}

    assert listed("") == everything and len(everything) > 1
    assert listed("PRACTICE core") == {NAME}
    assert listed("ostrander") == {"ostrander_bend"}
    assert listed("practice nowhere") == set()
    assert listed("practice") == {NAME}
    next(box for box in app.selectbox if box.label == "Open a case").select(NAME).run()
    assert app.session_state["case_id"] == NAME


def test_a_name_in_the_place_of_a_code_is_told_on_case(book):
    """Case warns of a name as Timing does; a code is taken as it is."""
    app = shown("case")
    box = next(box for box in app.text_input if box.label == "Your code")
    box.set_value("Anna Smith").run()
    assert any("name seems to be entered" in words.value for words in app.warning)
    next(box for box in app.text_input if box.label == "Your code").set_value("OB7").run()
    assert not app.warning and app.session_state["who"] == "OB7"


def test_every_chart_is_drawn_at_a_press_and_kept_until_it_is_taken(book, monkeypatch):
    """Nothing is drawn before the first press; after it the same place offers all of them, and a rerun draws none."""
    drawn = []
    one = every_chart.Drawing(name="one", draw=lambda: alt.Chart(alt.Data(values=[{"x": 1}])).mark_point(), parts=())
    monkeypatch.setattr(downloads, "detail", lambda *a, **k: None)
    monkeypatch.setattr(downloads, "every", lambda *a: (one,))
    monkeypatch.setattr(downloads, "drawn", lambda *a, **k: drawn.append(1) or every_chart.drawn(*a, **k))
    app = shown("brief")
    labels = lambda: [button.proto.label for button in app.get("download_button")]  # noqa: E731
    assert "Data (ZIP)" in labels() and "Every chart (ZIP)" not in labels() and not drawn
    app = pressed(app, "Draw every chart")
    assert not app.exception and "Every chart (ZIP)" in labels() and drawn == [1]
    app.run()
    assert "Every chart (ZIP)" in labels() and drawn == [1]
    assert "Draw every chart" not in [button.label for button in app.button]


def test_the_heads_of_the_readings_say_what_stands_below(book):
    """Every column of the table that the page sends has its help, none is left over."""
    app = AppTest.from_file(str(APP), default_timeout=TIMEOUT_S)
    app.query_params["view"] = "readings"
    app.run().switch_page(str(navigation.path_of("timing"))).run()
    (table,) = app.get("dataframe")
    heads = json.loads(table.proto.columns)
    assert set(table.value.columns) <= set(heads)
    assert all("[Glossary: " in heads[name]["help"] for name in table.value.columns)


@pytest.mark.slow
def test_numbers_are_typed_with_the_comma_of_the_case(book):
    """Facts shows and takes a decimal comma, changes nothing that was not typed, and refuses what is no number."""
    comma = replace(book.open("ostrander_bend"), decimal="comma")
    book.keep("ostrander_bend", comma, who="T1", why="test")
    app = shown("facts")
    app.selectbox[0].select("money").run()
    app = pressed(app, "Save")
    assert not app.error and digest(book.open("ostrander_bend")) == digest(comma)
    rate = next(box for box in app.text_input if box.label.startswith("Discount rate"))
    assert rate.value == "0,09"
    rate.set_value("8,5 %")
    app = pressed(app, "Save")
    assert app.error and any(
        "found 8,5 %" in words.value.replace("\\", "").replace("\N{NO-BREAK SPACE}", " ") for words in app.markdown
    )
    next(box for box in app.text_input if box.label.startswith("Discount rate")).set_value("0,085")
    high = next(box for box in app.text_input if (box.key or "").endswith("setter_price.high"))
    high.set_value("1 210 000,5")
    app = pressed(app, "Save")
    money = book.open("ostrander_bend").money
    assert not app.error and (money.discount_rate, money.setter_price.high) == (0.085, 1_210_000.5)
    assert money.setter_price.likely == comma.money.setter_price.likely
    assert any("decimal point here" in words.value for words in shown("handling").caption)


def test_what_one_person_types_stays_when_another_saves(book):
    """Two editors of one form: other fields are joined; the same field is a conflict with both values, typed text kept.

    Pressing Save again replaces the other's value knowingly.
    """
    mine = shown("facts")
    mine.selectbox[0].select("money").run()
    prefix = "ostrander_bend.money.None.None.0"
    mine.number_input(key=f"{prefix}.setter_price.likely").set_value(190_000.0)
    other = book.open("ostrander_bend")
    changed = replace(other.money, years=12, setter_price=replace(other.money.setter_price, likely=187_000.0))
    book.keep("ostrander_bend", replace(other, money=changed), who="ED2", why="a new offer")
    mine = pressed(mine, "Save")
    assert any("187000" in words.value for words in mine.markdown) and mine.error
    assert mine.number_input(key=f"{prefix}.setter_price.likely").value == 190_000.0
    assert book.open("ostrander_bend").money.setter_price.likely == 187_000.0
    mine = pressed(mine, "Save")
    kept = book.open("ostrander_bend").money
    assert (kept.setter_price.likely, kept.years) == (190_000.0, 12), "the other's years stay"


def test_remove_takes_the_row_that_was_shown(book):
    """Another editor takes away the first lift: what is removed here is the lift whose name was shown."""
    mine = shown("facts")
    mine.selectbox[0].select("lifts").run()
    lifts = book.open("ostrander_bend").lifts
    which = next(box for box in mine.selectbox if box.label == "Which one")
    name = which.options[1]
    which.select_index(1).run()
    other = book.open("ostrander_bend")
    book.keep("ostrander_bend", replace(other, lifts=other.lifts[1:]), who="ED2", why="never lifted")
    mine = pressed(mine, "Remove this one")
    left = book.open("ostrander_bend").lifts
    assert left == lifts[2:] and name not in next(b for b in mine.selectbox if b.label == "Which one").options


def test_undo_takes_back_what_was_shown_and_nothing_else(book):
    """Somebody else saves after the page was drawn: undo is refused, and theirs stays."""
    mine = shown("facts")
    mine.selectbox[0].select("money").run()
    mine.number_input(key="ostrander_bend.money.None.None.0.setter_price.likely").set_value(190_000.0)
    mine = pressed(mine, "Save")
    other = book.open("ostrander_bend")
    book.keep("ostrander_bend", replace(other, title="Theirs"), who="ED2", why="a title")
    next(button for button in mine.button if button.label.startswith("Undo")).click().run()
    assert (
        book.open("ostrander_bend").title == "Theirs" and book.open("ostrander_bend").money.setter_price.likely == 190e3
    )


@pytest.mark.slow
def test_line_shows_today_and_the_bridge(book):
    """The page Line holds the prediction for today against the count, or says that there is none, and the bridge."""
    app = shown("line")
    assert not app.exception
    words = " ".join(element.value for element in app.markdown)
    assert "not checked against the floor" in words and "per mold saved at the stopwatch" in words


def flat(text):
    """Text without the marks of a page and with plain blanks."""
    return " ".join(text.replace("\\", "").replace("\N{NO-BREAK SPACE}", " ").replace("**", "").split())


def test_the_bridge_has_the_same_words_on_the_page_in_the_long_form_and_in_the_document(book):
    """Each step with its name, working and reason, and where most is lost; one pattern of the demo."""
    one = document(assessed())["bridge"][0]
    cells = [
        flat(cell) for block in annex.blocks(assessed()) for row in block.rows for cell in row if isinstance(cell, str)
    ]
    texts = {flat(block.text) for block in annex.blocks(assessed()) if block.text}
    page = flat(" ".join(element.value for element in shown("line").markdown))
    assert flat(one["answer"]) in texts and flat(one["answer"]).endswith(flat(bridge_words.lost(assessed().bridges[0])))
    assert flat(bridge_words.lost(assessed().bridges[0])) in page
    for step in one["steps"]:
        for said in (step["name"], step["working"], step["reason"]):
            assert flat(said) in cells and flat(said) in page, said


def test_overview_shows_the_verdict_the_figures_and_what_is_open(book):
    """Verdict as shape and word, four figures, one chart, three cards, and the other cases with their verdicts."""
    book.keep("twin", book.open("ostrander_bend"), who="T1", why="test")
    app = shown("case")
    assert app.title[0].value == book.open("ostrander_bend").title
    assert app.markdown[0].value == "**:material/pending: Buy if proven**"
    assert len(app.metric) == 4 and len(app.get("vega_lite_chart")) == 1
    labels = [link.proto.label for link in app.get("page_link")]
    assert [label for label in labels if label in ("Time", "People", "Still open")] == ["Time", "People", "Still open"]
    twin = next(button for button in app.button if button.key == "open.twin")
    assert any(words.value.startswith("open to calculate") for words in app.caption)
    app = twin.click().run()
    assert app.session_state["case_id"] == "twin"
    assert any(words.value.startswith("Buy if proven") for words in app.caption)


def test_an_empty_case_lists_four_steps_that_lead_to_their_place(book):
    """Each step that is left is a link to the page, and the part of Setup, where it is entered."""
    book.keep("fresh", empty_case("fresh"), who="T1", why="test")
    steps = [link.proto for link in shown("case", case="fresh").get("page_link")]
    steps = [(step.page, step.query_string) for step in steps if step.icon == ":material/radio_button_unchecked:"]
    assert steps == [("timing", ""), *(("facts", f"place={place}") for place in ("lifts", "methods", "money"))]
