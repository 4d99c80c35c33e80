"""The ledger of rules: each rule of a published method names tests that exist, or says why it is not used."""

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from coreset.sources import RULE_STATUSES, edges, rules, sources

ROOT = Path(__file__).parents[1]
DATA = {"nist_strd"}
"""Cited in the code for its data; it has no rule of its own."""


@cache
def marked():
    """Ids in the mark `rules` of every test function, by ``tests/test_x.py::test_name``; empty without the mark."""
    found = {}
    for path in sorted(ROOT.glob("tests/**/test_*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                calls = [each for each in node.decorator_list if isinstance(each, ast.Call)]
                marks = [each for each in calls if ast.unparse(each.func) == "pytest.mark.rules"]
                name = f"{path.relative_to(ROOT).as_posix()}::{node.name}"
                found[name] = {ast.literal_eval(id_) for mark in marks for id_ in mark.args}
    return found


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: f"{rule.key}-{rule.id}")
def test_a_rule_names_tests_that_name_it(rule):
    """Each is a test function that has the rule in its mark; a rule without any test says why."""
    assert rule.rule and rule.status in RULE_STATUSES and rule.key in sources()
    assert rule.tests or len(rule.not_used) > 10
    for test in rule.tests:
        assert test in marked(), f"there is no {test}"
        assert rule.id in marked()[test], f"{test} does not name {rule.id}"


def test_every_test_that_names_a_rule_is_named_by_it():
    """The other way round: each id in a mark is a rule of the ledger that lists the test."""
    listed = {(test, rule.id) for rule in rules() for test in rule.tests}
    assert {(test, id_) for test, ids in marked().items() for id_ in ids} == listed


def test_every_edge_is_that_of_a_rule():
    """Two prints that disagree differ, one is said to be used; each edge names its rule, and none is told twice."""
    both = [*edges("disagree"), *edges("less")]
    assert len(both) == len({edge.what for edge in both}) > 10
    for edge in both:
        assert edge.rule in {rule.id for rule in rules()} and edge.key in sources()
        assert edge.one and edge.other and edge.one != edge.other
        assert bool(edge.used) == (edge.kind == "disagree")


def test_every_method_in_use_has_rules():
    """Each publication that a docstring of the code cites has its rules in the ledger, and no id is there twice."""
    texts = [path.read_text(encoding="utf-8") for path in ROOT.glob("coreset/**/*.py")]
    cited = {key for text in texts for key in re.findall(r"\[(\w+)\]", text)} & set(sources())
    assert len(cited) > 50 and cited - {rule.key for rule in rules()} == DATA
    assert not [name for name, times in Counter(rule.id for rule in rules()).items() if times > 1]


def test_a_rule_of_our_own_or_from_memory_cites_no_page_as_read():
    """Only what was read has a place that ends in a page."""
    assert not [rule.id for rule in rules() if rule.status == "memory" and re.search(r"\bp\. ?\d", rule.place)]
