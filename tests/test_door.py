"""The door of shared pages: whom a server's own routes let in to do what."""

import json
import secrets
import time
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from urllib.parse import quote

import pytest
from book_cases import case, served, study
from provider import roles_file
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect
from streamlit.web.server.starlette.starlette_app_utils import create_signed_value
from streamlit.web.server.starlette.starlette_server_config import USER_COOKIE_NAME
from test_routes import body, press

from coreset.case import Correction
from coreset.errors import BookError, CoresetError
from coreset.store.book import Book
from coreset.web import opened
from coreset.web.sign_in import people, visit
from coreset.web.sign_in.allowed import AllowedRequests
from coreset.web.sign_in.people import ACTS, Person
from coreset.web.sign_in.share import Share

HOST = "plant.example"
ORIGIN = f"https://{HOST}"
SOCKET = f"wss://{HOST}/_stcore/stream"
SECRET = "0123456789abcdef0123456789abcdef"
ROWS = (
    "ob7@plant.example,,OB7,observe",
    ",sub-ed2,ED2,edit",
    "AP1@plant.example,,AP1,sign",
)


@pytest.fixture
def roles(tmp_path):
    """A list of three people, one a role."""
    return roles_file(tmp_path, *ROWS)


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A book with one study without readings, named for the server."""
    with served(tmp_path, monkeypatch) as opened:
        yield opened


@pytest.fixture
def client(book, tmp_path, roles, monkeypatch):
    """A client of a shared server's routes and guards, behind TLS; in the place of the pages stand three paths."""
    from coreset.web.server import guards, own_routes

    monkeypatch.setattr("streamlit.web.server.server_util.get_cookie_secret", lambda: SECRET)

    async def hello(request):
        answer = PlainTextResponse("page")
        answer.set_cookie("a", "1")
        return answer

    async def echo(socket):
        await socket.accept()
        await socket.close()

    paths = ("/", "/media/a.png", "/_stcore/upload_file/s/f", "/_stcore/agent/interact", "/_stcore/health")
    stood = [Route(path, hello, methods=["GET", "POST", "PUT"]) for path in paths]
    given = Share(sign_in=tmp_path / "sign-in.toml", roles=roles, host=HOST, origin=ORIGIN)
    app = Starlette(routes=[*own_routes(), *stood, WebSocketRoute("/_stcore/stream", echo)], middleware=guards(given))
    return TestClient(app, base_url=ORIGIN)


def claims(who, **changes):
    """What the provider says of somebody who has just signed in."""
    known = {"origin": ORIGIN, "is_logged_in": True, "provider": "default", "iat": int(time.time())}
    return known | {"sub": f"sub-{who}", "email": f"{who}@plant.example", "email_verified": True} | changes


def signed_in(who, *, secret=SECRET, **changes):
    """The cookie of somebody who signed in, as a header."""
    value = create_signed_value(secret, USER_COOKIE_NAME, json.dumps(claims(who, **changes))).decode()
    return {"origin": ORIGIN, "cookie": f"{USER_COOKIE_NAME}={value}"}


FILM = {"content-type": "video/mp4"}
ASKED = {
    "presses": lambda client, headers: client.post("/api/presses", json=body(), headers=headers),
    "a video": lambda client, headers: client.get("/api/video/none.mp4", headers=headers),
    "facts of a video": lambda client, headers: client.get("/api/film/none.mp4", headers=headers),
    "an upload": lambda client, headers: client.put("/api/video/a.mp4", content=b"film", headers=headers | FILM),
    "a file made by a page": lambda client, headers: client.get("/media/a.png", headers=headers),
    "a file for a page": lambda client, headers: client.put("/_stcore/upload_file/s/f", headers=headers),
    "the framework's other doors": lambda client, headers: client.post("/_stcore/agent/interact", headers=headers),
}
ROLE_OF = dict.fromkeys(ASKED, "observe") | dict.fromkeys(
    ("an upload", "a file for a page", "the framework's other doors"), "edit"
)
NOT_IN = {
    "no cookie": {"origin": ORIGIN},
    "an empty cookie": {"origin": ORIGIN, "cookie": f"{USER_COOKIE_NAME}="},
    "no signature": {"origin": ORIGIN, "cookie": f"{USER_COOKIE_NAME}={json.dumps(claims('ap1'))}"},
    "another's signature": signed_in("ap1", secret="f" * 32),
    "an empty secret's signature": signed_in("ap1", secret=""),
    "another address": signed_in("ap1", origin="https://other.example"),
    "plain http": signed_in("ap1", origin=f"http://{HOST}"),
    "signed in yesterday": signed_in("ap1", iat=int(time.time()) - 86_400),
    "signed in tomorrow": signed_in("ap1", iat=int(time.time()) + 86_400),
    "no time": signed_in("ap1", iat=None),
    "signed out": signed_in("ap1", is_logged_in=False),
    "not quite true": signed_in("ap1", is_logged_in="yes"),
    "not on the list": signed_in("xx9"),
    "address not verified": signed_in("ap1", email_verified=False),
    "address verified by nobody": signed_in("ap1", email_verified=None),
    "a subject in the place of an address": signed_in("zz", sub="ap1@plant.example"),
}


@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("who", NOT_IN)
def test_who_is_not_in_gets_nothing(client, book, asked, who):
    """Without a fresh sign-in of somebody on the list each route answers 401, and nothing is stored."""
    answer = ASKED[asked](client, NOT_IN[who])
    assert answer.status_code == 401
    assert "Nothing is lost" in answer.json()["error"]
    assert not book.presses("c", "S1")


@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("who", ["ob7", "ed2", "ap1"])
def test_a_role_reaches_as_far_as_it_says(client, asked, who):
    """A role that is too small is answered 403 with the words, the others pass."""
    role = {"ob7": "observe", "ed2": "edit", "ap1": "sign"}[who]
    answer = ASKED[asked](client, signed_in(who))
    if people.ROLES.index(role) < people.ROLES.index(ROLE_OF[asked]):
        assert answer.status_code == 403
        assert "your role is observe, and this needs edit" in answer.json()["error"]
    else:
        assert answer.status_code in (200, 201, 404)


def test_a_stolen_cookie_can_be_revoked(client, book, roles):
    """Every sign-in of the person before the time that the list states ends at once; the next one and others count."""
    stolen, others = signed_in("ob7", iat=int(time.time()) - 600), signed_in("ap1", iat=int(time.time()) - 600)
    ask = ASKED["presses"]
    assert ask(client, stolen).status_code == 200
    now = datetime.now(UTC) - timedelta(seconds=60)
    lines = roles.read_text().splitlines()
    since = ["since", *(now.isoformat() if ",OB7," in line else "" for line in lines[1:])]
    roles.write_text("\n".join(f"{line},{cell}" for line, cell in zip(lines, since, strict=True)))
    assert ask(client, stolen).status_code == 401
    assert ask(client, others).status_code == 200
    assert ask(client, signed_in("ob7")).status_code == 200
    roles.write_text("\n".join(f"{line},{cell}" for line, cell in zip(lines, ["since", *["8:00"] * 9], strict=False)))
    assert ask(client, signed_in("ob7")).status_code == 401


def test_a_clock_is_started_under_the_code_of_the_sign_in(client, book):
    """Who pressed comes from the server: a browser that names another person, or nobody, is not believed."""
    for number, note in enumerate(["2026-11-25T08:00:00 AP1", "2026-11-25T08:00:00", ""]):
        started = press(note=note) | {"device": f"tab-{number:04d}"}
        assert client.post("/api/presses", json=started, headers=signed_in("ob7")).status_code == 200
    notes = [presses[0].note for presses in book.presses("c", "S1").values()]
    assert notes == ["2026-11-25T08:00:00 OB7", "2026-11-25T08:00:00 OB7", " OB7"]
    assert {one.taken_by for one in book.open("c").studies} == {"OB7"}


def test_presses_of_another_person_on_a_running_clock_name_that_person(client, book):
    """Whoever goes on with a clock that somebody else began stands with each press; the starter's own bear no name."""
    rows = [("start", 0.0, "2026-11-25T08:00:00"), ("first", 1.0, ""), ("end", 2.0, ""), ("end", 3.0, "pause")]
    for seq, (kind, clock_s, note) in enumerate(rows, start=1):
        sent = press(seq=seq, kind=kind, clock_s=clock_s, note=note)
        who = signed_in("ob7" if seq < 3 else "ed2")
        assert client.post("/api/presses", json=sent, headers=who).status_code == 200
    [presses] = book.presses("c", "S1").values()
    assert [one.note for one in presses] == ["2026-11-25T08:00:00 OB7", "", "by ED2", "pause; by ED2"]


def test_presses_of_an_observer_are_stored(client, book):
    """Timing is what an observer may do."""
    assert client.post("/api/presses", json=body(), headers=signed_in("ob7")).json() == {"stored": [1, 2, 3]}
    assert [p.seq for p in book.presses("c", "S1")["tab-0001"]] == [1, 2, 3]


def test_a_cookie_ends_with_the_working_day(client, monkeypatch):
    """The signature bears its own time: an old one is refused although its claims were made fresh."""
    import itsdangerous.timed

    headers = signed_in("ap1")
    assert client.get("/media/a.png", headers=headers).status_code == 200
    now = time.time()
    monkeypatch.setattr(itsdangerous.timed.time, "time", lambda: now + visit.SIGN_IN_S + 60)
    monkeypatch.setattr(visit, "time", SimpleNamespace(time=lambda: now))
    assert client.get("/media/a.png", headers=headers).status_code == 401


def test_a_large_cookie_comes_in_parts_and_each_is_signed(client):
    """A cookie in chunks is put together; one forged chunk and it is none."""
    from streamlit.auth_util import set_cookie_with_chunks

    parts = {}
    set_cookie_with_chunks(
        lambda name, value: parts.update({name: create_signed_value(SECRET, name, value).decode()}),
        lambda name, value: create_signed_value(SECRET, name, value),
        USER_COOKIE_NAME,
        claims("ap1", groups=[secrets.token_hex(400) for _ in range(8)]),
        cookie_attr_size=80,
    )
    assert len(parts) > 2

    def asked():
        cookie = "; ".join(f"{name}={value}" for name, value in parts.items())
        return client.get("/media/a.png", headers={"origin": ORIGIN, "cookie": cookie}).status_code

    assert asked() == 200
    parts[f"{USER_COOKIE_NAME}_1"] = create_signed_value("f" * 32, f"{USER_COOKIE_NAME}_1", "{").decode()
    assert asked() == 401


def test_a_row_taken_out_shuts_the_door_at_once(client, tmp_path):
    """The list is read at each request; one that cannot be read lets nobody in."""
    headers = signed_in("ap1")
    assert client.get("/media/a.png", headers=headers).status_code == 200
    roles_file(tmp_path, *ROWS[:2])
    assert client.get("/media/a.png", headers=headers).status_code == 401
    roles_file(tmp_path, *ROWS, "broken").write_bytes(b"\xff\xfe")
    assert client.get("/media/a.png", headers=headers).status_code == 401
    (tmp_path / "roles.csv").unlink()
    assert client.get("/media/a.png", headers=headers).status_code == 401


HOSTS = {
    "evil.example": 400,
    "127.0.0.1": 400,
    "localhost:8501": 400,
    "sub.plant.example": 400,
    "plant.example.evil.example": 400,
    HOST: 200,
}


@pytest.mark.parametrize("host", HOSTS)
def test_only_the_named_host_is_answered(client, host):
    """The one host name that was given, no other, not even this machine's own."""
    assert client.get("/", headers={"host": host}).status_code == HOSTS[host]


@pytest.mark.parametrize("origin", ["https://evil.example", f"http://{HOST}", f"{ORIGIN}:444", "null"])
def test_only_the_shared_address_may_send(client, book, origin):
    """A foreign origin is refused although the sign-in is good; so is the same name without TLS; a socket likewise."""
    headers = signed_in("ap1") | {"origin": origin}
    assert client.post("/api/presses", json=body(), headers=headers).status_code == 403
    with pytest.raises(WebSocketDisconnect) as closed, client.websocket_connect(SOCKET, headers=headers):
        pass
    assert closed.value.code == 1008
    assert not book.presses("c", "S1")


def test_the_frame_and_the_sign_in_are_open_and_dressed(client):
    """Who is not in gets the frame of the page; answers forbid frames, cookies go over TLS only."""
    for path in ("/", "/_stcore/health"):
        answer = client.get(path)
        assert answer.status_code == 200
        assert answer.headers["x-frame-options"] == "DENY"
        assert answer.headers["set-cookie"].endswith("; Secure")
    with client.websocket_connect(SOCKET, headers={"origin": ORIGIN}):
        pass


@pytest.mark.slow
def test_floods_of_sign_ins_are_slowed(client, monkeypatch):
    """The way through the provider has a rate too."""
    from coreset.web import guard

    monkeypatch.setattr(guard, "now_s", lambda: 0.0)
    answers = [client.get("/auth/login").status_code for _ in range(int(guard.BURST) + 1)]
    assert set(answers[:-1]) == {404}
    assert answers[-1] == 429


CODED = {"keep", "undo", "sign", "new_version", "correct"}
DONE = {
    "cases": (),
    "trail": ("c",),
    "open": ("c",),
    "revision": ("c",),
    "has_study": ("c", "S1"),
    "stamp": ("c",),
    "studies": ("c",),
    "study_trail": ("c", "S1"),
    "signed": ("c", "S1"),
    "presses": ("c", "S1"),
    "starter": ("c", "S1", "D1"),
    "plant": ("c",),
    "mapping": ("heads",),
    "remember": ("heads", "{}"),
    "sign": ("c", "S1"),
    "people": (),
    "save_people": ("email,subject,code,role\n",),
}
NAMED = {"sign": {"who": "FORGED"}, "save_people": {"base": 0}}


@pytest.mark.parametrize("role", [None, *people.ROLES])
@pytest.mark.parametrize("act", DONE)
def test_the_book_asks_for_the_role_of_each_act(book, act, role):
    """Whoever is not in, or whose role is too small, is refused by the book itself, whatever a page offers."""
    door = AllowedRequests(book, lambda: role and Person(code="P1", role=role))
    if role and people.ROLES.index(role) >= people.ROLES.index(ACTS[act]):
        getattr(door, act)(*DONE[act], **NAMED.get(act, {}))
    else:
        with pytest.raises(BookError, match="sign in again" if role is None else f"P1 has the role {role}"):
            getattr(door, act)(*DONE[act], **NAMED.get(act, {}))
        assert not book.signed("c", "S1")


def test_what_is_kept_bears_the_code_of_the_sign_in(book):
    """A code that was typed, or forged, is not taken: the trail, corrections and signatures bear the person's own."""
    door = AllowedRequests(book, lambda: Person(code="AP1", role="sign"))
    assert set(ACTS) >= CODED
    door.keep("d", case(study(readings=study().readings)), who="FORGED", why="entered")
    door.correct("d", "S1", Correction(seq=2, action="exclude", value="", who="FORGED", when="2026-11-25", why="slip"))
    door.keep("d", book.open("d"), who="FORGED", why="again")
    door.sign("d", "S1", who="FORGED")
    door.new_version("d", "S1", who="FORGED", why="more")
    door.undo("d", who="FORGED")
    assert {row.who for row in book.trail("d")} == {"AP1"}
    assert [made.who for made in book.open("d").studies[0].corrections] == ["AP1"]
    assert book.signed("d", "S1").startswith("AP1")


PLANTS = (
    "ab@plant.example,,AB,edit,,A",
    "AB@plant.example,,AB,observe,,B",
    ",sub-all,ALL,observe,,",
    ",sub-all,ALL,sign,,B",
)


@pytest.fixture
def plants(tmp_path):
    """People with a role at a plant, and a case at each of two plants and at none."""
    path = roles_file(tmp_path, *PLANTS)
    path.write_text(path.read_text().replace("code,role", "code,role,since,plant", 1))
    return path


@pytest.fixture
def divided(book):
    """A book with a case at each of two plants; the case "c" names none."""
    for plant in "AB":
        book.keep(plant.lower(), case(plant=plant), who="OB7", why="entered")
    return book


def person_of(path, **claims):
    """The person whom the claims name."""
    return people.listed(people.entries(path), {"email_verified": True} | claims)


def test_a_role_holds_at_its_plant(divided, plants):
    """Neither listed nor opened where the person has no row; a case is moved only by who may edit at both plants."""
    ab, everywhere = person_of(plants, email="ab@plant.example"), person_of(plants, sub="sub-all")
    door = AllowedRequests(divided, lambda: ab)
    assert [row.case_id for row in door.cases()] == ["a", "b"]
    assert door.open("a").plant == "A" and door.open("b").plant == "B"
    for act in (
        lambda: door.open("c"),
        lambda: door.trail("c"),
        lambda: door.undo("b", who="AB"),
        lambda: door.keep("b", case(plant="B", title="Two"), who="AB", why="title"),
        lambda: door.keep("a", case(plant="B"), who="AB", why="moved"),
        lambda: door.keep("new", case(plant="B"), who="AB", why="new"),
        lambda: door.sign("b", "S1", who="AB"),
    ):
        with pytest.raises(BookError, match="AB has"):
            act()
    door.keep("a", case(plant="A", title="Two"), who="AB", why="title")
    door.keep("new", case(plant="A"), who="AB", why="new")
    door = AllowedRequests(divided, lambda: everywhere)
    assert [row.case_id for row in door.cases()] == ["a", "b", "c", "new"]
    door.sign("b", "S1", who="ALL")
    with pytest.raises(BookError, match="this case \\(A\\)"):
        door.sign("a", "S1", who="ALL")


def test_presses_for_a_case_of_another_plant_are_refused(client, divided, roles):
    """The route asks for the plant too: 403, and nothing is stored."""
    rows = ["email,subject,code,role,since,plant", ",sub-ed2,ED2,sign,,A"]
    roles.write_text("\n".join([*rows, ""]))
    for name, status in (("b", 403), ("c", 403), ("a", 200)):
        answered = client.post("/api/presses", json=body(case=name), headers=signed_in("ed2"))
        assert answered.status_code == status, answered.text
    assert not divided.presses("b", "S1") and divided.presses("a", "S1")


def test_a_video_belongs_to_the_plant_of_the_case_that_it_came_from(client, divided, roles, tmp_path, monkeypatch):
    """At another plant it is as none, on the route and in the list of the page; only its editors upload for it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    rows = [
        "email,subject,code,role,since,plant",
        ",sub-ed2,ED2,edit,,A",
        ",sub-ob7,OB7,observe,,B",
        ",sub-ap1,AP1,sign,,",
    ]
    roles.write_text("\n".join([*rows, ""]))
    sent = {"content": b"film", "headers": signed_in("ed2") | FILM}
    for case_id, status in (("b", 403), ("c", 403), ("", 403), ("a", 201)):
        assert client.put("/api/video/v.mp4", params={"case": case_id}, **sent).status_code == status
    assert client.put(
        "/api/video/w.mp4", params={"case": "b"}, **sent | {"headers": signed_in("ap1") | FILM}
    ).is_success
    seen = {"ed2": ["v.mp4"], "ob7": ["w.mp4"], "ap1": ["v.mp4", "w.mp4"]}
    for who, names in seen.items():
        got = [n for n in ("v.mp4", "w.mp4") if client.get(f"/api/video/{n}", headers=signed_in(who)).is_success]
        told = [n for n in ("v.mp4", "w.mp4") if client.get(f"/api/film/{n}", headers=signed_in(who)).is_success]
        monkeypatch.setattr(opened, "guest", lambda who=who: person_of(roles, sub=f"sub-{who}"))
        assert got == told == list(opened.films()) == names
    monkeypatch.setattr(opened, "guest", lambda: None)
    assert opened.films() == ("v.mp4", "w.mp4")  # where nobody signs in


def test_a_row_with_a_fault_shuts_out_nobody_else(book, tmp_path, caplog):
    """The row is left out and told once in the log; at a start, and where nobody is left, the list is refused."""
    path = roles_file(tmp_path, *ROWS, "x@plant.example,,X1,boss", "y@plant.example,,OB\u04127,sign")
    claims = {"is_logged_in": True, "iat": time.time(), "email_verified": True, "email": "ob7@plant.example"}
    for _ in range(2):
        assert visit.judged(claims, path, lambda: book).person.code == "OB7"
    assert caplog.text.count("row left out") == 2 and "row 5" in caplog.text and "row 6" in caplog.text
    path.write_text(path.read_text().replace("role", "role,since,plant", 1) + "AP1@plant.example,,AP1,sign,8:00,A\n")
    for shut_out in ("ap1@plant.example", "x@plant.example", "y@plant.example"):
        assert visit.judged(claims | {"email": shut_out}, path, lambda: book).reason == "unknown"
    with pytest.raises(CoresetError):
        people.entries(path)
    path.write_text(path.read_text().split("\n")[0] + "\nx@plant.example,,X1,boss\n")
    assert visit.judged(claims, path, lambda: book).reason == "closed"


def test_an_act_that_is_not_listed_is_not_there(book):
    """What nobody thought of is open to nobody: forgetting, closing, the engine."""
    door = AllowedRequests(book, lambda: Person(code="AP1", role="sign"))
    for act in ("forget", "close", "refuse_unwritable", "url", "_engine"):
        if not act.startswith("_"):
            with pytest.raises(AttributeError):
                getattr(door, act)
    public = {name for name in dir(Book) if not name.startswith("_")}
    assert set(ACTS) == public - {"forget", "close", "refuse_unwritable", "sign_out", "access"}


@pytest.mark.parametrize(
    "address",
    ["//evil.example", "https://plant.example//evil.example/", "https://plant.example/\\evil.example", "javascript:1",
     "https://plant.example/facts/../../evil", "https://plant.example/auth/logout", "http://[", "https://p/facts\r\nX",
     "https://plant.example/facts?" + "x" * 600],
)  # fmt: skip
def test_the_way_back_leads_to_our_pages_only(address):
    """Whatever the browser said where it came from: a page of the list, else the first one."""
    from coreset.web.sign_in import back

    kept = back.kept("/auth/login", address).partition(";")[0].partition("=")[2]
    assert back.led("/oauth2callback", {"coreset_asked": kept}, "/") == "/"
    assert back.led("/oauth2callback", {"coreset_asked": quote(address, safe="")}, "/") == "/"
    asked = back.kept("/auth/login", "https://plant.example/facts?case=a%20b&place=case").partition(";")[0]
    cookies = {"coreset_asked": asked.partition("=")[2]}
    assert back.led("/oauth2callback", cookies, "/") == "/facts?case=a%20b&place=case"
    assert back.led("/auth/logout", cookies, "/") == "/" and back.kept("/facts", address) == ""
