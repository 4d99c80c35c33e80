"""All that leans on private parts of the framework or tunes the interpreter, and nothing else.

`tests/test_framework.py` fails where a later version of the framework changes one of these parts, and where another
module imports or tunes one. `tests/bench/framework.py` measures each with and without; tests/bench/RESULTS.md has the
figures. pyproject.toml bounds the framework to the minor version these were tried with.
"""

from __future__ import annotations

import gc
import inspect
import logging
import sys
import time
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path

THREAD_TURN_S = 0.0005
"""How long a thread may run while another waits: a page is not held up by a calculation in another thread. [s]"""
DRAWING = ("pandas", "altair")
"""What every page that shows results loads to draw."""
SEARCH_AGAIN_S = 600.0
"""How long until all that is in memory is searched for garbage again: no thread runs meanwhile, 0.1 s and more. [s]"""


def static_folder() -> Path:
    """Folder of the framework's browser files."""
    from streamlit.file_util import get_static_dir

    return Path(get_static_dir())


def ignore_component_packages() -> None:
    """Load no component from another installed package.

    At each start the framework reads the metadata of every installed package and serves the files of those that
    bring components. It has no setting for that.
    """
    from streamlit.components.v2 import manifest_scanner

    manifest_scanner.scan_component_manifests = list


def say_of_a_failed_page(words: str) -> None:
    """Show these words where a page has failed; the framework's own name a service that nobody here uses.

    It has a setting that hides what failed, none for what is said instead.
    """
    from streamlit.elements import exception

    exception._GENERIC_UNCAUGHT_EXCEPTION_TEXT = words  # type: ignore[misc]


def write_logs_with(formatter: logging.Formatter) -> None:
    """Let the framework write its own log, those it makes later among them, with that formatter.

    Its setting takes a pattern alone, which cannot quote what a message holds.
    """
    from streamlit import logger

    plain = logger.setup_formatter

    def dressed(log: logging.Logger) -> None:
        plain(log)
        log.streamlit_console_handler.setFormatter(formatter)  # type: ignore[attr-defined]

    logger.setup_formatter = dressed
    logger.update_formatter()


def shorten_thread_turns() -> None:
    """Let a waiting thread run after 0.5 ms instead of 5 ms."""
    sys.setswitchinterval(THREAD_TURN_S)


def fill_stack_cache() -> None:
    """Look up the module of every frame once; the standard library remembers what the framework asks for later."""
    inspect.stack()


class Frozen:
    """What is excluded from the full garbage collection that the framework makes after each run of a page."""

    def __init__(self) -> None:
        self._searched_s = time.monotonic()

    def add_all(self) -> None:
        """Exclude what is in memory now; what was excluded before is searched only now and then.

        The page that asks for results draws next: what draws is loaded here, else each later run would search it.
        """
        for name in DRAWING:
            import_module(name)
        if time.monotonic() - self._searched_s > SEARCH_AGAIN_S:
            gc.unfreeze()
            self._searched_s = time.monotonic()
        gc.collect()
        gc.freeze()


FROZEN = Frozen()


def signed_user_cookie(cookies: Mapping[str, str], *, valid_days: float) -> bytes | None:
    """Content of the sign-in cookie, which the framework may have split into several.

    Parameters
    ----------
    cookies : mapping of str to str
        Cookies of a request by name.
    valid_days : float
        Longest age of a signature. [d]

    Returns
    -------
    bytes or None
        None if there is no cookie, no secret, or a signature that is wrong or too old.
    """
    from streamlit.auth_util import get_cookie_with_chunks
    from streamlit.web.server.server_util import get_cookie_secret
    from streamlit.web.server.starlette.starlette_app_utils import decode_signed_value
    from streamlit.web.server.starlette.starlette_server_config import USER_COOKIE_NAME

    secret = get_cookie_secret()

    def part(name: str) -> bytes | None:
        return decode_signed_value(secret, name, cookies.get(name, "").encode("latin-1"), valid_days)

    return get_cookie_with_chunks(part, USER_COOKIE_NAME) if secret else None
