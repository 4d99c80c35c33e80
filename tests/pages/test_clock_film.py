"""A recorded job: marks at known frames are those frames, by a counter burnt into the picture."""

import hashlib
import shutil
import subprocess
from fractions import Fraction
from functools import partial

import pytest
from browsers import settled
from floor import Floor, press, until
from lacking import need

from coreset.store.book import Book

pytestmark = pytest.mark.browser

RATE = Fraction(30000, 1001)
"""A rate that no whole number fits."""
BITS, BLOCK = 10, 32
COUNTER = f"geq=lum='if(gt(mod(floor(N/pow(2,floor(X/{BLOCK}))),2),0),235,16)':cb=128:cr=128"
READ = f"""() => {{
  const root = [...document.querySelectorAll('*')].map((e) => e.shadowRoot).find((r) => r && r.querySelector('video'));
  const video = root.querySelector('video');
  const canvas = document.createElement('canvas');
  canvas.width = video.videoWidth; canvas.height = video.videoHeight;
  const pen = canvas.getContext('2d');
  pen.drawImage(video, 0, 0);
  let frame = 0;
  for (let bit = 0; bit < {BITS}; bit += 1) {{
    const pixel = pen.getImageData(bit * {BLOCK} + {BLOCK // 2}, canvas.height / 2, 1, 1).data;
    if (pixel[0] > 128) frame += 2 ** bit;
  }}
  return frame;
}}"""


@pytest.fixture(scope="module")
def films(tmp_path_factory):
    """A folder with a clip of 150 frames whose number stands in the picture as ten blocks, black 0 and white 1."""
    need(shutil.which("ffmpeg"), "NO FFMPEG: videos are not tested here; apt-get install ffmpeg")
    folder = tmp_path_factory.mktemp("films")
    source = f"color=black:size={BITS * BLOCK}x64:rate={RATE.numerator}/{RATE.denominator}:duration=5.005"
    subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", source, "-vf", COUNTER, "-frames:v", "150"]
        + ["-c:v", "libx264", "-pix_fmt", "yuv420p", "-g", "15", str(folder / "setting.mp4")],
        check=True,
    )
    return folder


SEAM, SLOW = 60, 12
"""Frame at which the second clip goes over from 30 frames a second to SLOW."""


@pytest.fixture(scope="module")
def uneven(films):
    """A second clip in the folder: two seconds at 30 frames a second, then frames at 12; the times of its frames."""
    clip = films / "uneven.mp4"
    times = f"settb=1/90000,setpts='if(lt(N,{SEAM}),N/30,{SEAM}/30+(N-{SEAM})/{SLOW})/TB'"
    source = f"color=black:size={BITS * BLOCK}x64:rate=30:duration=3"
    subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", source, "-vf", f"{COUNTER},{times}", "-fps_mode", "vfr"]
        + ["-enc_time_base", "1/90000", "-video_track_timescale", "90000", "-c:v", "libx264", "-pix_fmt", "yuv420p"]
        + ["-g", "15", "-bf", "0", str(clip)],
        check=True,
    )
    probe = ["ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "frame=best_effort_timestamp_time"]
    listed = subprocess.run([*probe, "-of", "csv=p=0", str(clip)], check=True, capture_output=True, text=True).stdout
    return [float(line.strip(",")) for line in listed.split()]


@pytest.fixture
def floor(serve, films, uneven, tmp_path):
    """The app with that folder named at start."""
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    yield Floor(serve(book_url=book.url, CORESET_VIDEOS=str(films)), book)
    book.close()


def step_to(page, frame):
    """Step frame by frame until the picture shows that number."""
    for _ in range(400):
        shown = page.evaluate(READ)
        if shown == frame:
            return
        before = page.locator(".clock").get_attribute("data-frame")
        page.keyboard.press("ArrowRight" if shown < frame else "ArrowLeft")
        told = partial(page.locator(".clock").get_attribute, "data-frame")
        assert until(lambda old=before, told=told: told() != old, page=page), (
            shown,
            frame,
            told(),
            page.evaluate(READ),
        )
    raise AssertionError(f"frame {frame} not reached")


def test_marks_are_the_frames_that_were_shown(page, floor, films):
    """Ten marks, stepping on and back: each one's time is that of the frame whose number the picture shows."""
    show_film(page, floor, "setting.mp4")
    measured = float(page.locator(".film-facts").inner_text().split(" frames")[0].rsplit(" ", 1)[1])
    assert measured == pytest.approx(float(RATE), rel=0.01)
    frames = [3, 7, 8, 15, 16, 14, 29, 30, 31, 45, 46]
    step_to(page, frames[0])
    press(page, "Space")
    assert until(lambda: page.locator(".clock").get_attribute("data-state") == "running", page=page)
    marked = []
    for frame in sorted(frames[1:]):
        step_to(page, frame)
        press(page, "Space", pause_ms=80)
        marked.append(frame)
    press(page, "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds(), page=page)
    ends = [p.clock_s for p in floor.stored() if p.kind == "end"]
    expected = [float((frame - frames[0]) / RATE) for frame in marked]
    assert ends == pytest.approx(expected, abs=2e-3)
    study = floor.study()
    content = (films / "setting.mp4").read_bytes()
    assert study.taken_with == "video"
    for fact in ("setting.mp4", f"{len(content)} bytes", hashlib.sha256(content).hexdigest(), "29.9"):
        assert fact in study.origin


def test_a_mark_while_the_film_runs_is_a_frame(page, floor):
    """A press while it plays at half speed takes the time of a frame, not of the clock between two."""
    show_film(page, floor, "setting.mp4")
    press(page, "Space")
    page.get_by_role("button", name="Speed × 0.5").click()
    press(page, "Enter")
    page.wait_for_timeout(700)
    press(page, "Space", "Space", "Space", pause_ms=350)
    press(page, "Enter", "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds(), page=page)
    for mark in [p.clock_s for p in floor.stored() if p.kind == "end"]:
        frame = mark * float(RATE)
        assert frame > 1
        assert abs(frame - round(frame)) < 0.05


def show_film(page, floor, name):
    """Open the view of videos, on one of them, measured."""
    floor.known(page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1&view=film")
    settled(page)
    page.get_by_label("Video", exact=True).last.click()
    page.get_by_role("option", name=name, exact=True).click()
    settled(page)
    assert until(lambda: page.locator(".clock").count() == 1, page=page)
    page.locator(".clock[data-live]").wait_for()
    facts = page.locator(".film-facts")
    facts.click()
    assert until(lambda: "frames per second as measured" in facts.inner_text(), page=page), facts.inner_text()
    return facts.inner_text()


def test_frames_of_an_uneven_film_are_told_and_marked(page, floor, uneven):
    """Where the rate changes in the film it says so; each mark is the shown frame's own time, as ffprobe lists it."""
    assert uneven[SEAM - 1 : SEAM + 2] == pytest.approx([59 / 30, 2.0, 2.0 + 1 / SLOW], abs=1e-4)
    told = show_film(page, floor, "uneven.mp4")
    low, high = (float(word) for word in told.split("varies: ")[1].split(" frames")[0].split(" to "))
    assert (low, high) == (pytest.approx(SLOW, rel=0.02), pytest.approx(30, rel=0.02))
    frames = [2, 57, 58, 59, 60, 61, 62, 63, 75]
    step_to(page, frames[0])
    press(page, "Space")
    assert until(lambda: page.locator(".clock").get_attribute("data-state") == "running", page=page)
    marked = []
    for frame in [*frames[1:], 61, 60, 59]:
        step_to(page, frame)
        assert float(page.locator(".clock").get_attribute("data-frame")) == pytest.approx(uneven[frame], abs=1e-3)
        if frame >= max(marked, default=0):
            press(page, "Space", pause_ms=80)
            marked.append(frame)
    press(page, "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds(), page=page)
    ends = [p.clock_s for p in floor.stored() if p.kind == "end"]
    assert ends == pytest.approx([uneven[frame] - uneven[frames[0]] for frame in marked], abs=1e-3)
    assert "varying from" in floor.study().origin and "frames per second as measured" in floor.study().origin


def resident_mb(pid):
    """Memory of a process. [MB]"""
    with open(f"/proc/{pid}/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * 4096 / 1e6


@pytest.mark.long
def test_a_large_video_takes_no_memory(floor, films):
    """Serving and hashing 300 MB raises the server's memory by less than 20 MB."""
    import urllib.request

    large = films / "large.mp4"
    with large.open("wb") as file:
        file.truncate(300_000_000)
    with urllib.request.urlopen(f"{floor.app.url}/api/video/setting.mp4") as answer:
        answer.read()
    before = resident_mb(floor.app.process.pid)
    with urllib.request.urlopen(f"{floor.app.url}/api/video/large.mp4") as answer:
        size = peak = 0
        while block := answer.read(1_000_000):
            size += len(block)
            peak = max(peak, resident_mb(floor.app.process.pid))
    with urllib.request.urlopen(f"{floor.app.url}/api/film/large.mp4", timeout=60) as answer:
        answer.read()
    peak = max(peak, resident_mb(floor.app.process.pid))
    large.unlink()
    print(f"\n300 MB served and hashed: server {before:.0f} -> {peak:.0f} MB at most")
    assert size == 300_000_000
    assert peak - before < 20
