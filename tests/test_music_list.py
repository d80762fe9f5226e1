"""The music list: what is open, sorted and filtered, heard in the background, kept for later."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_making import own_store
from planning_music import made_track

from aquatempo.errors import InputError
from aquatempo.music.rows import waiting_row
from aquatempo.music.sorting import matching
from aquatempo.records.music import FitCause, MusicQuery, MusicRow, RowState, SortKey
from aquatempo.records.people import Group
from aquatempo.records.track import Failure, Track
from aquatempo.workflow import music_list
from aquatempo.workflow.music_judging import heard_row
from aquatempo.workflow.music_list import MusicList

PHRASES = [(32, "phrase"), (8, "bridge"), (32, "phrase")]


@pytest.fixture
def music(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Return a folder of six files that a stand-in for hearing takes for songs."""
    (tmp_path / "home" / "music" / "slow").mkdir(parents=True)
    with own_store(tmp_path / "home", monkeypatch) as home:
        for name in ("b.ogg", "a.mp3", "c.wav", "slow/d.ogg", "slow/e.ogg", "slow/broken.ogg"):
            (home / "music" / name).write_bytes(b"x")
        (home / "music" / "notes.txt").write_text("no song")
        monkeypatch.setattr(music_list, "listen", hearing)
        yield home / "music"


def hearing(files: list[str], jobs: int) -> Iterator[Track | Failure]:
    """Stand in for hearing: a tempo by the first letter of a name."""
    assert jobs >= 1
    for file in files:
        name = Path(file).stem
        if name == "broken":
            yield Failure(file, f"{file!r} is damaged")
            continue
        tempo_bpm = {"a": 132.0, "b": 126.0, "c": 90.0, "d": 110.0}.get(name)
        yield replace(made_track(name, tempo_bpm, PHRASES, duration_s=60.0), file=file)


def heard_list(music: Path) -> MusicList:
    """Return a list in which everything was heard."""
    songs = MusicList()
    songs.open([str(music)])
    songs.hear(lambda: True)
    return songs


def titles(songs: MusicList, **query: object) -> list[str]:
    """Return the titles of the rows that a query gives."""
    page = songs.page(replace(MusicQuery(), **query))  # type: ignore[arg-type]
    return [row.title for row in page.rows]


def test_a_folder_fills_and_is_heard(music: Path) -> None:
    """Songs of a folder and below are listed at once and heard after that; others are not."""
    songs = MusicList()
    assert songs.open([str(music)]) == 6
    before = songs.page(MusicQuery())
    assert (before.total, before.waiting, before.heard) == (6, 6, 0)
    songs.hear(lambda: True)
    after = songs.page(MusicQuery())
    assert (after.waiting, after.heard, after.failed) == (0, 5, 1)
    assert after.version > before.version
    (broken,) = songs.page(MusicQuery(only="failed")).rows
    assert "damaged" in broken.failure
    assert songs.open([str(music)]) == 0, "opened twice, listed once"


def test_rows_say_how_they_suit_and_why(music: Path) -> None:
    """A tempo within, below or far below the published range is told so for each depth.

    114 to 139 bpm shallow and 96 to 131 deep: the curve of feasibility for the usual ages.
    """
    rows = {row.title: row for row in heard_list(music).page(MusicQuery()).rows}
    told = {
        title: [(one.fit.depth.value, one.fit.fit, one.causes[0]) for one in row.fits]
        for title, row in rows.items()
    }
    suits, no = "suits", "does not suit"
    changes = "suits with changes"
    assert told["a"] == [("shallow", suits, FitCause.IN_RANGE), ("deep", changes, FitCause.ABOVE)]
    assert told["c"] == [("shallow", no, FitCause.BELOW), ("deep", changes, FitCause.BELOW)]
    assert told["d"] == [("shallow", changes, FitCause.BELOW), ("deep", suits, FitCause.IN_RANGE)]
    assert told["e"][0][2] is FitCause.NO_BEAT
    assert rows["a"].odd_counts == (8,)
    assert rows["a"].phrases == 2
    assert len(rows["a"].strip) == 48


def test_search_filters_and_order(music: Path) -> None:
    """Words, tempo, suiting and order narrow the list; what is not known comes last."""
    songs = heard_list(music)
    assert titles(songs, search="slow") == ["broken", "d", "e"]
    assert titles(songs, search="SLOW d.ogg") == ["d"]
    assert titles(songs, from_bpm=100, to_bpm=130) == ["b", "d"]
    assert titles(songs, suits="shallow") == ["a", "b", "d"]
    assert titles(songs, suits="deep", with_changes=False) == ["b", "d"]
    assert titles(songs, only="failed") == ["broken"]
    assert titles(songs, only="unsure") == ["e"]
    assert titles(songs, sort=SortKey.TITLE) == ["a", "b", "broken", "c", "d", "e"]
    assert titles(songs, sort=SortKey.TEMPO) == ["c", "d", "b", "a", "broken", "e"]
    assert titles(songs, sort=SortKey.TEMPO, descending=True) == ["a", "b", "d", "c", "broken", "e"]
    assert titles(songs, sort=SortKey.TITLE, offset=2, limit=2) == ["broken", "c"]


def test_stopping_and_going_on(music: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was heard before the stop is kept; going on hears only the rest."""
    heard: list[str] = []

    def counted(files: list[str], jobs: int) -> Iterator[Track | Failure]:
        for item in hearing(files, jobs):
            heard.append(item.file)
            yield item

    monkeypatch.setattr(music_list, "listen", counted)
    songs = MusicList()
    songs.open([str(music)])
    songs.hear(lambda: len(heard) < 3)
    assert len(heard) == 3
    assert songs.page(MusicQuery()).waiting == 3
    songs.hear(lambda: True)
    assert len(heard) == len(set(heard)) == 6


def test_a_stop_by_hand_lasts(music: Path) -> None:
    """Stopped once, the list stays stopped after a restart, until it is told to go on."""
    songs = MusicList()
    songs.open([str(music)])
    songs.set_stopped(True)
    again = MusicList()
    again.refresh()
    assert again.stopped
    assert again.page(MusicQuery()).waiting == 6
    again.set_stopped(False)
    assert not MusicList().stopped


def test_files_that_come_and_go(music: Path) -> None:
    """A look finds new songs and drops those that went; a folder that went is told as missing."""
    songs = heard_list(music)
    (music / "new.ogg").write_bytes(b"x")
    (music / "b.ogg").unlink()
    songs.refresh()
    page = songs.page(MusicQuery())
    assert (page.total, page.waiting) == (6, 2), "the new one, and the failed one once more"
    shutil.rmtree(music)
    again = MusicList()
    again.refresh()
    (place,) = again.page(MusicQuery()).places
    assert place.missing


def test_a_place_that_is_not_there_is_refused(tmp_path: Path, music: Path) -> None:
    """Opening what does not exist is one sentence, and nothing is remembered."""
    songs = MusicList()
    with pytest.raises(InputError, match="does not exist"):
        songs.open([str(tmp_path / "nowhere")])
    with pytest.raises(InputError, match="is not a path"):
        songs.open([str(tmp_path / ("no" * 3000))])
    assert songs.page(MusicQuery()).places == ()


def test_hearing_that_fails_is_told(music: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where hearing itself fails, windows learn that nobody hears any more."""

    def failing(files: list[str], jobs: int) -> Iterator[Track | Failure]:
        raise OSError("no more processes")
        yield

    monkeypatch.setattr(music_list, "listen", failing)
    songs = MusicList()
    songs.open([str(music)])
    before = songs.version
    with pytest.raises(OSError, match="processes"):
        songs.hear(lambda: True)
    assert songs.version > before
    assert not songs.page(MusicQuery()).hearing


def test_a_song_opened_as_hearing_ends_is_heard(
    music: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A song that another window opens in the very moment in which nothing waits is heard too."""
    songs = heard_list(music)
    late = music.parent / "late" / "late.wav"
    late.parent.mkdir()
    shutil.copy(next(music.glob("*.wav")), late)
    others: list[threading.Thread] = []
    waiting = MusicList._waiting

    def opened_meanwhile(self: MusicList) -> list[str]:
        found = waiting(self)
        if not found and not others:
            others.append(threading.Thread(target=open_and_hear))
            others[0].start()
            others[0].join(0.2)
        return found

    def open_and_hear() -> None:
        songs.open([str(late.parent)])
        songs.hear(lambda: True)

    monkeypatch.setattr(MusicList, "_waiting", opened_meanwhile)
    songs.hear(lambda: True)
    others[0].join()
    assert songs.page(MusicQuery()).waiting == 0


def test_two_hearings_at_once_hear_each_song_once(
    music: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A second start while the first is under way does nothing."""
    begun, going_on = threading.Event(), threading.Event()
    heard: list[str] = []

    def slowly(files: list[str], jobs: int) -> Iterator[Track | Failure]:
        begun.set()
        assert going_on.wait(20)
        for item in hearing(files, jobs):
            heard.append(item.file)
            yield item

    monkeypatch.setattr(music_list, "listen", slowly)
    songs = MusicList()
    songs.open([str(music)])
    first = threading.Thread(target=songs.hear, args=(lambda: True,))
    first.start()
    assert begun.wait(20)
    assert songs.page(MusicQuery()).hearing
    songs.hear(lambda: True)
    going_on.set()
    first.join(20)
    assert len(heard) == 6
    assert not songs.page(MusicQuery()).hearing


ROWS = st.lists(
    st.builds(
        lambda number, tempo, sure: replace(
            waiting_row(f"/music/{number}.ogg", "/music"),
            state=RowState.HEARD,
            tempo_bpm=tempo,
            sure=sure,
        ),
        st.integers(0, 10_000),
        st.none() | st.floats(40, 240),
        st.none() | st.floats(0, 1),
    ),
    max_size=40,
)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ROWS, st.sampled_from(list(SortKey)), st.booleans())
def test_sorting_loses_nothing(rows: list[MusicRow], sort: SortKey, descending: bool) -> None:
    """Whatever the order, each row is there once, and known values come in that order."""
    found = matching(rows, MusicQuery(sort=sort, descending=descending))
    assert sorted(id(row) for row in found) == sorted(id(row) for row in rows)
    if sort is SortKey.TEMPO:
        known = [row.tempo_bpm for row in found if row.tempo_bpm is not None]
        assert known == sorted(known, reverse=descending)
        assert all(row.tempo_bpm is None for row in found[len(known) :])


def test_a_song_in_three_and_one_that_moves_say_so() -> None:
    """Another metre and a tempo that moves are causes of their own."""
    track = made_track("waltz", 130.0, PHRASES)
    three = replace(track, analysis=replace(track.analysis, beats_per_bar=3))
    moving = replace(track, analysis=replace(track.analysis, steady=False))
    for given_track, cause in ((three, FitCause.NOT_IN_FOUR), (moving, FitCause.TEMPO_MOVES)):
        row = heard_row(given_track, "", (), Group())
        assert cause in row.fits[0].causes
        assert row.fits[0].fit.fit == "suits with changes"
