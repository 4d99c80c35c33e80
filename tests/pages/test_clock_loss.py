"""Nothing is lost: server killed, browser killed, network cut, page reloaded, two tabs, many devices."""

import random
import shutil
import signal
import time

import pytest
from floor import Floor, durable, in_order, press, state, unsent, until

from coreset.store.book import Book

pytestmark = pytest.mark.browser


def kill_the_server(page, floor, times):
    """Keys go on before, while and after the server is dead; everything is in the book in the end."""
    floor.open(page)
    press(page, "Space", "Space")
    sent = 2
    for _ in range(times):
        press(page, "Space", "Space")
        floor.app.kill()
        press(page, "Space", "Space", "Space")
        sent += 6
        assert until(lambda all_=sent: durable(page) == all_ - 1)
        assert page.locator(".kept.waiting").is_visible()
        floor.app.start()
        press(page, "Space")
        assert until(lambda all_=sent: floor.count() == all_), (floor.count(), sent, floor.app.log())
    assert in_order(floor.stored(), sent)
    assert until(lambda: unsent(page) == 0)


def test_the_server_is_killed_in_mid_study(page, floor):
    """Three times: every press is in the book exactly once, in order, without a reload."""
    kill_the_server(page, floor, 3)


@pytest.mark.long
def test_the_server_is_killed_25_times(page, floor):
    """The same 25 times."""
    kill_the_server(page, floor, 25)


def test_the_clock_stays_in_reach_while_the_server_is_gone(page, floor):
    """The framework's own notice of a lost server never covers the targets for long: each touch counts."""
    floor.open(page)
    press(page, "Space", "Space")
    floor.app.kill()
    for number in range(12):
        page.locator(".next").click(timeout=1500)
        assert until(lambda all_=number + 3: durable(page) == all_, page=page)
        page.wait_for_timeout(1000)
    floor.app.start()
    assert until(lambda: floor.count() == 14, page=page)
    assert in_order(floor.stored(), 14)


def kill_the_browser(killable, floor, times):
    """Presses are shown as taken while none can be sent, the browser dies within 0.2 s, the next one sends them."""
    draw = random.Random(20261125)
    shown = 0
    for turn in range(times):
        page = killable.start()
        floor.open(page)
        assert until(lambda least=shown: floor.count() >= least), (turn, floor.count(), shown)
        page.route("**/api/presses", lambda route: route.abort())
        press(page, *["Space"] * draw.randint(1, 4), pause_ms=30)
        page.keyboard.press("Space")
        shown = durable(page)
        time.sleep(draw.uniform(0.0, 0.15))
        killable.kill()
    page = killable.start()
    floor.open(page)
    assert until(lambda: len(floor.stored()) > shown)
    found = floor.stored()
    assert in_order(found, len(found))
    troubles = [p for p in found if p.kind == "trouble"]
    assert len(troubles) == times
    assert all("opened again" in p.note for p in troubles)


def test_the_browser_is_killed_right_after_a_press(killable, floor):
    """Three times: what was shown as taken is in the book after the next start, and the study says so."""
    kill_the_browser(killable, floor, 3)


@pytest.mark.long
def test_the_browser_is_killed_25_times(killable, floor):
    """The same 25 times."""
    kill_the_browser(killable, floor, 25)


def cut_the_network(page, floor, cut_s):
    """Presses go on while there is no network; they are counted as kept, and sent when it is back."""
    floor.open(page)
    press(page, "Space", "Space", "Space")
    assert until(lambda: len(floor.stored()) == 3)
    page.context.set_offline(True)
    end = time.monotonic() + cut_s
    count = 3
    while time.monotonic() < end:
        press(page, "Space", pause_ms=int(1000 * cut_s / 12))
        count += 1
    assert until(lambda: durable(page) == count)
    assert page.locator(".kept").inner_text().startswith(f"{count - 3} readings on this device")
    assert len(floor.stored()) == 3
    page.context.set_offline(False)
    assert until(lambda: len(floor.stored()) == count)
    assert in_order(floor.stored(), count)


def test_the_network_is_cut(page, floor):
    """Three seconds without a network."""
    cut_the_network(page, floor, 3)


@pytest.mark.long
def test_the_network_is_cut_for_30_s(page, floor):
    """Thirty seconds without a network."""
    cut_the_network(page, floor, 30)


def test_the_page_is_reloaded_at_random(page, floor):
    """Reloads in mid-study, one right after a press, lose nothing; the clock runs on."""
    draw = random.Random(7)
    floor.open(page)
    press(page, "Space", "Space")
    shown = durable(page)
    for _ in range(3):
        press(page, *["Space"] * draw.randint(1, 3), pause_ms=30)
        shown = durable(page)
        page.once("dialog", lambda dialog: dialog.accept())
        page.reload()
        page.locator(".clock[data-live]").wait_for()
        assert state(page) == "running"
        assert until(lambda shown=shown: len(floor.stored()) > shown)
    found = floor.stored()
    assert in_order(found, len(found))
    assert [p.kind for p in found].count("trouble") == 3


def test_leaving_with_unsent_presses_warns(page, floor):
    """While presses are kept here only, the browser asks before the page is left; afterwards it does not."""
    floor.open(page)
    page.context.set_offline(True)
    page.locator(".next").click()
    assert until(lambda: durable(page) == 1)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.close(run_before_unload=True)
    assert until(lambda: asked == ["beforeunload"], page=page)
    page.context.set_offline(False)
    assert until(lambda: len(floor.stored()) == 1)
    assert until(lambda: unsent(page) == 0)


def test_two_tabs_on_one_study_do_not_mix(page, floor):
    """The second tab starts a sitting of its own, with its own sequence; both are whole."""
    floor.open(page)
    press(page, "Space", "Space", "Space")
    other = page.context.new_page()
    floor.open(other)
    assert state(other) == "idle"
    press(other, "Space", "Space")
    page.bring_to_front()
    press(page, "Space")
    assert until(lambda: sorted(len(p) for p in floor.devices().values()) == [2, 4])
    for presses in floor.devices().values():
        assert in_order(presses, len(presses))
    assert [s.study for s in floor.book.open(floor.case).studies] == ["S1", "S1.2", "S2"]


def test_another_page_of_the_app_and_back(page, floor):
    """Leaving Timing for another page of the app ends nothing: the clock runs on and says nothing of it."""
    floor.open(page)
    press(page, "Space", "Space", "Space")
    page.locator(".switches input[data-switch=fill]").uncheck()
    page.get_by_role("link", name="Business case").first.click()
    page.wait_for_url("**/payback**")
    page.get_by_role("link", name="Time study").first.click()
    page.locator(".clock[data-live][data-state=running]").wait_for()
    press(page, "Space")
    assert until(lambda: len(floor.stored()) == 4)
    assert in_order(floor.stored(), 4)


def devices_at_once(chromium, floor, lasts_s, count):
    """Devices time one study at once: none lost, none mixed; milliseconds until each is acknowledged."""
    pages = [chromium.new_context().new_page() for _ in range(count)]
    for page in pages:
        floor.open(page)
        page.evaluate(
            """() => { window.acks = []; const send = window.fetch; window.fetch = async (...a) => {
            const t = performance.now(); const r = await send(...a);
            if (String(a[0]).includes('/api/presses')) window.acks.push(performance.now() - t); return r; } }"""
        )
    expected = [0] * count
    end = time.monotonic() + lasts_s
    while time.monotonic() < end:
        for number, page in enumerate(pages):
            page.keyboard.press("Space")
            expected[number] += 1
    assert until(lambda: floor.count() == sum(expected), 30)
    found = floor.devices()
    assert sorted(len(p) for p in found.values()) == sorted(expected)
    assert all(in_order(p, len(p)) for p in found.values())
    acks = sorted(ack for page in pages for ack in page.evaluate("window.acks"))
    for page in pages:
        page.context.close()
    found = {"p50": acks[len(acks) // 2], "p99": acks[int(len(acks) * 0.99)], "max": acks[-1]}
    words = ", ".join(f"{name} {ms:.0f} ms" for name, ms in found.items())
    print(f"\n{count} devices, {sum(expected)} presses in {lasts_s} s: acknowledged after {words}")
    return acks


def test_three_devices_at_once(chromium, floor):
    """Three devices for three seconds."""
    devices_at_once(chromium, floor, 3, 3)


@pytest.mark.long
def test_eight_devices_for_a_minute(chromium, floor):
    """Eight devices for a minute; the 99th percentile of the acknowledgement is printed."""
    assert devices_at_once(chromium, floor, 60, 8)


def test_a_stopped_server_leaves_one_file_with_everything(page, serve, tmp_path):
    """Stopped as a service is: the file of the book alone, copied, holds every press that was acknowledged."""
    path = tmp_path / "own" / "book.sqlite"
    floor = Floor(app=serve(book_url=f"sqlite:///{path}"), book=Book(f"sqlite:///{path}"))
    floor.open(page)
    press(page, *["Space"] * 6)
    assert until(lambda: durable(page) == 6 and unsent(page) == 0, page=page)
    running = shutil.copyfile(path, tmp_path / "running.sqlite")
    floor.book.close()
    floor.app.process.send_signal(signal.SIGTERM)
    assert floor.app.process.wait(timeout=30) is not None
    assert [one.name for one in path.parent.iterdir()] == [path.name]
    for file in (running, path):
        copied = Book(f"sqlite:///{shutil.copyfile(file, tmp_path / 'copy.sqlite')}")
        (presses,) = copied.presses(floor.case, "S1").values()
        assert in_order(presses, 6)
        copied.close()


def test_a_book_that_is_taken_away_takes_no_press(page, serve, tmp_path):
    """Its file moved while people time: told on the clock, kept by the browser, stored once the file is back."""
    path = tmp_path / "book.sqlite"
    floor = Floor(app=serve(book_url=f"sqlite:///{path}"), book=Book(f"sqlite:///{path}"))
    floor.open(page)
    press(page, "Space", "Space")
    assert until(lambda: durable(page) == 2 and unsent(page) == 0, page=page)
    path.rename(tmp_path / "aside")
    press(page, "Space", "Space", "Space")
    page.locator(".refused", has_text="deleted or moved while it was in use").wait_for()
    assert (durable(page), unsent(page), path.exists()) == (5, 3, False)
    (tmp_path / "aside").rename(path)
    assert until(lambda: unsent(page) == 0, page=page)
    assert in_order(floor.stored(), 5)
    page.locator(".refused").wait_for(state="hidden")
    floor.book.close()
