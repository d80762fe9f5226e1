"""Who is refused by the page: strangers, other origins, wrong hosts, bodies that are too large."""

from __future__ import annotations

import logging
import re
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from page_making import Client, own_store, served

from aquatempo.web.app import MOST_JSON, MOST_SONG


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Return a home folder with a song in it that nobody opened."""
    with (
        pytest.MonkeyPatch.context() as patch,
        own_store(tmp_path_factory.mktemp("home"), patch) as home,
    ):
        (home / "secret.txt").write_text("nobody opened this")
        yield home


@pytest.fixture(scope="module")
def client(home: Path) -> Iterator[Client]:
    """Return a client that has entered an empty page."""
    with served() as entered:
        yield entered


@pytest.fixture
def refusals(home: Path, caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Afterwards the log has one line about it, and nothing on disk has changed."""
    before = sorted(home.rglob("*"))
    log = logging.getLogger("aquatempo.web")
    log.propagate = True
    with caplog.at_level(logging.WARNING, "aquatempo.web"):
        yield None
    lines = [record.getMessage() for record in caplog.get_records("call")]
    assert len(lines) == 1, lines
    assert lines[0].startswith("refused ")
    assert lines[0].isprintable()
    assert sorted(home.rglob("*")) == before


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example", "", "[::1]"]
)
def test_a_wrong_host_is_refused(client: Client, refusals: None, host: str) -> None:
    """A name that leads to this machine by a trick (DNS rebinding) gets nothing, key or not."""
    assert client.ask("GET", "/api/music", headers={"host": host}).status == 421


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:1", "https:"])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_origin_is_refused(
    client: Client, refusals: None, origin: str, method: str
) -> None:
    """A page from elsewhere reads nothing and changes nothing, though the cookie came along."""
    answer = client.ask(method, "/api/music/again", headers={"origin": origin})
    assert answer.status == 403
    assert "access-control-allow-origin" not in answer.headers


def test_a_change_without_an_origin_is_refused(client: Client, refusals: None) -> None:
    """Browsers name the origin of whatever changes something; what does not is none."""
    assert client.ask("POST", "/api/end", headers={"origin": None}).status == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_calls_foreign_is_refused(
    client: Client, refusals: None, site: str
) -> None:
    """A picture or script element on another page cannot load anything of ours."""
    assert client.ask("GET", "/api/music", headers={"sec-fetch-site": site}).status == 403


@pytest.mark.parametrize("cookie", [None, "aquatempo-1=x", "{own}x", "garbage=\x01;;=", "{name}="])
@pytest.mark.parametrize("path", ["/", "/api/music", "/static/js/main.js", "/api/openapi.json"])
def test_nothing_is_told_without_the_key(
    client: Client, refusals: None, cookie: str | None, path: str
) -> None:
    """Without the cookie of this start there is one sentence, whatever is asked for."""
    own = client.cookie
    given = cookie and cookie.format(own=own, name=own.partition("=")[0])
    answer = client.ask("GET", path, headers={"cookie": given})
    assert answer.status == 401
    assert b"aquatempo page" in answer.body
    assert len(answer.body) < 200


def test_a_wrong_key_gives_no_cookie(client: Client, refusals: None) -> None:
    """A guessed link opens nothing."""
    answer = client.ask("GET", "/?key=guessed", headers={"cookie": None})
    assert answer.status == 403
    assert "set-cookie" not in answer.headers


def test_the_link_leaves_a_strict_cookie_and_goes(client: Client) -> None:
    """The key leaves the address at once and stays where no script and no other site gets it."""
    path = client.page.link.partition(client.host)[2]
    answer = client.ask("GET", path, headers={"cookie": None})
    assert (answer.status, answer.headers["location"]) == (303, "/")
    parts = {part.strip().lower() for part in answer.headers["set-cookie"].split(";")}
    assert {"httponly", "samesite=strict", "path=/"} <= parts
    key = re.search(r"key=(.+)", client.page.link)
    assert key is not None
    assert len(key[1]) >= 43  # 256 bits in base 64


@pytest.mark.parametrize(
    "path",
    [
        "/static/../guard.py",
        "/static/%2e%2e/guard.py",
        "/static/..%2fguard.py",
        "/static//etc/passwd",
        "/static/js",
        "/static/js/../index.html",
        "/words/..%2f..%2fguard.json",
        "/words/xx.json",
        "/secret.txt",
        "/api/tracks/../../secret.txt",
        "/aquatempo/web/guard.py",
    ],
)
def test_only_files_of_the_table_are_served(client: Client, path: str) -> None:
    """No path, however it is spelled, reaches a file beside those of the page."""
    answer = client.ask("GET", path)
    assert answer.status in (400, 404)
    assert b"def " not in answer.body
    assert b"nobody opened this" not in answer.body


@pytest.mark.parametrize(
    ("path", "most"), [("/api/settings", MOST_JSON), ("/api/music/dropped", MOST_SONG)]
)
def test_a_body_of_two_gigabytes_is_refused_unread(
    client: Client, refusals: None, path: str, most: int
) -> None:
    """What says that it is too large is refused before a byte of it is taken."""
    size = str(2 << 30)
    method = "PUT" if "settings" in path else "POST"
    answer = client.ask(method, path, b"x", headers={"content-length": size})
    assert answer.status == 413
    assert str(most) in answer.body.decode()


def test_a_body_that_hides_its_length_is_cut_off(client: Client, refusals: None) -> None:
    """A body in chunks without end is stopped once it is longer than the place takes."""
    chunk = b"%x\r\n" % 65_536 + b" " * 65_536 + b"\r\n"
    head = (
        f"PUT /api/settings HTTP/1.1\r\nHost: {client.host}\r\nOrigin: http://{client.host}\r\n"
        f"Cookie: {client.cookie}\r\nContent-Type: application/json\r\n"
        "Transfer-Encoding: chunked\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", client.page.port), timeout=20) as raw:
        raw.sendall(head.encode())
        sent = 0
        try:
            while sent < 4 * MOST_JSON:
                raw.sendall(chunk)
                sent += 65_536
        except OSError:
            pass  # it hung up on us, as it should
        else:
            assert raw.recv(200).startswith(b"HTTP/1.1 413")
    assert sent <= 4 * MOST_JSON


def test_a_web_socket_is_not_opened(client: Client) -> None:
    """The page speaks one protocol."""
    asked = {"connection": "Upgrade", "upgrade": "websocket", "sec-websocket-version": "13"}
    headers = {**asked, "sec-websocket-key": "dGhlIHNhbXBsZSBub25jZQ=="}
    assert client.ask("GET", "/api/news2", headers=headers).status in (400, 403, 404)


def test_every_answer_binds_the_browser(client: Client) -> None:
    """Each answer forbids inline script, framing, sniffing, other origins and being kept."""
    for path in ("/", "/api/music", "/static/js/main.js", "/api/nothing"):
        headers = client.ask("GET", path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert "require-trusted-types-for 'script'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] in ("no-store", "no-cache")


def test_a_log_line_stays_one_line(client: Client, refusals: None) -> None:
    """What a stranger sends cannot write lines of its own into the log."""
    client.ask("GET", "/%0afake%20line", headers={"cookie": None})


def test_json_has_to_be_called_so(client: Client) -> None:
    """A form of another page cannot pass for JSON: its content types are refused."""
    headers = {"content-type": "text/plain"}
    answer = client.ask("PUT", "/api/settings", b"{}", headers=headers)
    assert answer.status == 400
    assert "application/json" in answer.data["error"]


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[1", b'{"theme": 3}', b'{"x": 1}', b"[" * 5000, b"\xff", b"NaN"]
)
def test_a_body_that_is_no_record_is_one_sentence(client: Client, body: bytes) -> None:
    """Whatever is no record of the right kind is refused in one line, and nothing changes."""
    before = client.get("/api/frame")
    headers = {"content-type": "application/json"}
    answer = client.ask("PUT", "/api/settings", body, headers=headers)
    assert answer.status == 400
    assert answer.data["error"]
    assert "\n" not in answer.data["error"]
    assert client.get("/api/frame") == before


def test_the_page_is_bound_to_this_machine(client: Client) -> None:
    """The port listens on the loopback address alone."""
    bound = client.page._listening.getsockname()
    assert bound[0] == "127.0.0.1"
