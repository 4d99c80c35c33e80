"""Set-up: README's commands, and a wheel that carries its pages, demo cases and reference tables."""

import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest

from coreset.cli.command import app

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def shell_blocks():
    """Commands of README that stand in a shell block."""
    return [block.strip() for block in re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)]


def command_names():
    """Names of all subcommands."""
    return [command.name or command.callback.__name__ for command in app.registered_commands]


def test_the_two_first_commands_are_single_lines_that_make_their_own_environment():
    """One line installs and runs the main job on the demo, one installs and runs the tests."""
    job, tests = shell_blocks()[:2]
    for line in (job, tests):
        assert "\n" not in line and line.startswith("python3 -m venv .venv && .venv/bin/pip install -q ")
    assert ".venv/bin/coreset assess studies/" in job
    assert ".venv/bin/python -m pytest" in tests
    assert (ROOT / job.rsplit(" ", 1)[1] / "case.toml").is_file()


@pytest.mark.parametrize(
    ("named", "run"),
    [
        ("", {"plain"}),
        ("not unverified", {"plain"}),
        ("browser", {"plain", "browser"}),
        ("browser or slow", {"plain", "browser", "slow", "browser slow"}),
    ],
)
def test_a_suite_is_left_out_unless_it_is_named(request, named, run):
    """Of tests with these marks, those that stay before pytest itself chooses among them by `-m`."""
    (shared,) = [plugin for plugin in request.config.pluginmanager.get_plugins() if hasattr(plugin, "SUITES")]
    left_out = []
    config = SimpleNamespace(
        option=SimpleNamespace(markexpr=named),
        hook=SimpleNamespace(pytest_deselected=lambda items: left_out.extend(items)),
    )
    items = [Marked(marks) for marks in ("plain", "browser", "slow", "browser slow", "long", "postgres")]
    whole = list(items)
    shared.pytest_collection_modifyitems(config, items)
    assert {item.marks for item in items} == run
    assert {*items, *left_out} == set(whole)


class Marked:
    """A test with marks."""

    def __init__(self, marks):
        self.marks = marks

    def get_closest_marker(self, name):
        """The mark of that name."""
        return name if name in self.marks.split() else None


def test_every_command_has_help_with_an_example_and_a_line_in_the_list():
    """A command that the list of commands lacks, or that has no help, is not finished."""
    listed = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    for command in app.registered_commands:
        name = command.name or command.callback.__name__
        assert f"| `coreset {name}" in listed, name
        assert command.help
        assert re.search(rf"Examples?: coreset {name}\b", command.epilog or "")


def test_every_package_of_the_tree_is_named_for_the_wheel():
    """The wheel ships what pyproject names, so it must name all of it."""
    named = set(tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["packages"])
    shipped = {"pages": "coreset.pages", "studies": "coreset.studies", "reference": "coreset.reference"}
    found = {"coreset"}
    for init in ROOT.glob("coreset/**/__init__.py"):
        found.add(".".join(init.parent.relative_to(ROOT).parts))
    for folder, name in shipped.items():
        for init in (ROOT / folder).glob("**/__init__.py"):
            found.add(".".join([name, *init.parent.relative_to(ROOT / folder).parts]))
    assert found == named


@pytest.fixture(scope="session")
def installed(tmp_path_factory):
    """Command of a wheel installed in an empty environment, its dependencies lent by the running one."""
    place = tmp_path_factory.mktemp("wheel")
    subprocess.run([sys.executable, "-m", "venv", str(place / "venv")], check=True)
    python = place / "venv" / "bin" / "python"
    pip = [str(python), "-m", "pip"]
    # From a copy: a build leaves files in its folder, and what was left by an earlier one would get into the wheel.
    left_out = shutil.ignore_patterns(".*", "build", "*.egg-info", "__pycache__")
    shutil.copytree(ROOT, place / "source", ignore=left_out)
    subprocess.run([*pip, "wheel", "-q", "--no-deps", "-w", str(place), str(place / "source")], check=True)
    (wheel,) = place.glob("coreset-*.whl")
    subprocess.run([*pip, "install", "-q", "--no-deps", str(wheel)], check=True)
    site = subprocess.run(
        [str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"],
        check=True, capture_output=True, text=True,
    ).stdout.strip()  # fmt: skip
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (Path(site) / "lent.pth").write_text("\n".join(sorted(lent)))
    return python.with_name("coreset")


def run(command, *args, cwd):
    """Run a command from a folder of its own."""
    env = {k: v for k, v in os.environ.items() if k not in {"PYTHONPATH", "CORESET_BOOK"}} | {"XDG_DATA_HOME": str(cwd)}
    return subprocess.run([str(command), *args], cwd=cwd, env=env, capture_output=True, text=True, timeout=120)


@pytest.mark.slow
def test_the_wheel_has_pages_demo_and_tables_in_it(installed, tmp_path):
    """Installed in an empty environment and run from an empty folder, everything is there."""
    look = (
        "import json; from importlib.resources import files; from coreset.sources import tables;"
        "print(json.dumps([[str(files('coreset')), len(list(tables())),"
        "(files('coreset.pages') / 'app.py').is_file(), (files('coreset.pages') / 'paper.css').is_file(),"
        "(files('coreset.studies') / 'ostrander_bend' / 'case.toml').is_file()]]))"
    )
    python = installed.with_name("python")
    found = subprocess.run([str(python), "-c", look], cwd=tmp_path, capture_output=True, text=True, check=True)
    ((where, tables, *there),) = json.loads(found.stdout)
    assert str(installed.parents[1]) in where
    assert tables > 20
    assert all(there)


@pytest.mark.slow
def test_the_installed_command_answers_from_an_empty_folder(installed, tmp_path):
    """The whole job runs on the demo that the wheel carries."""
    demo = subprocess.run(
        [str(installed.with_name("python")), "-c",
         "from importlib.resources import files; print(files('coreset.studies') / 'ostrander_bend')"],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    ).stdout.strip()  # fmt: skip
    found = run(installed, "assess", demo, "--json", "--draws", "2000", "--resamples", "500", cwd=tmp_path)
    assert found.returncode == 0, found.stderr
    assert json.loads(found.stdout)["standards"]
    assert found.stderr == ""


def test_a_refusal_is_one_line_on_standard_error_and_status_2(tmp_path):
    """No traceback, nothing on standard output."""
    found = run(Path(sys.executable), "-m", "coreset", "assess", "nowhere", cwd=tmp_path)
    assert found.returncode == 2
    assert found.stdout == ""
    assert found.stderr.startswith("coreset: nowhere: found no folder, expected ")
    assert "Traceback" not in found.stderr


def test_the_lock_names_every_dependency_and_no_host():
    """The set that was tested: exact versions with hashes of their files, each direct dependency in it, no address."""
    lock = re.sub(r"^#.*\n", "", (ROOT / "requirements.lock").read_text(), flags=re.MULTILINE)
    one = re.compile(r"([a-z0-9.-]+)==[0-9a-z.]+( ; [^\\\n]+)?( \\\n    --hash=sha256:[0-9a-f]{64})+\n")
    assert not one.sub("", lock)
    locked = {found[1] for found in one.finditer(lock)}
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())
    project = settings["project"]
    direct = [
        *settings["build-system"]["requires"],
        *project["dependencies"],
        *(item for extra in project["optional-dependencies"].values() for item in extra),
    ]
    assert {re.match(r"[A-Za-z0-9-]+", item)[0].lower() for item in direct} <= locked


def test_it_starts_beside_a_folder_of_its_own_name(tmp_path):
    """In the data home lies a folder `coreset`: `python -m coreset` there is still the command."""
    (tmp_path / "coreset").mkdir()
    for arguments in (["version"], ["check", str(ROOT / "studies" / "ostrander_bend"), "--json"]):
        done = subprocess.run(
            [sys.executable, "-m", "coreset", *arguments], cwd=tmp_path, capture_output=True, text=True, timeout=60
        )
        assert done.returncode == 0, done.stderr


def test_a_shell_can_complete_the_commands(tmp_path):
    """What a shell asks for after `coreset ex` is answered with export."""
    asked = {"_CORESET_COMPLETE": "complete_bash", "COMP_WORDS": "coreset ex", "COMP_CWORD": "1"}
    start = "import sys; from coreset.cli.command import app; app(prog_name='coreset')"
    done = subprocess.run(
        [sys.executable, "-c", start], cwd=tmp_path, env=os.environ | asked, capture_output=True, text=True, timeout=60
    )
    assert done.stdout.split() == ["export"]
