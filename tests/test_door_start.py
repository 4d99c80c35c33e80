"""The door of shared pages: what a server demands before it starts, and that nothing else opens another way in."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from provider import roles_file, sign_in_file

from coreset.cli import main
from coreset.errors import CoresetError, StudyError
from coreset.web.sign_in import people
from coreset.web.sign_in.share import share

HOST = "plant.example"
ORIGIN = f"https://{HOST}"
SECRET = "0123456789abcdef0123456789abcdef"
PROVIDER = SimpleNamespace(
    redirect=f"{ORIGIN}/oauth2callback", metadata_url="https://idp.plant.example/.well-known/openid-configuration"
)


@pytest.fixture
def roles(tmp_path):
    """A list of three people, one a role."""
    return roles_file(tmp_path, "ob7@plant.example,,OB7,observe", ",sub-ed2,ED2,edit", "AP1@plant.example,,AP1,sign")


BAD_ROLES = {
    "no file": None,
    "other heads": "code,role\nA1,sign\n",
    "nobody": "email,subject,code,role\n",
    "an unknown role": "email,subject,code,role\na@b.example,,A1,boss\n",
    "no code": "email,subject,code,role\na@b.example,,,sign\n",
    "a name for a code": "email,subject,code,role\na@b.example,,Anna Smith,sign\n",
    "a Cyrillic letter": "email,subject,code,role\na@b.example,,O\u04127,sign\n",
    "neither address nor subject": "email,subject,code,role\n,,A1,sign\n",
    "both": "email,subject,code,role\na@b.example,s,A1,sign\n",
    "twice": "email,subject,code,role\na@b.example,,A1,sign\nA@B.example,,A2,observe\n",
    "too many cells": "email,subject,code,role\na@b.example,,A1,sign,x\n",
    "too few cells": "email,subject,code,role\na@b.example\n",
    "no UTF-8": b"email,subject,code,role\n\xff\xfe,,A1,sign\n",
}


@pytest.mark.parametrize("name", BAD_ROLES)
def test_a_list_of_people_with_a_fault_is_refused(tmp_path, name):
    """Every fault is told with its row; no name is repeated."""
    path, content = tmp_path / "roles.csv", BAD_ROLES[name]
    if content is not None:
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(StudyError, match=r"roles\.csv") as told:
        people.entries(path)
    assert "Anna" not in str(told.value)


BAD_SIGN_INS = {
    "plain http on a network": {"redirect_uri": f"http://{HOST}/oauth2callback"},
    "another host": {"redirect_uri": "https://other.example/oauth2callback"},
    "another path": {"redirect_uri": f"{ORIGIN}/elsewhere"},
    "a name and password in it": {"redirect_uri": f"https://a:b@{HOST}/oauth2callback"},
    "a port that browsers leave out": {"redirect_uri": f"https://{HOST}:443/oauth2callback"},
    "capitals": {"redirect_uri": "https://Plant.example/oauth2callback"},
    "no address": {"redirect_uri": "https://[/oauth2callback"},
    "a provider without TLS": {"server_metadata_url": "http://idp.example/.well-known/openid-configuration"},
    "a host like this machine's": {"server_metadata_url": "http://127.0.0.1.evil.example/x"},
    "a short secret": {"cookie_secret": "short"},
    "no secret": {"cookie_secret": None},
    "no client": {"client_id": None},
    "no secret of the client": {"client_secret": None},
    "no provider": {"server_metadata_url": None},
    "no redirect": {"redirect_uri": None},
    "what is not known": {"expose_tokens": "id"},
}


@pytest.mark.parametrize("name", BAD_SIGN_INS)
def test_the_server_does_not_start_on_a_bad_sign_in(tmp_path, roles, name, capsys):
    """Exit status 2 and what to do: TLS by a proxy, its headers, the address to register; no secret is repeated."""
    path = sign_in_file(tmp_path, PROVIDER, **BAD_SIGN_INS[name])
    given = ["app", "--share", "--sign-in", str(path), "--roles", str(roles), "--host-name", HOST]
    assert main(given) == 2
    told = capsys.readouterr().err
    assert f"register {ORIGIN}/oauth2callback" in told
    assert "X-Forwarded-Proto" in told
    assert SECRET not in told


@pytest.mark.parametrize("content", ["", "[auth]\n[more]\nx = 1\n", "key = 'x'\n[auth]\n", "auth = 3\n", "[auth\n"])
def test_only_a_table_of_sign_in_is_taken(tmp_path, roles, content):
    """Other secrets in the file would be put into the environment; none are taken."""
    path = tmp_path / "sign-in.toml"
    path.write_text(content)
    path.chmod(0o600)
    with pytest.raises(StudyError, match=r"sign-in\.toml"):
        share(path, roles, HOST)


@pytest.mark.parametrize("mode", [0o644, 0o640, 0o604, 0o660])
def test_a_sign_in_that_others_can_read_is_refused(tmp_path, roles, mode):
    """Its secrets sign every cookie; the message says what to do and repeats none of them."""
    path = sign_in_file(tmp_path, PROVIDER)
    path.chmod(mode)
    with pytest.raises(StudyError, match=rf"mode {mode:o}.*chmod 600 sign-in\.toml") as told:
        share(path, roles, HOST)
    assert SECRET not in str(told.value)


def test_sharing_demands_all_three(tmp_path, roles, capsys):
    """Without a sign-in, a list or a host name nothing is shared; any of them without --share is refused too."""
    path = sign_in_file(tmp_path, PROVIDER)
    options = {"--sign-in": str(path), "--roles": str(roles), "--host-name": HOST}
    for left_out in options:
        given = [text for name, value in options.items() if name != left_out for text in (name, value)]
        assert main(["app", "--share", *given]) == 2
        assert main(["app", *given]) == 2
    assert main(["app", "--share"]) == 2
    assert main(["app", "--share", "--sign-in", "none.toml", "--roles", str(roles), "--host-name", HOST]) == 2
    assert "sharing must have a sign-in" in capsys.readouterr().err


@pytest.mark.parametrize("host", ["*", "*.example", "Plant.example", "plant.example:8501", "a/b", "-a", "a..b"])
def test_a_host_name_is_one_plain_name(tmp_path, roles, host):
    """No pattern, no port, no path."""
    with pytest.raises(CoresetError, match="host name must be a plain name"):
        share(sign_in_file(tmp_path, PROVIDER), roles, host)


def test_the_files_in_the_manual_are_taken(tmp_path):
    """The two files that docs/operations.md shows, with a secret drawn for the first."""
    text = (Path(__file__).parents[1] / "docs" / "operations.md").read_text(encoding="utf-8")
    sign_in, roles = tmp_path / "sign-in.toml", tmp_path / "roles.csv"
    shown = re.search(r"```toml\n(\[auth\].*?)```", text, re.DOTALL)[1]
    sign_in.write_text(shown.replace('cookie_secret = "..."', f'cookie_secret = "{SECRET}"'))
    sign_in.chmod(0o600)
    roles.write_text(re.search(r"```csv\n(.*?)```", text, re.DOTALL)[1])
    assert share(sign_in, roles, HOST).origin == ORIGIN
    assert [entry.person.role for entry in people.entries(roles)] == list(people.ROLES)


def test_a_good_sign_in_is_taken(tmp_path, roles):
    """With TLS under a name, or without it on this machine only."""
    assert share(sign_in_file(tmp_path, PROVIDER), roles, HOST).origin == ORIGIN
    trial = sign_in_file(tmp_path, PROVIDER, redirect_uri="http://127.0.0.1:8501/oauth2callback")
    assert share(trial, roles, "127.0.0.1").origin == "http://127.0.0.1:8501"


def test_nothing_that_lies_about_opens_another_way_in(tmp_path, roles):
    """Whatever the framework's own files say: no identity by header, no interface for programs, no foreign secrets."""
    from coreset.web.server import settings

    given = share(sign_in_file(tmp_path, PROVIDER), roles, HOST)
    for found in (settings(8501), settings(8501, given)):
        assert found["server.address"] == "127.0.0.1"
        assert found["server.trustedUserHeaders"] == {}
        assert found["server.enableAgentApi"] is False
        assert found["server.enableXsrfProtection"] is True
    assert settings(8501)["secrets.files"] == []
    assert settings(8501, given)["secrets.files"] == [str(given.sign_in)]
