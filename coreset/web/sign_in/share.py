"""What sharing on a network needs before the server starts: sign-in, roles, the one host name; every lack said."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from typing import Any
from urllib.parse import SplitResult, urlsplit

from coreset.errors import CoresetError, Fault, StudyError
from coreset.text import say
from coreset.web.sign_in.people import entries

CALLBACK = "/oauth2callback"
SECRET_LEAST = 32
"""Fewest characters of the secret that signs cookies."""
WANTED = ("redirect_uri", "cookie_secret", "client_id", "client_secret", "server_metadata_url")
KNOWN = {*WANTED, "client_kwargs"}
DEFAULT_PORTS = {"https": 443, "http": 80}
"""Ports that a browser leaves out of the origin it sends."""
OTHERS = 0o077
"""Rights of the group and of all other users on a file."""
HOST = re.compile(r"(?=.{1,253}$)[a-z0-9]([a-z0-9-]{0,62})(\.[a-z0-9]([a-z0-9-]{0,62}))*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """How the pages are shared: file of the sign-in, file of the roles, and the address that people type."""

    sign_in: Path
    roles: Path
    host: str
    origin: str


def share(sign_in: Path | None, roles: Path | None, host: str) -> Share:
    """Sharing as it was asked for.

    Parameters
    ----------
    sign_in, roles : Path or None
        Files of the sign-in, and of people and their roles.
    host : str
        Host name under which the pages are reached.

    Raises
    ------
    CoresetError
        If the sign-in, the roles or the host name is missing.
    StudyError
        With everything that is wrong in the two files.
    """
    if sign_in is None or roles is None or not host:
        raise CoresetError(say("door.start.incomplete"))
    if not HOST.fullmatch(host):
        raise CoresetError(say("door.start.host", host=host[:80]))
    auth = _auth(sign_in)
    faults = [*_faults(sign_in.name, auth, host)]
    if faults:
        raise CoresetError(f"{StudyError(faults)}\n{say('door.start.tls', host=host)}")
    entries(roles)
    address = urlsplit(auth["redirect_uri"])
    origin = f"{address.scheme}://{address.netloc}".lower()
    return Share(sign_in=sign_in.resolve(), roles=roles.resolve(), host=host, origin=origin)


def _auth(path: Path) -> dict[str, Any]:
    """The only table of the file of the sign-in."""
    if path.suffix != ".toml":
        raise StudyError([Fault(file=path.name, found=path.suffix, expected="a file that ends in .toml")])
    try:
        if path.stat().st_mode & OTHERS:
            found = f"mode {path.stat().st_mode & 0o777:o}: other users of the machine can read its secrets"
            raise StudyError([Fault(file=path.name, found=found, expected=f"mode 600 (chmod 600 {path.name})")])
        tree = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise StudyError([Fault(file=path.name, found=str(error), expected="a TOML file in UTF-8")]) from error
    auth = tree.pop("auth", None)
    if not isinstance(auth, dict) or tree:
        found = ", ".join(map(str, tree)) or "none"
        raise StudyError([Fault(file=path.name, found=found, expected="one table, [auth], and nothing else")])
    return auth


def _faults(file: str, auth: dict[str, Any], host: str) -> Iterator[Fault]:
    """What is wrong; a secret is never repeated."""
    for name in sorted(auth.keys() - KNOWN):
        yield Fault(file=file, column=name, found="a key that is not known", expected=", ".join(sorted(KNOWN)))
    texts = {name: value if isinstance(value := auth.get(name), str) else "" for name in WANTED}
    for name in (name for name, value in texts.items() if not value.strip()):
        yield Fault(file=file, column=name, found="none", expected="a text")
    if texts["cookie_secret"] and len(texts["cookie_secret"]) < SECRET_LEAST:
        expected = f"at least {SECRET_LEAST} characters drawn at random"
        yield Fault(file=file, column="cookie_secret", found="a short one", expected=expected)
    if texts["redirect_uri"]:
        yield from _of_redirect(file, texts["redirect_uri"], host)
    if texts["server_metadata_url"] and not guarded(_split(texts["server_metadata_url"])):
        found = texts["server_metadata_url"][:80]
        yield Fault(file=file, column="server_metadata_url", found=found, expected="an https address")


def _of_redirect(file: str, redirect: str, host: str) -> Iterator[Fault]:
    address = _split(redirect)
    plain = address.netloc == address.netloc.lower() and address.port != DEFAULT_PORTS.get(address.scheme)
    plain = plain and not (address.username or address.password or address.query or address.fragment)
    if not guarded(address) or address.path != CALLBACK or address.hostname != host or not plain:
        expected = f"https://{host}{CALLBACK}, or http on this machine only"
        yield Fault(file=file, column="redirect_uri", found=redirect[:80], expected=expected)


def _split(address: str) -> SplitResult:
    """The parts of an address; of none where it is not one."""
    try:
        parts = urlsplit(address)
        parts.port  # noqa: B018 - read to have it checked
    except ValueError:
        return urlsplit("")
    return parts


def guarded(address: SplitResult) -> bool:
    """Whether what is sent there cannot be read on the way: TLS, or it stays on this machine."""
    host = address.hostname or ""
    return bool(host) and (address.scheme == "https" or (address.scheme == "http" and loopback(host)))


def loopback(host: str) -> bool:
    """Whether a host name is this machine's own.

    Examples
    --------
    >>> [loopback(host) for host in ("localhost", "127.0.0.1", "plant.example", "127.0.0.1.plant.example")]
    [True, True, False, False]
    """
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False
