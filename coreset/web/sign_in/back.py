"""The way back: after the sign-in the page that was asked for, kept for the way in a cookie of this address."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import quote, unquote, urlsplit

from coreset.web.navigation import ORDER
from coreset.web.sign_in.share import CALLBACK

ENTER = "/auth/login"
"""Where the browser goes to sign in; it says which page it comes from."""
COOKIE = "coreset_asked"
LONGEST = 500
"""Characters of an address that is kept."""
FIRST, WAY_S = "/", 600
PAGES = {FIRST, *(f"/{name}" for name in ORDER)}


def page(address: str) -> str:
    """Path and query of an address, if it is one of our pages; the first page if not.

    Examples
    --------
    >>> page("https://plant.example/facts?case=a%20b"), page("https://plant.example//evil.example/"), page("x" * 900)
    ('/facts?case=a%20b', '/', '/')
    """
    try:
        parts = urlsplit(address)
    except ValueError:
        return FIRST
    plain = len(address) <= LONGEST and address.isascii() and address.isprintable()
    if not plain or parts.path not in PAGES:
        return FIRST
    return f"{parts.path}?{parts.query}" if parts.query else parts.path


def kept(path: str, referer: str) -> str:
    """What the browser is to keep when somebody goes to sign in; empty at any other request."""
    if path != ENTER:
        return ""
    return f"{COOKIE}={quote(page(referer), safe='')}; Path={CALLBACK}; Max-Age={WAY_S}; HttpOnly; SameSite=Lax"


def led(path: str, cookies: Mapping[str, str], location: str) -> str:
    """Where somebody who has signed in is led: to the page that was asked for, in the place of the first one.

    Parameters
    ----------
    path : str
        Path of the request that was answered.
    cookies : mapping
        Its cookies, with the page that was asked for before the sign-in.
    location : str
        Where the answer leads.
    """
    return page(unquote(cookies.get(COOKIE, ""))) if path == CALLBACK and location == FIRST else location
