"""A job file of the invented job, and a client that may look at it."""

import shutil

import pytest
from starlette.testclient import TestClient

from buckwright.store import JobFile
from buckwright.web import make_app
from web.invented import make_job_file
from web.invented_labour import WORKS
from web.small_cab_job import make_cab_file

PORT = 8123
TOKEN = "let-me-in"
SOCKET = f"ws://127.0.0.1:{PORT}/api/socket"


@pytest.fixture(scope="session")
def finished_job(tmp_path_factory):
    path = tmp_path_factory.mktemp("jobs") / "plover.buck"
    make_job_file(path)
    return path


@pytest.fixture(scope="session")
def unfinished_job(tmp_path_factory):
    path = tmp_path_factory.mktemp("jobs") / "fresh.buck"
    make_job_file(path, worked_out=False)
    return path


@pytest.fixture
def job_path(finished_job, tmp_path):
    return shutil.copy(finished_job, tmp_path / "plover.buck")


@pytest.fixture
def open_client():
    """Opens a job file and gives a client with the cookie; works may be given."""
    opened = []

    def start(path, works=WORKS, *, known=True, **settings):
        store = JobFile.open(path)
        app = make_app(
            path, store, token=TOKEN, host="127.0.0.1", port=PORT, works=works, **settings
        )
        client = TestClient(app, base_url=f"http://127.0.0.1:{PORT}", follow_redirects=False)
        client.__enter__()
        opened.append((client, store))
        if known:
            client.cookies.set(f"buckwright-{PORT}", TOKEN)
        return client

    yield start
    for client, store in opened:
        client.__exit__(None, None, None)
        store.close()


@pytest.fixture
def client(open_client, job_path):
    return open_client(job_path)


@pytest.fixture(scope="session")
def cab_job(tmp_path_factory):
    path = tmp_path_factory.mktemp("cab") / "cab.buck"
    make_cab_file(path)
    return path


@pytest.fixture
def cab_path(cab_job, tmp_path):
    return shutil.copy(cab_job, tmp_path / "cab.buck")


@pytest.fixture
def cab(open_client, cab_path):
    return open_client(cab_path)
