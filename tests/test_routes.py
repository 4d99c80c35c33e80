"""Our own routes: what they take, and every forged request that they refuse."""

import hashlib
import json
from dataclasses import replace
from pathlib import Path

import pytest
from book_cases import served, sitting
from sqlalchemy.event import listen
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect
from streamlit.file_util import get_static_dir

from coreset.web import opened

OWN = "http://127.0.0.1:8501"
JSON = {"content-type": "application/json", "origin": OWN}


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A book with one study without readings, named for the server."""
    with served(tmp_path, monkeypatch) as opened:
        yield opened


@pytest.fixture
def client(book):
    """A client of the server's routes and guards; in the place of the pages stand a page and a socket."""
    from coreset.web.server import guards, own_routes

    async def echo(socket):
        await socket.accept()
        await socket.send_text("hello")
        await socket.close()

    page = [Route("/", lambda request: PlainTextResponse("page")), WebSocketRoute("/_stcore/stream", echo)]
    return TestClient(Starlette(routes=[*own_routes(), *page], middleware=guards()), base_url=OWN)


def body(**changes):
    """What a browser sends for three presses."""
    presses = [
        {"seq": p.seq, "kind": p.kind, "clock_s": p.clock_s, "wall_ms": 1.8e12, "cycle": p.cycle, "element": p.element}
        for p in sitting()[:3]
    ]
    return {"case": "c", "study": "S1", "device": "tab-0001", "presses": presses} | changes


def press(**changes):
    """A body whose only press has the changes."""
    return body(presses=[body()["presses"][0] | changes])


def test_presses_are_stored_and_acknowledged(client, book):
    """Each press is acknowledged by its sequence and is in the book; sent twice it is there once."""
    for _ in range(2):
        answer = client.post("/api/presses", json=body(), headers=JSON)
        assert (answer.status_code, answer.json()) == (200, {"stored": [1, 2, 3]})
    assert [p.seq for p in book.presses("c", "S1")["tab-0001"]] == [1, 2, 3]


def test_a_press_takes_one_transaction_of_few_statements(client, book):
    """The file is held for all of it, and each statement waits for the threads of pages."""
    presses = [body()["presses"][0] | {"seq": seq} for seq in (1, 2)]
    assert client.post("/api/presses", json=body(presses=presses[:1]), headers=JSON).status_code == 200
    begun, said = [], []
    listen(opened.shared()._engine, "begin", begun.append)
    listen(opened.shared()._engine, "before_cursor_execute", lambda *given: said.append(given[2]))
    assert client.post("/api/presses", json=body(presses=presses[1:]), headers=JSON).status_code == 200
    assert len(begun) == 1 and len(said) <= 14, said


def test_a_press_after_a_gap_is_stored_too(client, book):
    """Late presses fill their place; the order is that of the sequence, not of arrival."""
    presses = body()["presses"]
    for part in (presses[2:], presses[:2]):
        assert client.post("/api/presses", json=body(presses=part), headers=JSON).status_code == 200
    assert [p.seq for p in book.presses("c", "S1")["tab-0001"]] == [1, 2, 3]


FORGED = {
    "another host": (400, {"host": "evil.example"}, body(), "host"),
    "another origin": (403, {"origin": "http://evil.example"}, body(), "page of this server"),
    "the origin null": (403, {"origin": "null"}, body(), "page of this server"),
    "our host, another port": (403, {"origin": "http://127.0.0.1:9"}, body(), "page of this server"),
    "no origin": (403, {"origin": None}, body(), "page of this server"),
    "text": (415, {"content-type": "text/plain"}, body(), "application/json"),
    "a form": (415, {"content-type": "application/x-www-form-urlencoded"}, body(), "application/json"),
    "no type": (415, {"content-type": None}, body(), "application/json"),
    "an unknown case": (404, {}, body(case="other"), "no study 'S1' in a case 'other'"),
    "an unknown study": (404, {}, body(study="S9"), "no study 'S9'"),
    "a path as study": (404, {}, body(study="../../etc/passwd"), "no study"),
    "no presses": (422, {}, body(presses=[]), "presses"),
    "too many presses": (422, {}, body(presses=body()["presses"] * 200), "at most 500"),
    "a strange device": (422, {}, body(device="../tab"), "device"),
    "a field too many": (422, {}, body(admin=True), "admin"),
    "a list": (422, {}, [1, 2], "body"),
    "a negative clock": (422, {}, press(clock_s=-1), "presses.0.clock_s: found -1"),
    "a clock of a year": (422, {}, press(clock_s=3.2e7), "presses.0.clock_s"),
    "a time before 2020": (422, {}, press(wall_ms=0), "presses.0.wall_ms"),
    "sequence nought": (422, {}, press(seq=0), "presses.0.seq"),
    "a sequence as text": (422, {}, press(seq="1"), "presses.0.seq"),
    "an unknown kind": (422, {}, press(kind="drop"), "presses.0.kind"),
    "a rating of 9000": (422, {}, press(rating=9000), "presses.0.rating"),
    "a long note": (422, {}, press(note="x" * 1001), "presses.0.note"),
    "a large body": (413, {}, body(case="x" * 300_000), "262144 bytes"),
}


@pytest.mark.parametrize("name", FORGED)
def test_a_forged_request_is_refused(client, book, name):
    """Refused with its own status and a word on what was wrong; the book is untouched."""
    status, headers, content, words = FORGED[name]
    sent = {key: value for key, value in (JSON | headers).items() if value is not None}
    answer = client.post("/api/presses", content=json.dumps(content), headers=sent)
    assert answer.status_code == status
    assert words in answer.text
    assert book.presses("c", "S1") == {}


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b'{"case": NaN}', b"[" * 5000])
def test_a_broken_body_is_refused(client, book, content):
    """What is no JSON is refused, not tripped over."""
    answer = client.post("/api/presses", content=content, headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["error"].startswith("Refused")


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_is_refused(client, book, value):
    """JSON has no NaN; a clock that is none is refused."""
    content = json.dumps(press(clock_s=7777.0)).replace("7777.0", value)
    assert client.post("/api/presses", content=content, headers=JSON).status_code == 422


@pytest.mark.parametrize("method", ["GET", "PUT", "DELETE", "PATCH"])
def test_other_methods_are_refused(client, method):
    """The route takes presses and does nothing else."""
    assert client.request(method, "/api/presses", headers=JSON).status_code == 405


def test_a_signed_study_takes_no_presses(client, book):
    """After the signature they are acknowledged as saved apart from the study, with words that name who signed it."""
    book.sign("c", "S1", who="AP1")
    answer = client.post("/api/presses", json=body(), headers=JSON)
    assert answer.status_code == 200 and "S1 was signed (AP1" in answer.json()["apart"]
    assert book.presses("c", "S1") == {} and [one.late for one in book.apart("c", "S1")] == [len(body()["presses"])]


def test_readings_of_a_study_that_was_removed_are_taken_all_the_same(client, book):
    """Acknowledged as saved apart, under the study's name; a study that the case never had is refused still."""
    assert client.post("/api/presses", json=press(seq=1), headers=JSON).status_code == 200
    book.keep("c", replace(book.open("c"), studies=()), who="ED1", why="entered twice")
    answer = client.post("/api/presses", json=press(seq=2), headers=JSON)
    assert (answer.status_code, answer.json()["stored"]) == (200, [2])
    assert "S1 was removed" in answer.json()["apart"]
    assert [(one.study, one.late) for one in book.apart("c")] == [("S1", 1)]
    assert client.post("/api/presses", json=press(seq=2) | {"study": "S9"}, headers=JSON).status_code == 404


@pytest.mark.parametrize("signed", ["S1", "S1.2"])
def test_a_signature_on_one_sitting_closes_the_route_for_all(client, book, signed):
    """Signed under the code of any sitting, the study takes no press from a known or a new device, and loses none.

    What comes all the same is acknowledged as saved apart, also after a new version was opened in the study's place.
    """
    for device in ("tab-0001", "tab-0002"):
        assert client.post("/api/presses", json=body(device=device), headers=JSON).status_code == 200
    stored = book.presses("c", "S1")
    book.sign("c", signed, who="AP1")
    for device in ("tab-0001", "tab-0002", "tab-0003"):
        answer = client.post("/api/presses", json=press(seq=9) | {"device": device}, headers=JSON)
        assert (answer.status_code, answer.json()["stored"], "signed" in answer.json()["apart"]) == (200, [9], True)
    assert client.post("/api/presses", json=body(study="S1.2"), headers=JSON).status_code == 404
    assert book.presses("c", "S1") == stored
    new = book.new_version("c", signed, who="OB7", why="more cycles")
    answer = client.post("/api/presses", json=press(seq=10) | {"device": "tab-0001"}, headers=JSON)
    assert (answer.status_code, "apart" in answer.json()) == (200, True)
    assert [(one.device, one.late) for one in book.apart("c", new)] == [
        ("tab-0001@late", 2), ("tab-0002@late", 1), ("tab-0003@late", 1)]  # fmt: skip
    answer = client.post("/api/presses", json=body(study=new, device="tab-0003"), headers=JSON)
    assert (new, answer.status_code) == ("S1-v2", 200)
    assert [s.study for s in book.open("c").studies] == ["S1-v2", "S1-v2.2", "S1-v2.3"]


@pytest.mark.slow
def test_a_flood_is_slowed(client, book, monkeypatch):
    """One address that sends without pause is told to wait; after a while it may go on."""
    from coreset.web import guard

    clock = [0.0]
    monkeypatch.setattr(guard, "now_s", lambda: clock[0])
    answers = [client.post("/api/presses", content=b"{", headers=JSON).status_code for _ in range(420)]
    assert set(answers[:399]) == {422} and answers[-1] == 429
    clock[0] = 10.0
    assert client.post("/api/presses", json=body(), headers=JSON).status_code == 200


def test_a_body_that_drips_is_cut_off(monkeypatch):
    """A request whose body never ends is answered after the limit and not passed on."""
    import asyncio

    from coreset.web import guard

    monkeypatch.setattr(guard, "BODY_S", 0.05)
    sent = []

    async def never(scope, receive, send):
        raise AssertionError("passed on")

    async def drip():
        await asyncio.sleep(0.01)
        return {"type": "http.request", "body": b"x", "more_body": True}

    async def send(message):
        sent.append(message)

    scope = {"type": "http", "path": "/api/presses", "method": "POST", "headers": [], "client": ("127.0.0.1", 1)}
    asyncio.run(guard.Limits(never)(scope, drip, send))
    assert sent[0]["status"] == 408 and b"within" in sent[1]["body"]


def test_the_pages_are_guarded_too(client):
    """A page asked of another host, or a socket from another origin, is refused; our own are not."""
    assert client.get("/").text == "page"
    assert client.get("/", headers={"host": "evil.example"}).status_code == 400
    socket = "ws://127.0.0.1:8501/_stcore/stream"
    with client.websocket_connect(socket, headers={"origin": OWN}) as own:
        assert own.receive_text() == "hello"
    with (
        pytest.raises(WebSocketDisconnect),
        client.websocket_connect(socket, headers={"origin": "http://evil.example"}),
    ):
        pass


@pytest.fixture
def films(tmp_path, monkeypatch):
    """A folder of videos named at start, a secret beside it, and a link that leads out."""
    folder = tmp_path / "films"
    folder.mkdir()
    (folder / "drag line 2.mp4").write_bytes(bytes(range(256)) * 40)
    (tmp_path / "secret.mp4").write_bytes(b"secret")
    (folder / "notes.txt").write_bytes(b"notes")
    (folder / "link.mp4").symlink_to(tmp_path / "secret.mp4")
    monkeypatch.setenv("CORESET_VIDEOS", str(folder))
    return folder


def test_a_video_is_served_in_ranges(client, films):
    """The range that was asked for, with its place in the whole."""
    answer = client.get("/api/video/drag line 2.mp4", headers={"range": "bytes=100-199"})
    assert (answer.status_code, answer.headers["content-range"]) == (206, "bytes 100-199/10240")
    assert answer.content == (bytes(range(256)) * 40)[100:200]


def test_a_video_is_named_with_size_and_hash(client, films):
    """Name, size, SHA-256 as hashlib gives it for the whole file."""
    facts = client.get("/api/film/drag line 2.mp4").json()
    whole = hashlib.sha256(bytes(range(256)) * 40).hexdigest()
    assert facts == {"name": "drag line 2.mp4", "bytes": 10240, "sha256": whole}


@pytest.mark.parametrize(
    "name", ["none.mp4", "notes.txt", "link.mp4", "..%2fsecret.mp4", "..%5csecret.mp4", "%2e%2e", ".mp4", "a%00.mp4"]
)
def test_nothing_outside_the_folder_is_served(client, films, name):
    """No other kind of file, no link, no path that leads out."""
    answer = client.get(f"/api/video/{name}")
    assert answer.status_code in (400, 404)
    assert b"secret" not in answer.content.replace(b"secret.mp4", b"")


VIDEO = {"content-type": "video/mp4", "origin": OWN}


def test_an_upload_is_kept_whole(client, films):
    """An uploaded video comes back byte for byte; a second one of that name is refused."""
    content = b"\x00\x01film" * 5000
    answer = client.put("/api/video/new one.mp4", content=content, headers=VIDEO)
    assert (answer.status_code, answer.json()["sha256"]) == (201, hashlib.sha256(content).hexdigest())
    assert client.get("/api/video/new one.mp4").content == content
    assert client.put("/api/video/new one.mp4", content=b"x", headers=VIDEO).status_code == 422


@pytest.mark.parametrize(
    ("name", "headers", "status"),
    [
        ("page.html", VIDEO, 422),
        ("..%2fup.mp4", VIDEO, 404),
        ("up.mp4", VIDEO | {"content-type": "text/html"}, 415),
        ("up.mp4", VIDEO | {"origin": "http://evil.example"}, 403),
        ("up.mp4", {"content-type": "video/mp4"}, 403),
    ],
)
def test_a_forged_upload_is_refused(client, films, tmp_path, name, headers, status):
    """Only a video, from our own page, under a plain name, into the folder of uploads."""
    assert client.put(f"/api/video/{name}", content=b"x", headers=headers).status_code in (status, 400)
    assert not list((tmp_path / "data").rglob("*up*"))


def test_an_upload_that_is_too_large_leaves_nothing(client, films, tmp_path, monkeypatch):
    """Past the limit the upload is refused and its part removed."""
    monkeypatch.setenv("CORESET_VIDEO_GB", "0.000001")
    assert client.put("/api/video/up.mp4", content=b"x" * 2000, headers=VIDEO).status_code == 422
    assert not list((tmp_path / "data").rglob("*up*"))


def test_the_command_names_the_folder_of_videos(tmp_path, monkeypatch):
    """`coreset app --videos FOLDER` is where the page looks for videos; a folder that is not there is refused."""
    from typer.testing import CliRunner

    from coreset.cli.command import app
    from coreset.web import server
    from coreset.web import videos as films

    served = []
    monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{tmp_path / 'book.sqlite'}")
    monkeypatch.setenv(films.VARIABLE, "")
    monkeypatch.setenv("CORESET_CASE", "")
    monkeypatch.setattr(server, "serve", lambda **given: served.append(films.folders()[0]))
    (tmp_path / "clips").mkdir()
    runner = CliRunner()
    assert runner.invoke(app, ["app", "--port", "0", "--videos", str(tmp_path / "clips")]).exit_code == 0
    assert served == [tmp_path / "clips"]
    assert runner.invoke(app, ["app", "--videos", str(tmp_path / "none")]).exit_code == 2


def test_the_first_page_answers_to_its_own_name_too(client):
    """The first page stands at the root; `/case` leads there and keeps the case that was asked for."""
    answer = client.get("/case?case=copy", follow_redirects=False)
    assert answer.status_code == 307
    assert answer.headers["location"].endswith("/?case=copy")


def test_the_frame_of_the_pages_is_sent_as_it_lies(client):
    """A file of the framework's browser part comes whole, with its kind, to be kept; nothing else comes that way."""
    root = Path(get_static_dir())
    for ending, kind in ((".js", "javascript"), (".css", "text/css"), (".woff2", "font/woff2")):
        file = min((root / "static").rglob(f"*{ending}"))
        answer = client.get(f"/{file.relative_to(root).as_posix()}")
        assert (answer.status_code, answer.content) == (200, file.read_bytes())
        assert kind in answer.headers["content-type"] and "immutable" in answer.headers["cache-control"]
        assert client.post(f"/{file.relative_to(root).as_posix()}").status_code == 404
    for path in ("/static/../index.html", "/static/js/..%2f..%2findex.html", "/static/js", "/static//etc/passwd"):
        assert client.get(path).status_code == 404
    assert client.get(f"/{file.relative_to(root).as_posix()}", headers={"host": "evil.example"}).status_code == 400
