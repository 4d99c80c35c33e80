"""Whatever lies in a case folder, reading it gives a case or says what is wrong, without a traceback."""

import resource
from importlib.resources import files
from pathlib import Path

import pytest
from mutations import base_case, broken_folder

from coreset.errors import StudyError
from coreset.store import folder

DEMO = Path(str(files("coreset.studies") / "ostrander_bend"))
MEMORY_BYTES = 200_000_000


def tried(base, work, seeds):
    """How many broken folders were refused and how many read; a case that was read must survive being written."""
    refused, read = 0, 0
    for seed in seeds:
        broken = broken_folder(base, work / "broken", seed)
        try:
            case = folder.read(broken)
        except StudyError as error:
            assert error.faults, seed
            assert len(str(error)) < 300_000, seed
            assert all(one.file and one.found and one.expected for one in error.faults), seed
            refused += 1
        else:
            folder.write(case, work / "again")
            assert folder.read(work / "again") == case, seed
            read += 1
    return refused, read


def test_broken_folders_are_refused_or_read(tmp_path):
    """100 folders broken at random by fixed seeds: both outcomes occur, nothing else does."""
    refused, read = tried(base_case(tmp_path, DEMO), tmp_path, range(100))
    assert refused > 50
    assert read > 1


@pytest.mark.long
def test_twenty_thousand_broken_folders(tmp_path):
    """The same for 20,000 others, within a bounded memory."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    refused, read = tried(base_case(tmp_path, DEMO), tmp_path, range(1_000, 21_000))
    grown = 1024 * (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
    print(f"{refused} refused, {read} read, {grown / 1e6:.0f} MB more at most")
    assert grown < MEMORY_BYTES
