"""`check` refuses what `assess` refuses, in the same words, and nothing that it answers."""

import shutil

import pytest
from mutations import base_case, other_values
from typer.testing import CliRunner

from coreset.brief.missing import missing
from coreset.cli.command import app
from coreset.errors import CoresetError
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

run = CliRunner().invoke
FEW = ["--quiet", "--draws", "1000", "--resamples", "100", "--replications", "20"]


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("times/GC07-H1.toml", "study = ", 'rating_scale = "nope"\nstudy = ', "rating_scale must be one of"),
        ("case.toml", 'cause = "personal"', 'cause = "whim"', "cause of an allowance must be a row of"),
        ("case.toml", "contingency_pct = 2", "contingency_pct = 99", "must be below 100 %"),
    ],
)
def test_what_assess_refuses_check_refuses(tmp_path, file, old, new, said):
    """Each was read without a fault, and an answer was asked for in vain."""
    folder = tmp_path / "c"
    shutil.copytree(demo_folder(), folder)
    path = folder / file
    content = path.read_text(encoding="utf-8")
    assert old in content
    content = content.replace(old, new, 1)
    if "contingency" in old:
        content = content.replace('basis = "normal"', 'basis = "shift"', 1)
    path.write_text(content, encoding="utf-8")
    checked, assessed = run(app, ["check", str(folder)]), run(app, ["assess", str(folder), *FEW])
    assert checked.exit_code == assessed.exit_code == 1
    assert said in str(checked.exception) and str(checked.exception) == str(assessed.exception)


def told(command, folder, *options):
    """What a command refused, or nothing."""
    answer = run(app, [command, str(folder), *options])
    assert answer.exception is None or isinstance(answer.exception, (CoresetError, SystemExit)), answer.exc_info
    return str(answer.exception) if answer.exit_code else ""


@pytest.mark.slow
@pytest.mark.parametrize("tries", [40, pytest.param(600, marks=pytest.mark.long)])
def test_check_and_assess_refuse_the_same_cases(tmp_path, tries):
    """Whatever numbers a case has and lines it lacks: the same words or none, but where no standard is due"""
    base, outcomes = base_case(tmp_path, demo_folder()), set()
    for seed in range(tries):
        folder = other_values(base, tmp_path / "c", seed)
        checked, assessed = told("check", folder), told("assess", folder, *FEW)
        outcomes.add(bool(assessed))
        if checked != assessed:
            assert "standard" in missing(read(folder)), (seed, checked, assessed)
    assert outcomes == {True, False}
