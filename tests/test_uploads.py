"""Uploads of videos: what was acknowledged stays as it was, whoever sends what at the same time; limits hold."""

import asyncio
import hashlib
import os
import threading
import time

import pytest

from coreset.errors import OutOfRange
from coreset.web import videos


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """An empty folder of uploads."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv(videos.VARIABLE, "")
    return videos.upload_folder()


async def sent(content, *, size=1000, gate=None):
    """Content in blocks, as a browser sends it, other uploads between; after the first block it waits for the gate."""
    for start in range(0, len(content), size):
        yield content[start : start + size]
        if start == 0 and gate is not None:
            await gate()
        await asyncio.sleep(0)


def keep(name, content, **how):
    """One upload; what it was acknowledged with, or the words that refused it."""

    async def one():
        try:
            return await videos.keep(name, sent(content, **how), videos.upload_folder())
        except OutOfRange as error:
            return str(error)

    return one()


def sha(content):
    """SHA-256 as hashlib gives it."""
    return hashlib.sha256(content).hexdigest()


def test_two_uploads_of_one_name_in_one_server(folder):
    """Both begin before either is whole: one is acknowledged and stays to the last byte, the other is refused."""

    async def race():
        both = asyncio.Barrier(2)
        return await asyncio.gather(
            *(keep("drag.mp4", bytes([n]) * 5000, gate=lambda: both.wait()) for n in (1, 2)),
        )

    found = asyncio.run(race())
    kept = [one for one in found if isinstance(one, videos.Film)]
    assert len(kept) == 1 and any("kept already" in str(one) for one in found)
    assert sha((folder / "drag.mp4").read_bytes()) == kept[0].sha256
    assert os.listdir(folder) == ["drag.mp4"]


def test_two_uploads_of_one_name_from_threads(folder):
    """Two servers (here two threads with a loop each) and thirty tries: never two acknowledged, never other bytes."""
    for turn in range(30):
        start, found = threading.Barrier(2), []

        def one(n, turn=turn, start=start, found=found):
            start.wait()
            found.append(asyncio.run(keep(f"{turn}.mp4", bytes([n]) * 200_000, size=20_000)))

        threads = [threading.Thread(target=one, args=(n,)) for n in (1, 2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        kept = [one for one in found if isinstance(one, videos.Film)]
        assert len(kept) == 1, found
        assert sha((folder / f"{turn}.mp4").read_bytes()) == kept[0].sha256
    assert not list(folder.glob("*.part")) and not list(folder.glob(".*"))


def test_a_name_that_another_folder_has_is_refused(folder, tmp_path, monkeypatch):
    """A video of that name in the folder named at start would be played in its place; capitals make no new name."""
    (tmp_path / "named").mkdir()
    (tmp_path / "named" / "a.mp4").write_bytes(b"named")
    monkeypatch.setenv(videos.VARIABLE, str(tmp_path / "named"))
    assert "kept already" in asyncio.run(keep("a.mp4", b"other"))
    assert isinstance(asyncio.run(keep("b.mp4", b"b")), videos.Film)
    assert "kept already" in asyncio.run(keep("B.MP4", b"other"))


@pytest.mark.parametrize("name", ["../a.mp4", "a/b.mp4", "con.mp4", "a\u202e.mp4", ".a.mp4", "a.mp4\n", "a:b.mp4"])
def test_a_video_is_named_by_the_rule_of_codes(folder, name):
    """No name that leads out, hides or is reserved."""
    assert "video name must be plain" in asyncio.run(keep(name, b"x"))


def test_one_video_and_all_of_them_have_a_limit(folder, monkeypatch):
    """Past the size of one, or of all together with those still coming, the upload is refused and leaves nothing."""
    monkeypatch.setenv(videos.FILE_GB, "0.000005")
    assert "at most 5e-06 GB" in asyncio.run(keep("a.mp4", b"x" * 5001))
    monkeypatch.setenv(videos.TOTAL_GB, "0.000008")
    assert isinstance(asyncio.run(keep("b.mp4", b"x" * 5000)), videos.Film)
    assert "in all" in asyncio.run(keep("c.mp4", b"x" * 4000))

    async def together():
        both = asyncio.Barrier(2)
        return await asyncio.gather(*(keep(f"{n}.mp4", b"x" * 2000, gate=lambda: both.wait()) for n in "de"))

    found = asyncio.run(together())
    assert sum(isinstance(one, videos.Film) for one in found) <= 1
    assert sum(path.stat().st_size for path in folder.iterdir()) <= 8000
    assert not list(folder.glob("*.part")) and not list(folder.glob(".*"))


def test_an_upload_has_a_limit_of_time(folder, monkeypatch):
    """One that drips is ended, and its part removed."""
    monkeypatch.setenv(videos.MINUTES, "0.005")
    began = time.monotonic()
    assert "within 0.005 minutes" in asyncio.run(keep("a.mp4", b"x" * 5000, gate=lambda: asyncio.sleep(60)))
    assert time.monotonic() - began < 30
    assert not list(folder.iterdir())


def test_parts_that_a_dead_server_left_are_removed(folder):
    """A part older than any upload may be goes with the next one; a fresh one stays."""
    folder.mkdir(parents=True)
    old, fresh = folder / ".old.part", folder / ".fresh.part"
    for path in (old, fresh):
        path.write_bytes(b"x")
    os.utime(old, (0, 0))
    asyncio.run(keep("a.mp4", b"x"))
    assert (old.exists(), fresh.exists()) == (False, True)


def test_a_disk_that_refuses_is_told(folder, monkeypatch):
    """A full disk is an answer in words, not a fault of the server."""

    def full(_file):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(videos, "_to_disk", full)
    assert "No space left on device" in asyncio.run(keep("a.mp4", b"x"))
    assert not list(folder.iterdir())


@pytest.mark.parametrize("text", ["0", "-1", "nan", "inf", "ten"])
def test_a_limit_that_is_none_is_refused(monkeypatch, text):
    """A slip in a setting is told, and takes no limit away."""
    monkeypatch.setenv(videos.TOTAL_GB, text)
    with pytest.raises(OutOfRange, match="must be a number above 0"):
        videos.limit(videos.TOTAL_GB)
