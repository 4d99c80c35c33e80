"""Pages that are shared: sign-in at a provider of identities, what each role may do, and how one gets out again."""

import time

import pytest
from axe import AXE, violations
from browsers import free_port, settled
from floor import Floor, keep, press, unsent, until
from joserfc.jwk import RSAKey
from lacking import need
from provider import ROWS, SHARE, USER, Provider, roles_file, sign_in_file

from coreset.store.book import Book

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def plant(serve_all, tmp_path_factory):
    """A provider, and a shared server on a book of its own."""
    home, port = tmp_path_factory.mktemp("share"), free_port()
    provider = Provider(f"http://127.0.0.1:{port}/oauth2callback").start()
    roles, sign_in = roles_file(home, *ROWS), sign_in_file(home, provider)
    book = Book(f"sqlite:///{home / 'book.sqlite'}")
    command = SHARE.format(sign_in=str(sign_in), roles=str(roles))
    yield serve_all(book_url=book.url, command=command, port=port), provider, book, home
    provider.stop()
    book.close()


@pytest.fixture
def floor(plant):
    """A case of its own in the shared server's book."""
    server, _, book, _ = plant
    return Floor(server, book)


def enter(page, server, who, path="/"):
    """Sign in through the provider's form."""
    page.goto(server.url + path)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_label("who").fill(who)
    page.get_by_role("button", name="Go on").click()
    page.wait_for_url(f"{server.url}/**")
    settled(page)


def outside(page):
    """Whether the page shows the door and nothing of the book."""
    page.get_by_role("button", name="Sign in").wait_for()
    return page.locator("[data-testid=stTopNavLink]").count() == 0 and "Ostrander" not in page.content()


def test_who_is_not_signed_in_sees_the_door_only(page, plant, floor):
    """Neither a page nor a deep link shows anything of the book, and a post of presses is answered 401."""
    server = plant[0]
    for path in ("/", f"/facts?case={floor.case}", f"/timing?case={floor.case}&study=S1"):
        page.goto(server.url + path)
        assert outside(page)
        assert floor.case not in page.locator("[data-testid=stMain]").inner_text()
    answer = page.request.post(f"{server.url}/api/presses", data={}, headers={"origin": server.url})
    assert answer.status == 401


def test_an_observer_times_and_changes_nothing(page, plant, floor):
    """The role is shown; presses are stored; facts, uploads and signatures are refused and the book is as it was."""
    server, _, book, _ = plant
    enter(page, server, "ob7")
    assert page.get_by_text("OB7: you may look, and time on the clock.").is_visible()
    floor.open(page)
    press(page, "Space", "Space", "Space", "Space")
    assert until(lambda: floor.count() >= 4, page=page)
    before = book.revision(floor.case)
    demo = book.revision("ostrander_bend")
    page.goto(f"{server.url}/facts?case=ostrander_bend")
    settled(page)
    assert page.get_by_text("Saving is gray: it needs the role edit.").is_visible()
    assert page.get_by_role("button", name="Save").first.is_disabled()
    page.goto(f"{server.url}/timing?case={floor.case}&study=S2&view=sign")
    settled(page)
    assert page.get_by_role("textbox", name="Signed by, as a code").input_value() == "OB7"
    assert page.get_by_role("button", name="Sign and lock").is_disabled()
    assert (book.revision(floor.case), book.signed(floor.case, "S2")) == (before, "")
    assert book.revision("ostrander_bend") == demo
    page.goto(f"{server.url}/timing?case={floor.case}&study=S2&view=exchange")
    settled(page)
    assert page.locator("[data-testid=stFileUploader]").count() == 0


def test_an_editor_changes_and_does_not_sign(page, plant, floor):
    """A change is kept under the code of the sign-in; a signature is refused."""
    server, _, book, _ = plant
    enter(page, server, "ed2")
    page.goto(f"{server.url}/facts?case=ostrander_bend&place=case")
    settled(page)
    page.locator("[data-testid=stForm] input[type=text]").first.fill("Changed by an editor")
    keep(page, lambda: book.trail("ostrander_bend")[0].who == "ED2")
    page.goto(f"{server.url}/timing?case={floor.case}&study=S2&view=sign")
    settled(page)
    assert page.get_by_text("Signing is gray: it needs the role sign.").is_visible()
    assert page.get_by_role("button", name="Sign and lock").is_disabled()
    assert not book.signed(floor.case, "S2")


def test_a_signer_signs_under_the_code_of_the_sign_in_and_leaves(page, plant, floor):
    """The signature bears the code from the list; after signing out neither page nor cookie lets anybody in."""
    server, provider, book, _ = plant
    enter(page, server, "ap1")
    page.goto(f"{server.url}/timing?case={floor.case}&study=S2&view=sign")
    settled(page)
    page.get_by_role("button", name="Sign and lock").click()
    assert until(lambda: book.signed(floor.case, "S2"), page=page).startswith("AP1")
    cookies = {cookie["name"]: cookie for cookie in page.context.cookies()}
    assert cookies[USER]["httpOnly"]
    assert cookies[USER]["sameSite"] == "Lax"
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("heading", name="You have left").wait_for()
    assert provider.left[-1]["client_id"]
    assert USER not in {cookie["name"] for cookie in page.context.cookies()}
    page.context.add_cookies([{**cookie, "expires": -1} for cookie in cookies.values()])  # one that was copied before
    page.goto(server.url)
    assert outside(page)


def test_a_clock_whose_sign_in_ends_keeps_its_presses_until_the_next(page, plant, floor):
    """Signed out in the middle of a study: nothing is lost, the clock says so, and the next sign-in sends it."""
    server = plant[0]
    enter(page, server, "ob7")
    floor.open(page)
    press(page, "Space", "Space")
    assert until(lambda: floor.count() == 2 and unsent(page) == 0, page=page)
    page.context.clear_cookies(name=USER)
    press(page, "Space", "Space", "Space")
    assert until(lambda: unsent(page) == 3, page=page)
    page.get_by_text("Sign in again").wait_for()
    assert floor.count() == 2
    other = page.context.new_page()
    enter(other, server, "ob7")
    other.close()
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert until(lambda: floor.count() == 5 and unsent(page) == 0, page=page)


FORGED = {
    "a changed letter": lambda value: value[:-2] + ("A" if value[-2] != "A" else "Q") + value[-1],
    "another name in it": lambda value: "eyJpc19sb2dnZWRfaW4iOiB0cnVlfQ" + value[value.index(".", 1) :],
    "no signature": lambda value: value.rpartition(".")[0],
}


@pytest.mark.parametrize("how", FORGED)
def test_a_forged_cookie_lets_nobody_in(page, plant, how):
    """A cookie that this server did not sign is none, on pages and routes.

    The last letter but one: of the last one some bits say nothing, so that a changed one may stand for the same bytes.
    """
    server = plant[0]
    enter(page, server, "ap1")
    cookie = next(cookie for cookie in page.context.cookies() if cookie["name"] == USER)
    page.context.add_cookies([cookie | {"value": FORGED[how](cookie["value"].strip('"'))}])
    page.goto(server.url)
    assert outside(page)
    assert page.request.get(f"{server.url}/api/film/a.mp4").status == 401


def test_a_provider_whose_word_does_not_hold_signs_nobody_in(page, plant):
    """A token under another key, for another client, of another issuer, for another sign-in, or too old."""
    server, provider, _, _ = plant
    now = int(time.time())
    lies = ({"aud": "other"}, {"iss": "http://evil.example"}, {"nonce": "x"}, {"exp": now - 3600, "iat": now - 7200})
    try:
        for lie in lies:
            provider.claims = lie
            enter(page, server, "ap1")
            assert outside(page), lie
        provider.claims, provider.signing = {}, RSAKey.generate_key(2048)
        enter(page, server, "ap1")
        assert outside(page)
    finally:
        provider.claims, provider.signing = {}, provider.key
    enter(page, server, "ap1")
    page.get_by_text("AP1: you may").wait_for()


def looks(chromium):
    """Pages of a desk and of a tablet, in light and in dark."""
    for width, scheme in ((1280, "light"), (1280, "dark"), (820, "light"), (820, "dark")):
        context = chromium.new_context(viewport={"width": width, "height": 1000}, color_scheme=scheme)
        context.set_default_timeout(20_000)
        yield context.new_page()
        context.close()


def test_the_door_has_nothing_for_axe(chromium, plant):
    """Closed, seen by somebody on no list, and open to an observer: no violation, no sideways scroll."""
    need(AXE, "NO AXE-CORE: CORESET_AXE names no axe.min.js, the door was not checked by axe-core")
    server = plant[0]

    def sound(page):
        settled(page)
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 1

    for page in looks(chromium):
        page.goto(server.url)
        assert outside(page)
        sound(page)
        enter(page, server, "xx9")
        page.get_by_text("the list of people does not have you").wait_for()
        sound(page)
        page.context.clear_cookies()
        enter(page, server, "ob7", "/guide")
        page.get_by_text("OB7: you may look").wait_for()
        sound(page)


def test_who_is_not_on_the_list_is_told_what_to_give(page, plant):
    """Signed in, but on no list, or under an address that the provider does not vouch for: the subject, and out."""
    server, provider, _, _ = plant
    try:
        for who, said in (("xx9", {}), ("ap1", {"email_verified": False})):
            provider.claims = said
            page.context.clear_cookies()
            enter(page, server, who)
            page.get_by_text("the list of people does not have you").wait_for()
            assert page.locator("[data-testid=stCode]").inner_text().strip() == f"sub-{who}"
            assert page.locator("[data-testid=stTopNavLink]").count() == 0
    finally:
        provider.claims = {}


LEFT_S = (20, 60, 180)
"""What is left of the twelve hours of a sign-in; the first in which the machine opens the page is taken. [s]"""


def test_a_sign_in_ends_in_an_open_page_too(page, plant):
    """A person taken off the list, or signed in too long ago, is out at the next click.

    The second has not signed out in this module: that ends every earlier sign-in, such as one of twelve hours ago.
    """
    server, provider, _, home = plant
    enter(page, server, "ap1")
    try:
        roles_file(home, *ROWS[:2])
        page.locator("[data-testid=stTopNavLink]").nth(1).click()
        page.get_by_text("the list of people does not have you").wait_for()
    finally:
        roles_file(home, *ROWS)
    try:
        for left in LEFT_S:
            ends = int(time.time()) + left
            provider.claims = {"iat": ends - 43_200}
            page.context.clear_cookies()
            enter(page, server, "ed2")
            page.get_by_text("ED2: you may").or_(page.get_by_text("older than 12 hours")).wait_for(timeout=left * 1_000)
            if page.get_by_text("ED2: you may").count():
                break
        page.get_by_text("ED2: you may").wait_for()
        page.wait_for_timeout(max(0, ends + 1 - time.time()) * 1_000)
        page.locator("[data-testid=stTopNavLink]").nth(1).click()
        page.get_by_text("older than 12 hours").wait_for()
    finally:
        provider.claims = {}


def test_the_own_host_only(page, plant):
    """The name that was given is answered; another name of this machine is not."""
    server = plant[0]
    assert page.request.get(server.url).status == 200
    assert page.request.get(server.url.replace("127.0.0.1", "localhost")).status == 400
