"""Who may speak to the page's server: decision 4, one test for each refusal."""

import pytest
from starlette.testclient import WebSocketDenialResponse

from web.conftest import PORT, SOCKET, TOKEN

ADDRESSES = ["/", "/api/job", "/api/sheet/lines", "/api/frame/skin", "/api/packet.zip"]


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:9", "127.0.0.1", "localhost.evil:1"])
def test_a_name_that_the_server_does_not_have_is_misdirected(client, host):
    assert client.get("/api/job", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"LOCALHOST:{PORT}"])
def test_the_server_answers_to_its_own_names(client, host):
    assert client.get("/api/job", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "origin", ["https://evil.example", "null", f"http://127.0.0.1:{PORT + 1}", "http://127.0.0.1"]
)
def test_another_page_may_not_ask(client, origin):
    assert client.get("/api/job", headers={"origin": origin}).status_code == 403
    assert client.post("/api/undo", headers={"origin": origin}).status_code == 403


def test_the_own_page_may_ask(client):
    own = {"origin": f"http://127.0.0.1:{PORT}", "sec-fetch-site": "same-origin"}
    assert client.post("/api/undo", headers=own).status_code == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_calls_foreign_is_refused_unless_a_person_followed_a_link(client, site):
    assert client.get("/api/job", headers={"sec-fetch-site": site}).status_code == 403
    followed = {"sec-fetch-site": site, "sec-fetch-mode": "navigate"}
    assert client.get("/", headers=followed).status_code in (200, 500)
    assert client.post("/api/undo", headers=followed).status_code == 403


@pytest.mark.parametrize("address", ADDRESSES)
def test_without_the_key_nothing_is_shown(open_client, job_path, address):
    stranger = open_client(job_path, known=False)
    answer = stranger.get(address)
    assert answer.status_code == 403
    assert "buckwright printed" in answer.text
    assert "Plover" not in answer.text


def test_a_wrong_cookie_is_no_key(open_client, job_path):
    stranger = open_client(job_path, known=False)
    stranger.cookies.set(f"buckwright-{PORT}", TOKEN[:-1])
    assert stranger.get("/api/job").status_code == 403


def test_the_first_address_is_swapped_for_a_cookie_that_no_script_can_read(open_client, job_path):
    stranger = open_client(job_path, known=False)
    answer = stranger.get(f"/?token={TOKEN}")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"buckwright-{PORT}={TOKEN};")
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert stranger.get("/api/job").status_code == 200


def test_a_wrong_key_in_the_address_gets_no_cookie(open_client, job_path):
    stranger = open_client(job_path, known=False)
    answer = stranger.get("/?token=guessed")
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_the_key_counts_on_the_first_page_only(open_client, job_path):
    stranger = open_client(job_path, known=False)
    assert stranger.get(f"/api/job?token={TOKEN}").status_code == 403


def test_a_body_that_says_it_is_too_long_is_refused(open_client, job_path):
    small = open_client(job_path, most_bytes=100)
    assert small.post("/api/change", content=b"x" * 101).status_code == 413


def test_a_body_that_does_not_say_its_length_is_counted_as_it_comes(open_client, job_path):
    small = open_client(job_path, most_bytes=100)
    pieces = (b"x" * 40 for _ in range(5))
    answer = small.post("/api/change", content=pieces)
    assert "content-length" not in answer.request.headers
    assert answer.status_code == 413


@pytest.mark.parametrize("address", ["/api/job", "/api/nothing", "/"])
def test_every_answer_carries_the_safety_headers(client, address):
    headers = client.get(address).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert "*" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert not [name for name in headers if name.startswith("access-control")]


def test_refusals_carry_the_safety_headers_too(client):
    headers = client.get("/", headers={"host": "evil.example"}).headers
    assert "default-src 'none'" in headers["content-security-policy"]


@pytest.mark.parametrize(
    ("headers", "known", "status"),
    [
        ({"host": "evil.example"}, True, 421),
        ({"origin": "https://evil.example"}, True, 403),
        ({"sec-fetch-site": "cross-site"}, True, 403),
        ({}, False, 403),
    ],
)
def test_a_socket_is_guarded_like_a_page(open_client, job_path, headers, known, status):
    caller = open_client(job_path, known=known)
    refused = pytest.raises(WebSocketDenialResponse)
    with refused as denial, caller.websocket_connect(SOCKET, headers=headers):
        pass
    assert denial.value.status_code == status


def test_the_own_page_gets_its_socket(client):
    own = {"origin": f"http://127.0.0.1:{PORT}"}
    with client.websocket_connect(SOCKET, headers=own) as socket:
        assert socket.receive_json()["kind"] == "work"


@pytest.mark.parametrize(
    "address",
    [
        "/assets/../app.py",
        "/assets/%2e%2e/app.py",
        "/api/packet/../../app.py",
        "/api/picture/../../../etc/passwd?most=320",
        "/api/sheet/../job",
    ],
)
def test_no_path_from_the_browser_reaches_the_disk(client, address):
    answer = client.get(address)
    assert answer.status_code in (404, 200)
    assert "Starlette" not in answer.text
    assert "root:" not in answer.text


def test_scripts_are_sent_as_scripts_whatever_the_machine_calls_them(
    open_client, job_path, tmp_path
):
    (tmp_path / "bundle" / "assets").mkdir(parents=True)
    (tmp_path / "bundle" / "assets" / "page.js").write_text("1")
    (tmp_path / "bundle" / "assets" / "page.css").write_text("p{}")
    page = open_client(job_path, bundle=tmp_path / "bundle")
    assert page.get("/assets/page.js").headers["content-type"].startswith("text/javascript")
    assert page.get("/assets/page.css").headers["content-type"].startswith("text/css")
    assert "immutable" in page.get("/assets/page.js").headers["cache-control"]


def test_a_page_that_was_not_built_says_so(open_client, job_path, tmp_path):
    answer = open_client(job_path, bundle=tmp_path / "nothing").get("/")
    assert answer.status_code == 500
    assert "not built" in answer.text
