"""The ledger of rules: each rule of a published method names tests that exist, or says why it is not used."""

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from coreset.sources import RULE_STATUSES, rules, sources

ROOT = Path(__file__).parents[1]
METHODS = {
    "waters1994", "waters2007", "waters2016", "fox2019", "moore1995", "garg2017", "waters1993", "acgih1992", "garg1978",
    "niosh2016", "iso7243_1989", "iso7243_2017", "iso11228_2003", "en1005_2", "murrell1965", "rohmert1960", "ilo1957",
    "ilo1979", "stevenson", "barnes1980", "freivalds", "bs3138", "lowry1940", "mundel", "nist_handbook", "rosner1983",
    "irs946", "spreadsheet_docs", "lorie1955", "brealey", "mqriskr", "numpy_financial", "newnan", "raiffa1961",
    "afs_moldtest", "bernard2006", "iso11228_2021",
}  # fmt: skip
"""Publications whose methods the product uses, so that their rules must be in the ledger."""


@cache
def test_names(path):
    """Names of the test functions of a file."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")}


test_names.__test__ = False


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: f"{rule.key}-{rule.id}")
def test_a_rule_names_tests_that_exist(rule):
    """Each is a function of its file that pytest collects; a rule without any says why."""
    assert rule.rule and rule.status in RULE_STATUSES and rule.key in sources()
    assert rule.tests or len(rule.not_used) > 10
    for test in rule.tests:
        path, _, name = test.partition("::")
        assert re.fullmatch(r"tests/(published/)?test_\w+\.py", path), test
        assert (ROOT / path).is_file(), f"no file {path}"
        assert name in test_names(path), f"{path} has no {name}"


def test_every_method_in_use_has_rules():
    """No publication drops out of the ledger, and no rule is there twice."""
    assert {rule.key for rule in rules()} >= METHODS
    assert not [name for name, times in Counter((rule.key, rule.id) for rule in rules()).items() if times > 1]


def test_a_rule_of_our_own_or_from_memory_cites_no_page_as_read():
    """Only what was read has a place that ends in a page."""
    assert not [rule.id for rule in rules() if rule.status == "memory" and re.search(r"\bp\. ?\d", rule.place)]
