"""The brief in words and as a document: the decision, what intervals bear, fixed keys, one schema."""

import math
from dataclasses import replace

import jsonschema
import pytest
from brief_case import Given, assessment

from coreset.brief.document import document, printed, schema
from coreset.brief.screen import screen, wrapped
from coreset.decision.headline import decision, figures, lines
from coreset.report.numbers import borne, number

KEYS = [
    "case",
    "units",
    "currency",
    "seed",
    "standards",
    "register",
    "delays",
    "mold_cycles",
    "handling",
    "jobs",
    "line",
    "today",
    "bridge",
    "money",
    "decision",
    "sources",
    "warnings",
]
ROW_OF_STANDARDS = [
    "study",
    "pattern",
    "method",
    "cycles",
    "observed_s",
    "normal_s",
    "standard_s",
    "standard_low_s",
    "standard_high_s",
    "allowance_pct",
    "allowance_basis",
    "unaccounted_pct",
    "elements",
]
ROW_OF_HANDLING = [
    "pattern",
    "method",
    "task",
    "frequency_per_min",
    "duration",
    "applies",
    "why_not",
    "li",
    "binding",
    "at_least",
    "job_kind",
    "job_index",
    "job_tasks",
    "job_at_least",
    "carrying_share",
    "carrying_limited_by",
    "origin",
    "destination",
]


def with_money(**changes):
    """The assessment with other figures of the money."""
    found = assessment()
    return Given(**{**vars(found), "money": replace(found.money, **changes)})


def test_the_document_has_the_keys_and_rows_that_are_promised():
    """Top-level keys and rows are exactly those; nothing else is printed."""
    found = document(assessment())
    assert list(found) == KEYS
    assert list(found["standards"][0]) == ROW_OF_STANDARDS
    assert set(found["handling"][0]) == set(ROW_OF_HANDLING)
    assert set(found["handling"][0]["origin"]) == {"rwl", "li", "hm", "vm", "dm", "am", "fm", "cm"}
    assert {"cash_flow", "npv", "irr", "payback_years", "discounted_payback_years", "patterns"} <= set(found["money"])
    assert all("break_even_run_molds" in row for row in found["money"]["patterns"])


def test_the_document_keeps_to_its_schema():
    """JSON Schema 2020-12 accepts the document, with and without money, and refuses a broken one."""
    jsonschema.Draft202012Validator.check_schema(schema())
    found = document(assessment())
    jsonschema.validate(found, schema())
    jsonschema.validate(found | {"money": None}, schema())
    for broken in (found | {"units": "stone"}, {k: v for k, v in found.items() if k != "money"}, found | {"more": 1}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(broken, schema())


def test_the_document_is_plain_json_without_nan():
    """Infinite paybacks and unknown figures are null, so that any reader takes it."""
    found = document(with_money(payback_years=math.inf, npv=math.nan))
    assert found["money"]["payback_years"] is None and found["money"]["npv"] is None
    assert "NaN" not in printed(found) and "Infinity" not in printed(found)


def test_the_decision_names_patterns_payback_chance_and_what_to_measure():
    """One sentence names the patterns; the lines hold payback with its interval, chance, and what to measure next."""
    sentence, rest = decision(assessment()), " ".join(lines(assessment()))
    money = assessment().money
    assert sentence.endswith(".") and sentence.count(". ") == 0
    assert all(code in sentence for code in money.chosen)
    assert borne(money.payback_years, money.payback_spread.low, money.payback_spread.high) in rest
    assert f"{number(100 * money.chance_payback)} % chance of payback under 5 years" in rest
    assert "Measure next: " in rest


def test_a_payback_that_never_comes_is_said_so():
    """Where the money does not come back there is no number of years."""
    bought = replace(assessment().money.alternatives[0], payback_years=math.inf)
    said = lines(with_money(alternatives=(bought,)))[0]
    assert "Not paid back" in said and " inf" not in said


def test_without_money_the_decision_says_what_is_wanting():
    """A case without a price has no decision, and no crash."""
    found = Given(**{**vars(assessment()), "money": None})
    assert decision(found).startswith("No decision yet")
    assert document(found)["money"] is None and "No decision yet" in screen(found)
    assert figures(found) == ()


def test_the_screen_begins_with_the_decision_and_ends_with_the_caution():
    """Decision first, then tables, at most about a screen wide, deferring to professionals at the end."""
    shown = screen(assessment()).splitlines()
    assert "Invented" in shown[0] and decision(assessment()).startswith(shown[2])
    assert max(map(len, shown)) <= 120 and "professionals" in shown[-1]


@pytest.mark.parametrize(
    ("value", "low", "high", "text"),
    [
        (2.634, 1.91, 4.12, "2.6"),
        (45.3, 45.28, 45.32, "45.300"),
        (123_456, 90_000, 150_000, "123 000"),
        (0.5, 0.4, 0.6, "0.50"),
    ],
)
def test_a_figure_keeps_the_digits_that_its_interval_bears(value, low, high, text):
    """Two digits of the half-width are kept (common practice, no source), never more than three decimals."""
    assert borne(value, low, high).replace("\N{NO-BREAK SPACE}", " ") == text


def test_lines_of_the_screen_keep_a_number_with_its_per_cent_sign():
    """Plain reading: '2.4' at the end of a line and '%' at the start of the next says nothing."""
    text = wrapped(" ".join(["more than 2.4 % unaccounted,"] * 40))
    assert not [line for line in text.splitlines() if line.startswith("%")]
    assert " ".join(text.split()) == " ".join(["more than 2.4 % unaccounted,"] * 40)
