"""What leans on private parts of the framework: one module, and each part still there."""

import ast
import gc
import inspect
import logging
import sys
from pathlib import Path

import streamlit as st
from streamlit import logger
from streamlit.components.v2 import manifest_scanner
from streamlit.components.v2.component_manager import BidiComponentManager
from streamlit.elements import exception
from streamlit.proto.Exception_pb2 import Exception as ExceptionProto
from streamlit.web.server.starlette import starlette_app_utils
from streamlit.web.server.starlette.starlette_server_config import USER_COOKIE_NAME

from coreset.web import framework, server

ROOT = Path(__file__).parents[1]
OTHERS = [
    path
    for path in sorted([*ROOT.glob("coreset/**/*.py"), *ROOT.glob("pages/**/*.py")])
    if path != Path(framework.__file__)
]
SECRET = "a" * 32


def private_parts(path):
    """Modules of the framework below its front, names it marks as private, and interpreter settings of one module."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom | ast.Import):
            names = [node.module] if isinstance(node, ast.ImportFrom) else [alias.name for alias in node.names]
            yield from (name for name in names if name.startswith("streamlit.") or name in {"gc", "inspect"})
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            if node.value.id == "st" and node.attr.startswith("_"):
                yield f"st.{node.attr}"
            if node.value.id == "sys" and node.attr.startswith("set"):
                yield f"sys.{node.attr}"
        if isinstance(node, ast.Assign | ast.Delete):
            yield from (
                ast.unparse(target)
                for target in node.targets
                if isinstance(target, ast.Attribute) and ast.unparse(target).startswith("st.")
                if not ast.unparse(target).startswith(("st.session_state.", "st.query_params."))
            )


def test_no_other_module_uses_private_parts():
    """Private imports, patches and interpreter settings stand in `web/framework.py` alone."""
    used = {str(path.relative_to(ROOT)): parts for path in OTHERS if (parts := list(private_parts(path)))}
    assert len(OTHERS) > 100 and not used


def test_the_search_sees_private_parts(tmp_path):
    """The check above can fail."""
    bad = tmp_path / "bad.py"
    bad.write_text("import gc\nfrom streamlit.auth_util import x\nst._main\nsys.setswitchinterval(1)\nst.help = 1\n")
    assert sorted(private_parts(bad)) == ["gc", "st._main", "st.help", "streamlit.auth_util", "sys.setswitchinterval"]


def test_the_framework_is_the_one_that_was_tried():
    """Another minor version may change any of these parts: measure and test, then raise the bound."""
    assert st.__version__.split(".")[:2] == ["1", "67"]


def test_the_browser_files_are_there():
    """The folder has the page and its scripts."""
    root = framework.static_folder()
    assert (root / "index.html").is_file() and list((root / "static").rglob("*.js"))


def test_no_component_comes_from_another_package(monkeypatch):
    """The framework asks every installed package in one place; a server of ours has it ask nobody."""
    asked = []
    monkeypatch.setattr(manifest_scanner, "scan_component_manifests", lambda: asked.append("packages") or [])
    BidiComponentManager().discover_and_register_components(start_file_watching=False)
    assert asked == ["packages"]
    framework.ignore_component_packages()
    BidiComponentManager().discover_and_register_components(start_file_watching=False)
    assert asked == ["packages"]


def test_the_framework_writes_its_log_with_our_formatter(monkeypatch):
    """Loggers that it has made, and those that it makes later, whose formatter it sets anew by itself."""
    monkeypatch.setattr(logger, "setup_formatter", logger.setup_formatter)
    ours, before = logging.Formatter("ours %(message)s"), logger.get_logger("coreset-test-before")
    framework.write_logs_with(ours)
    later = logger.get_logger("coreset-test-later")
    try:
        assert [one.streamlit_console_handler.formatter for one in (before, later)] == [ours, ours]
    finally:
        for name in ("coreset-test-before", "coreset-test-later"):
            del logger._loggers[name]
        monkeypatch.undo()
        logger.update_formatter()


def test_a_failed_page_says_our_words(monkeypatch):
    """With details hidden the framework shows them instead of its own, which name its hosting service."""
    monkeypatch.setattr(exception, "_GENERIC_UNCAUGHT_EXCEPTION_TEXT", exception._GENERIC_UNCAUGHT_EXCEPTION_TEXT)
    monkeypatch.setattr(exception.config, "get_option", lambda name: server.CONFIG[name])
    shown = []
    for words in (None, "ours"):
        if words:
            framework.say_of_a_failed_page(words)
        proto = ExceptionProto()
        exception.marshall(proto, ValueError("secret"), apply_show_error_details=True)
        shown.append(proto.message)
    assert "Cloud" in shown[0] and shown[1] == "ours"


def test_a_signed_cookie_is_read_and_a_forged_one_is_not(monkeypatch):
    """The framework's own signature, name and age rule, by functions that it does not promise to keep."""
    monkeypatch.setattr("streamlit.web.server.server_util.get_cookie_secret", lambda: SECRET)
    signed = starlette_app_utils.create_signed_value(SECRET, USER_COOKIE_NAME, "{}").decode()
    forged = starlette_app_utils.create_signed_value("b" * 32, USER_COOKIE_NAME, "{}").decode()
    assert framework.signed_user_cookie({USER_COOKIE_NAME: signed}, valid_days=1.0) == b"{}"
    assert framework.signed_user_cookie({USER_COOKIE_NAME: signed}, valid_days=-1.0) is None
    assert framework.signed_user_cookie({USER_COOKIE_NAME: forged}, valid_days=1.0) is None


def test_the_interpreter_is_tuned_as_declared(monkeypatch):
    """Thread turns of 0.5 ms, the stack looked up once; objects frozen after a collection of those that are not.

    Those that are frozen are collected once in ten minutes, not at every result: it holds up every press.
    """
    settings, order, moment = [], [], [1000.0]
    monkeypatch.setattr(sys, "setswitchinterval", settings.append)
    for name in ("unfreeze", "collect", "freeze"):
        monkeypatch.setattr(gc, name, lambda name=name: order.append(name))
    monkeypatch.setattr(inspect, "stack", lambda: order.append("stack"))
    monkeypatch.setattr(framework.time, "monotonic", lambda: moment[0])
    framework.shorten_thread_turns()
    framework.fill_stack_cache()
    frozen = framework.Frozen()
    for moment[0] in (1001.0, 1599.0, 1601.0, 1602.0, 2202.0):
        frozen.add_all()
    assert settings == [0.0005]
    assert order == [
        "stack",
        *["collect", "freeze"] * 2,
        "unfreeze",
        *["collect", "freeze"] * 2,
        "unfreeze",
        "collect",
        "freeze",
    ]


def test_the_framework_still_does_what_the_tuning_is_for():
    """It makes a full collection after each run and looks up the stack; if it stops, the tuning goes."""
    from streamlit import env_util
    from streamlit.runtime.scriptrunner import script_runner

    assert "gc.collect(2)" in inspect.getsource(script_runner)
    assert "inspect.stack()" in inspect.getsource(env_util)
