"""`check` refuses what `assess` refuses, in the same words, and nothing that it answers."""

import shutil

import pytest
from typer.testing import CliRunner

from coreset.cli.command import app
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
