"""Which files the page reads and writes: those of opened folders, and dropped songs."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from page_making import own_store, served

from aquatempo.music import places

SAMPLES = Path(__file__).parent.parent / "sample_audio"
SONG = SAMPLES / "odd_lane.ogg"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Return a home folder with one song in its music, and one beside it."""
    (tmp_path / "home").mkdir()
    with own_store(tmp_path / "home", monkeypatch) as home:
        (home / "music").mkdir()
        shutil.copy(SONG, home / "music" / "lane.ogg")
        (tmp_path / "elsewhere").mkdir()
        shutil.copy(SONG, tmp_path / "elsewhere" / "private.ogg")
        yield home


def test_folders_outside_home_are_not_offered(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither a folder outside home, nor one reached by dots or a link, can be seen or opened."""
    (home.parent / "drive").mkdir()
    monkeypatch.setattr(places, "_REMOVABLE", (str(home.parent / "drive"),))
    (home / "way").symlink_to(home.parent / "elsewhere")
    with served() as client:
        tops = client.get("/api/folders")["folders"]
        assert [one["path"] for one in tops] == [str(home), str(home.parent / "drive")]
        inside = client.get(f"/api/folders?path={quote(str(home))}")["folders"]
        assert [(one["name"], one["songs"]) for one in inside if one["songs"]] == [("music", 1)]
        assert "way" not in [one["name"] for one in inside]
        for path in (
            home.parent / "elsewhere",
            home / "way",
            f"{home}/music/../../elsewhere",
            "/",
            "/etc",
            "\0",
            home / "nowhere",
        ):
            for answer in (
                client.ask("GET", f"/api/folders?path={quote(str(path))}"),
                client.ask("POST", "/api/music/open", {"path": str(path)}),
            ):
                assert answer.status == 400, path
        assert client.rows() == []


def test_one_place_alone_is_where_one_begins(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a drive, the folders of home come at once, and nothing is above it."""
    monkeypatch.setattr(places, "_REMOVABLE", (str(home.parent / "no drive"),))
    with served() as client:
        found = client.get("/api/folders")
        assert (found["path"], found["above"]) == (str(home), str(home))
        assert "music" in [one["name"] for one in found["folders"]]
        assert client.get(f"/api/folders?path={quote(str(home / 'music'))}")["above"] == str(home)


def test_a_link_that_leads_out_is_not_read(home: Path) -> None:
    """A link in an opened folder to a song outside is shown, with the reason, and not played."""
    (home / "music" / "way.ogg").symlink_to(home.parent / "elsewhere" / "private.ogg")
    with served() as client:
        assert client.post("/api/music/open", {"path": str(home / "music")}) == {"new": 2}
        rows = {row["title"]: row for row in client.until_heard()}
        assert rows["lane"]["state"] == "heard"
        assert rows["way"]["state"] == "failed"
        assert "leads out" in rows["way"]["failure"]
        for path in ("", "/sound?first=0&frames=10", "/levels"):
            answer = client.ask("GET", f"/api/tracks/{rows['way']['id']}{path}")
            assert answer.status == 400
            assert "outside" in answer.data["error"]


def test_a_song_swapped_for_a_link_is_not_read(home: Path) -> None:
    """A song that becomes a link to a file outside after it was listed is refused then."""
    with served(home / "music") as client:
        (row,) = client.until_heard()
        (home / "music" / "lane.ogg").unlink()
        (home / "music" / "lane.ogg").symlink_to(home.parent / "elsewhere" / "private.ogg")
        answer = client.ask("GET", f"/api/tracks/{row['id']}/sound?first=0&frames=10")
        assert answer.status == 400


def test_a_closed_folder_is_closed(home: Path) -> None:
    """What was in a folder cannot be asked for once the folder is closed."""
    with served(home / "music") as client:
        (row,) = client.until_heard()
        client.post("/api/music/close", {"path": row["place"]})
        assert client.rows() == []
        assert client.ask("GET", f"/api/tracks/{row['id']}").status == 400


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("song.ogg", "song.ogg"),
        ("../../escape.ogg", "escape.ogg"),
        ("..\\..\\escape.ogg", "escape.ogg"),
        ("/etc/cron.d/x.ogg", "x.ogg"),
        ("a\nb\0c.ogg", "a_b_c.ogg"),
        ("<img src=x onerror=alert(1)>.ogg", "_img src=x onerror=alert(1)_.ogg"),
        (".ogg", None),
        ("...ogg", "song.ogg"),
        (f"{'long ' * 60}.ogg", f"{'long ' * 24}".strip() + ".ogg"),
        ("notes.txt", None),
        ("page.html", None),
    ],
)
def test_a_dropped_song_gets_a_harmless_name(home: Path, given: str, kept: str | None) -> None:
    """Whatever name a browser sends, the song lands in the page's own folder and no other."""
    own = home / "data" / "aquatempo" / "music"
    with served() as client:
        client.page.desk.music.set_stopped(True)
        path = f"/api/music/dropped?name={quote(given, safe='')}"
        answer = client.ask("POST", path, b"not really a song")
        if kept is None:
            assert answer.status == 400
            assert not list(home.rglob("*song*"))
            return
        assert answer.status == 200, answer.body
        assert [one.name for one in own.iterdir()] == [kept]
        assert (own / kept).read_bytes() == b"not really a song"
    assert not list(home.rglob("escape.ogg")) or kept == "escape.ogg"


def test_a_dropped_song_never_replaces_another(home: Path) -> None:
    """The same name with other bytes gets a number; the same bytes are kept once."""
    own = home / "data" / "aquatempo" / "music"
    with served() as client:
        client.page.desk.music.set_stopped(True)
        for content in (b"one", b"two", b"one", b""):
            client.ask("POST", "/api/music/dropped?name=song.ogg", content)
    assert {one.name: one.read_bytes() for one in own.iterdir()} == {
        "song.ogg": b"one",
        "song (2).ogg": b"two",
    }


def test_a_dropped_song_that_breaks_off_leaves_nothing(home: Path) -> None:
    """A connection that ends in the middle of a song leaves no half song behind."""
    import socket

    with served() as client:
        head = (
            f"POST /api/music/dropped?name=half.ogg HTTP/1.1\r\nHost: {client.host}\r\n"
            f"Origin: http://{client.host}\r\nCookie: {client.cookie}\r\n"
            "Content-Length: 100000\r\n\r\n"
        )
        with socket.create_connection(("127.0.0.1", client.page.port)) as raw:
            raw.sendall(head.encode() + b"x" * 5000)
        client.get("/api/frame")
    left = home / "data" / "aquatempo" / "music"
    assert not left.exists() or not list(left.iterdir())


def test_dropped_songs_are_there_after_a_restart(home: Path) -> None:
    """A song that was dropped, and heard, is in the list of the next start, under the same id."""
    with served() as client:
        data = SONG.read_bytes()
        given = client.ask("POST", "/api/music/dropped?name=mine.ogg", data).data["id"]
        (before,) = client.until_heard()
        assert (before["id"], before["tempo_bpm"]) == (given, pytest.approx(126.0, abs=0.1))
    with served() as client:
        (after,) = client.until_heard()
    assert after == before


def test_names_that_are_no_text_are_listed_and_heard(home: Path) -> None:
    """A file name with bytes that are no UTF-8 is a row like any other."""
    name = os.fsencode(home / "music") + b"/caf\xe9.ogg"
    Path(os.fsdecode(name)).write_bytes(SONG.read_bytes())
    with served(home / "music") as client:
        rows = client.until_heard()
        assert [row["state"] for row in rows] == ["heard", "heard"]
        for row in rows:
            assert client.get(f"/api/tracks/{row['id']}")["analysis"]["beats_s"]
