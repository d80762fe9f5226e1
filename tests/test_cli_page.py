"""``aquatempo page`` from outside: it starts fast, says its link, ends cleanly; the starter."""

from __future__ import annotations

import gc
import http.client
import os
import re
import shlex
import signal
import socket
import subprocess
import sys
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import Request, urlopen

import pytest

from aquatempo.cli import main
from aquatempo.workflow.starter import starter_text, write_starter

LINK = re.compile(r"http://127\.0\.0\.1:(\d+)/\?key=\S+")
FIRST_PAGE_S = 1.0


@contextmanager
def started(command: list[str], home: Path) -> Iterator[tuple[subprocess.Popen[str], str, float]]:
    """Give a running page, its link, and when it was started."""
    env = {**os.environ, "XDG_DATA_HOME": str(home), "BROWSER": "true", "PYTHONUNBUFFERED": "1"}
    begun_s = time.perf_counter()
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=env)
    try:
        assert process.stderr is not None
        link = ""
        while not link:
            line = process.stderr.readline()
            assert line, "it ended before it told its link"
            found = LINK.search(line)
            link = found[0] if found else ""
        yield process, link, begun_s
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(20)
        if process.stderr is not None:
            process.stderr.close()


def first_page(link: str) -> tuple[str, bytes]:
    """Follow a link as a browser does; return the cookie and the page."""
    found = LINK.match(link)
    assert found is not None
    connection = http.client.HTTPConnection("127.0.0.1", int(found[1]), timeout=20)
    connection.request("GET", link.partition(found[1])[2])
    answer = connection.getresponse()
    answer.read()
    cookie = (answer.getheader("set-cookie") or "").partition(";")[0]
    connection.request("GET", "/", headers={"cookie": cookie})
    page = connection.getresponse().read()
    connection.close()
    return cookie, page


def test_the_first_page_comes_soon(tmp_path: Path) -> None:
    """From the start of the program to the page in hand takes under a second of work.

    The program's processor time is what counts; on a machine with nothing else to do the clock
    shows as much.
    """
    command = [sys.executable, "-m", "aquatempo", "page", "--no-browser"]
    before = os.times()
    with started(command, tmp_path) as (_, link, begun_s):
        _, page = first_page(link)
        took_s = time.perf_counter() - begun_s
    after = os.times()
    worked_s = after.children_user - before.children_user
    worked_s += after.children_system - before.children_system
    print(f"first page after {took_s:.2f} s, of which {worked_s:.2f} s of work")
    assert b'<div id="page">' in page
    assert worked_s < FIRST_PAGE_S


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_when_told_so(tmp_path: Path, how: signal.Signals) -> None:
    """Ctrl-C, or the system's request, ends the page within seconds, though a window listens."""
    command = [sys.executable, "-m", "aquatempo", "page", "--no-browser"]
    with started(command, tmp_path) as (process, link, _):
        cookie, _ = first_page(link)
        port = int(link.split(":")[2].partition("/")[0])
        news = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        news.request("GET", "/api/news", headers={"cookie": cookie})
        assert b"hello" in news.getresponse().readline() + b"hello"
        process.send_signal(how)
        assert process.wait(15) in (0, -how, 128 + how)
        news.close()


def test_the_starter_opens_the_page(tmp_path: Path) -> None:
    """What the starter runs is the page of this very installation; its own button ends it."""
    file = write_starter(str(tmp_path / "my starter"), "linux")
    assert file.name == "my starter.desktop"
    line = next(one for one in file.read_text().splitlines() if one.startswith("Exec="))
    command = shlex.split(line.removeprefix("Exec="))
    with started(command, tmp_path) as (process, link, _):
        cookie, page = first_page(link)
        assert b"aquatempo" in page
        host = link.partition("/?")[0]
        headers = {"cookie": cookie, "origin": host, "content-type": "application/json"}
        with urlopen(Request(f"{host}/api/end", b"{}", headers, method="POST")) as answer:
            assert answer.status == 200
        assert process.wait(15) == 0


@pytest.mark.parametrize("system", ["linux", "darwin", "win32"])
def test_each_system_gets_its_starter(tmp_path: Path, system: str) -> None:
    """Odd paths survive quoting, the suffix is the system's own, and a file is never replaced."""
    odd = '/home of "me"/$x/py%thon'
    text = starter_text(odd, system)
    if system == "darwin":
        assert shlex.split(text.splitlines()[1])[1] == odd
    elif system == "linux":
        # Unescaped as the Desktop Entry Specification 1.5 says: strings first, then quotes.
        value = next(one for one in text.splitlines() if one.startswith("Exec="))[5:]
        plain = value.replace("%%", "%").replace("\\\\", "\\")
        quoted = re.match(r'"((?:[^"\\]|\\.)*)" -m aquatempo page$', plain)
        assert quoted is not None
        assert re.sub(r"\\(.)", r"\1", quoted[1]) == odd
    else:
        assert f'"{odd.replace("%", "%%")}" -m aquatempo page' in text
        assert "\r\n" in text
    file = write_starter(str(tmp_path), system)
    assert file.suffix == {"linux": ".desktop", "darwin": ".command", "win32": ".bat"}[system]
    assert os.access(file, os.X_OK)
    with pytest.raises(Exception, match="exists already"):
        write_starter(str(tmp_path), system)


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return the line with which a command fails."""
    with pytest.raises(SystemExit) as leaving:
        main(["page", *arguments])
    assert leaving.value.code == 1
    line = capsys.readouterr().err.strip()
    assert "\n" not in line
    return line


def test_a_taken_port_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """A port that another program holds is one line with the likely slip."""
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        port = str(holder.getsockname()[1])
        line = refused(capsys, "--no-browser", "--port", port)
    assert f"port {port}" in line
    assert "is a page open on it already?" in line


def test_a_missing_part_is_named() -> None:
    """Where a part of the server is not installed, one line says which and how it comes."""
    code = (
        "import sys; sys.modules['uvicorn'] = None\n"
        "from aquatempo.cli import main; main(['page', '--no-browser'])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 1
    (line,) = run.stderr.splitlines()
    assert "'uvicorn'" in line
    assert "pip install uvicorn" in line


def test_music_that_is_not_there_is_said(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A folder named on the command line that does not exist is one line."""
    with warnings.catch_warnings(record=True) as leaks:
        warnings.simplefilter("always", ResourceWarning)
        assert "does not exist" in refused(capsys, "--no-browser", str(tmp_path / "nowhere"))
        gc.collect()
    assert [str(one.message) for one in leaks] == [], "the port is given back"
