"""The page in Debian's chromium. In CI a missing browser fails the run; elsewhere these tests
are left out, and the run says so.
"""

import contextlib
import importlib.util
import os
import shutil
import socket
import threading
from pathlib import Path
from time import monotonic, sleep

import pytest
import uvicorn
from playwright.sync_api import expect, sync_playwright

from buckwright.store import JobFile
from buckwright.web import make_app
from web.invented import make_job_file
from web.invented_labour import WORKS

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium")
IN_CI = os.environ.get("CI", "").lower() == "true"
ROOT = Path(__file__).parents[2]

collect_ignore_glob = [] if CHROMIUM or IN_CI else ["test_*.py"]

FLAGS = ["--enable-unsafe-swiftshader", *(["--no-sandbox"] if os.geteuid() == 0 else [])]
TOKEN = "let-me-in"
PATIENCE = 30_000
"""ms; a machine that does much else at once is slow, not wrong."""

PLAIN_CONTEXTS = """
window.contexts = [];
const original = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, options) {
    const plain = kind === 'webgl2' ? { ...options, antialias: false } : options;
    const context = original.call(this, kind, plain);
    if (kind === 'webgl2' && context) window.contexts.push(context);
    return context;
};
"""
"""Smoothing of edges costs most of the time where a processor draws; tests do without."""


def pytest_report_header(config):
    if CHROMIUM:
        return f"browser tests: {CHROMIUM}"
    return "browser tests: left out, no chromium here (set CHROMIUM, or install Debian's chromium)"


@pytest.fixture(scope="session")
def browser():

    assert CHROMIUM, "CI needs Debian's chromium for the browser tests, and there is none"
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session", autouse=True)
def fresh_bundle():
    """The page as its sources stand; built again if they have changed."""
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    hatch_build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(hatch_build)
    hatch_build.build_bundle()


@pytest.fixture(scope="session")
def job_template(tmp_path_factory):
    path = tmp_path_factory.mktemp("browser") / "plover.buck"
    make_job_file(path)
    return path


@contextlib.contextmanager
def serving(path, works=WORKS, **settings):
    """The job served by a thread; the address that holds the key."""
    listener = socket.socket()
    listener.bind(("127.0.0.1", 0))
    port = listener.getsockname()[1]
    store = JobFile.open(path)
    app = make_app(path, store, token=TOKEN, host="127.0.0.1", port=port, works=works, **settings)
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    try:
        end = monotonic() + 30
        while not server.started and monotonic() < end:
            sleep(0.01)
        assert server.started
        yield f"http://127.0.0.1:{port}/?token={TOKEN}"
    finally:
        server.should_exit = True
        thread.join()
        listener.close()
        store.close()


@pytest.fixture
def served(job_template, tmp_path, open_page):
    path = shutil.copy(job_template, tmp_path / "plover.buck")
    with serving(path) as address:
        yield address
        # Pages first: one that still asks for something would be refused by a server that left.
        open_page.leave()


@pytest.fixture(scope="session")
def served_unchanged(job_template):
    """One server for tests that only look."""
    with serving(job_template) as address:
        yield address


@pytest.fixture
def open_page(browser):
    """Opens an address in a fresh window; whatever the page complains of fails the test."""
    opened = []

    def start(address, *, forgiven="", **settings):
        settings = {"viewport": {"width": 1280, "height": 900}, **settings}
        context = browser.new_context(accept_downloads=True, **settings)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.add_init_script(PLAIN_CONTEXTS)
        troubles = []
        host = address.split("/?")[0]

        def hear(message):
            if message.type == "error" and not (forgiven and forgiven in message.text):
                troubles.append(message.text)

        page.on("console", hear)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on(
            "request",
            lambda r: None if r.url.startswith((host, "blob:")) else troubles.append(r.url),
        )
        opened.append((context, troubles))
        page.goto(address)
        page.locator("#sheet[data-ready=true]").wait_for()
        return page

    def leave():
        for context, _ in opened:
            context.close()

    start.leave = leave
    yield start
    leave()
    for _, troubles in opened:
        assert troubles == []
