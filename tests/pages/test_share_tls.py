"""Shared pages behind TLS, as on a plant's network: sign-in, socket, presses, upload, the page that was asked for."""

import socket
import ssl
import time

import pytest
from browsers import free_port, settled
from floor import Floor, press, unsent, until
from lacking import need
from provider import ROWS, SHARE, USER, Provider, roles_file, sign_in_file
from tls import HOST, Forwarder, Public

from coreset.store.book import Book

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module", params=[Forwarder, Public], ids=["ours", "nginx"])
def plant(request, serve_all, tmp_path_factory):
    """A provider, a shared server on a book of its own, and TLS before it."""
    need(request.param is not Public or Public.there(), "NO PUBLIC PROXY: apt-get install nginx-light")
    home, port, outer = tmp_path_factory.mktemp("tls"), free_port(), free_port()
    proxy = request.param(home, outer, port)
    provider = Provider(f"{proxy.url}/oauth2callback").start()
    roles, sign_in = roles_file(home, *ROWS), sign_in_file(home, provider)
    book = Book(f"sqlite:///{home / 'book.sqlite'}")
    serve_all(book_url=book.url, command=SHARE.format(sign_in=str(sign_in), roles=str(roles)), port=port)
    proxy.start()
    yield proxy, book, port
    proxy.stop()
    provider.stop()
    book.close()


@pytest.fixture
def page(chromium):
    """A page that takes the certificate, which signed itself."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, ignore_https_errors=True)
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()


def enter(page, url, who):
    """Go to an address, sign in through the provider's form, and come back."""
    page.goto(url)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_label("who").fill(who)
    page.get_by_role("button", name="Go on").click()
    page.get_by_text(f"{who.upper()}: you may look").wait_for()
    settled(page)


def test_an_observer_times_through_tls(page, plant):
    """The page that was asked for opens after the sign-in; its socket is wss, its cookies are for TLS only."""
    proxy, book, _ = plant
    floor, sockets = Floor(proxy, book), []
    page.on("websocket", lambda found: sockets.append(found.url))
    asked = f"{proxy.url}/timing?case={floor.case}&study=S1"
    enter(page, asked, "ob7")
    assert page.url.startswith(asked)
    page.locator(".clock[data-live]").wait_for()
    press(page, "Space", "Space", "Space")
    assert until(lambda: floor.count() == 3 and unsent(page) == 0, page=page)
    assert sockets and all(url.startswith(f"wss://{HOST}:{proxy.port}/") for url in sockets)
    cookies = {cookie["name"]: cookie for cookie in page.context.cookies()}
    assert cookies[USER]["secure"] and cookies[USER]["httpOnly"]
    assert all(cookie["secure"] for name, cookie in cookies.items() if name.startswith(("_streamlit", "coreset_asked")))
    assert proxy.versions <= {"TLSv1.2", "TLSv1.3"}


def test_an_editor_brings_a_table_in_through_tls(page, plant, tmp_path):
    """A file that is uploaded through TLS fills a study."""
    proxy, book, _ = plant
    floor = Floor(proxy, book)
    file = tmp_path / "theirs.csv"
    file.write_text("cycle,element,reading_s\n1,fetch core,1.5\n1,set core,2.5\n", encoding="utf-8")
    enter(page, f"{proxy.url}/timing?case={floor.case}&study=S2&view=exchange", "ed2")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_text("What will be read: 2 readings").wait_for()
    page.get_by_role("button", name="Bring these readings in").click()
    assert until(lambda: len(floor.study("S2").readings) == 2, page=page)


def test_past_the_proxy_no_page_works(page, plant):
    """The server's own port answers no change and no socket of a page that was not reached through TLS."""
    _, _, port = plant
    plain = f"http://{HOST}:{port}"
    answer = page.request.post(f"{plain}/api/presses", data={}, headers={"origin": plain})
    assert answer.status == 403
    page.goto(plain)
    page.wait_for_timeout(1_500)
    assert page.get_by_role("button", name="Sign in").count() == 0


def spoken(plant, head, pieces=()):
    """What the server answers, through TLS, to a head and pieces of a body; and after how long. [s]"""
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    proxy, began = plant[0], time.monotonic()
    lines = [*head, f"Host: {HOST}:{proxy.port}", f"Origin: {proxy.url}", "Content-Type: application/json", "", ""]
    with context.wrap_socket(socket.create_connection((HOST, proxy.port), 60), server_hostname=HOST) as line:
        line.sendall("\r\n".join(lines).encode())
        line.settimeout(0.2)
        for piece in pieces:
            try:
                line.sendall(piece)
                if found := line.recv(200):
                    return found.decode().split()[1], time.monotonic() - began
            except TimeoutError:
                continue
        line.settimeout(60)
        return line.recv(200).decode().split()[1], time.monotonic() - began


def test_bodies_that_drip_or_swell_are_refused_in_time(page, plant):
    """Through TLS and signed in: 408 after the 20 s that a body may take, 413 once it is larger than presses are."""
    enter(page, plant[0].url, "ob7")
    signed = "; ".join(f"{cookie['name']}={cookie['value']}" for cookie in page.context.cookies())
    head = ["POST /api/presses HTTP/1.1", f"Cookie: {signed}"]
    status, taken = spoken(plant, [*head, "Content-Length: 100000"], [b"{"] * 200)
    assert status == "408" and 19 < taken < 40
    status, taken = spoken(plant, [*head, "Content-Length: 9000000"], [b" " * 300_000] * 3)
    assert status in plant[0].too_large and taken < 15
