"""Corrections: readable, lasting, never overwritten blindly."""

from __future__ import annotations

import errno
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import TextFileError
from aquatempo.records.corrections import (
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
from aquatempo.store.correction_files import (
    forget_corrections,
    load_corrections,
    merge_corrections,
    save_corrections,
)

KEY = "0123456789abcdef0123456789abcdef"
CORRECTIONS = Corrections(
    (TempoMark(70.0), TempoMark(140.0, 62.5)),
    (CountOneMark(12.5),),
    (12.5, 27.25),
    (60.0,),
    (BridgeMark(44.0, 4),),
    (NoBeat(0.0, 8.5),),
)


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep every test's corrections apart; return the folder that gets them."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "aquatempo" / "corrections"


def test_corrections_come_back(data: Path) -> None:
    """What was saved is read again, by content and from a file named after the song."""
    assert load_corrections(KEY) is None
    path = save_corrections(KEY, CORRECTIONS, "Lane Four: Ünder/Water?", 180.5)
    assert path == data / "lane-four-ünder-water-0123456789ab.toml"
    assert load_corrections(KEY) == CORRECTIONS
    assert load_corrections(KEY[::-1]) is None


def test_file_explains_itself() -> None:
    """A person who opens the file finds the song and what each value means."""
    text = save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5).read_text(encoding="utf-8")
    assert text.startswith("# What was corrected in the hearing of this track.")
    assert 'title = "Lane Four"' in text
    assert "duration_s = 180.5" in text
    assert "phrase_starts_s = [12.5, 27.25] # seconds at which a phrase starts" in text


def test_own_words_and_file_name_stay() -> None:
    """Saving again keeps comments, own keys and the name that the user gave the file."""
    path = save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5)
    renamed = path.rename(path.with_name("warm up song-0123456789ab.toml"))
    text = renamed.read_text(encoding="utf-8")
    renamed.write_text(
        text.replace("title =", "# loud at the end\nmood = 'calm'\ntitle =")
        .replace("[60.0]", "[61.0]")
        .replace("seconds at which a phrase", "where the singer"),
        encoding="utf-8",
    )
    loaded = load_corrections(KEY)
    assert loaded is not None
    assert loaded.not_starts_s == (61.0,)
    other = Corrections((TempoMark(99.0),))
    assert save_corrections(KEY, other, "Another title", 1.0) == renamed
    assert load_corrections(KEY) == other
    again = renamed.read_text(encoding="utf-8")
    assert "# loud at the end\nmood = 'calm'\n" in again
    assert "where the singer starts" in again


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[60.0]", "['one']", "not_starts_s"),
        ("not_starts_s", "not_start_s", "unknown key 'not_start_s'; known here: tempi"),
        (
            "not_starts_s = [60.0]",
            "tempo_factor = 0.5",
            "tempo_factor said how far from what was heard; now use aquatempo correct SONG --half",
        ),
        ("[corrections]", "[corrections", "line 7: not valid TOML: "),
    ],
)
def test_wrong_file_is_an_error_and_is_kept(old: str, new: str, message: str) -> None:
    """A file that is wrong is named with what is wrong in it, and nothing is lost."""
    path = save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5)
    broken = path.read_text(encoding="utf-8").replace(old, new)
    path.write_text(broken, encoding="utf-8")
    with pytest.raises(TextFileError, match=re.escape(message)) as caught:
        load_corrections(KEY)
    assert str(caught.value).startswith(str(path))
    with pytest.raises(TextFileError):
        save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5)
    assert path.read_text(encoding="utf-8") == broken


def test_corrections_can_be_forgotten() -> None:
    """Forgetting deletes the file and tells whether there was one."""
    save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5)
    assert forget_corrections(KEY)
    assert load_corrections(KEY) is None
    assert not forget_corrections(KEY)


def test_later_corrections_are_on_top_of_earlier() -> None:
    """Levels and count 1 hold from their time on; the later mark at a moment holds."""
    earlier = Corrections(
        (TempoMark(70.0), TempoMark(140.0, 60.0)),
        (CountOneMark(12.0), CountOneMark(80.0, 75.0)),
        (10.0, 20.0),
        (44.0,),
        (BridgeMark(30.0, 4),),
        (NoBeat(0.0, 4.0),),
    )
    later = Corrections(
        (TempoMark(70.0, 40.0),), (CountOneMark(12.5),), (30.1, 44.1), (), (BridgeMark(20.0, 8),)
    )
    assert merge_corrections(earlier, later) == Corrections(
        (TempoMark(70.0), TempoMark(70.0, 40.0)),
        (CountOneMark(12.5),),
        (10.0, 30.1, 44.1),
        (),
        (BridgeMark(20.0, 8),),
        (NoBeat(0.0, 4.0),),
    )


def test_half_of_half_is_said_as_a_tempo() -> None:
    """Two corrections of the level do not multiply: the later tempo is the one meant."""
    halved, again = Corrections((TempoMark(70.0),)), Corrections((TempoMark(140.0),))
    assert merge_corrections(halved, again) == again


seconds = st.floats(0, 7200).map(lambda value: round(value, 3))
marks = st.builds(BridgeMark, seconds, st.integers(1, 32))
times = st.lists(seconds, max_size=3).map(lambda values: tuple(sorted(values)))
by_time: Any = {"max_size": 2, "unique_by": lambda mark: mark.from_s}


def in_order(marks: list[Any]) -> tuple[Any, ...]:
    """Return marks in order of the time from which they hold."""
    return tuple(sorted(marks, key=lambda mark: mark.from_s))


any_corrections = st.builds(
    Corrections,
    st.lists(st.builds(TempoMark, st.floats(40, 220), seconds), **by_time).map(in_order),
    st.lists(st.builds(CountOneMark, seconds, seconds), **by_time).map(in_order),
    times,
    times,
    st.lists(marks, max_size=3).map(
        lambda values: tuple(sorted(values, key=lambda mark: mark.start_s))
    ),
    st.lists(st.builds(NoBeat, seconds, seconds), max_size=2, unique=True).map(
        lambda values: tuple(sorted(values, key=lambda span: (span.start_s, span.end_s)))
    ),
)


@given(any_corrections)
def test_any_corrections_survive_the_file(corrections: Corrections) -> None:
    """Any corrections are equal after writing and reading, also over earlier ones."""
    save_corrections(KEY, corrections, "Lane Four", 180.5)
    assert load_corrections(KEY) == corrections


@given(any_corrections)
def test_nothing_more_to_correct_changes_nothing(corrections: Corrections) -> None:
    """Empty corrections on either side leave the others as they are."""
    assert merge_corrections(corrections, Corrections()) == corrections
    assert merge_corrections(Corrections(), corrections) == corrections


ADD_ONE = """
import sys
from aquatempo.records.corrections import Corrections
from aquatempo.store import correction_files as stored
sys.stdin.read(1)
with stored.correcting():
    earlier = stored.load_corrections(sys.argv[1]) or Corrections()
    new = Corrections(phrase_starts_s=(float(sys.argv[2]),))
    stored.save_corrections(sys.argv[1], stored.merge_corrections(earlier, new), "Song", 180.0)
"""


@pytest.mark.long
def test_of_corrections_at_once_none_is_lost() -> None:
    """Eight processes that each add a phrase start to one track leave all eight."""
    command = [sys.executable, "-c", ADD_ONE, KEY]
    processes = [
        subprocess.Popen([*command, str(10.0 * number)], stdin=subprocess.PIPE)
        for number in range(8)
    ]
    for process in processes:
        process.communicate(b"x")
    assert [process.returncode for process in processes] == [0] * 8
    assert load_corrections(KEY) == Corrections(
        phrase_starts_s=tuple(10.0 * number for number in range(8))
    )


def test_folder_that_may_not_be_read_is_said(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Corrections that may not be read are an error: silence would drop somebody's work."""
    save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5)

    def refuse(path: Path) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr("aquatempo.store.correction_files.os.scandir", refuse)
    with pytest.raises(TextFileError) as caught:
        load_corrections(KEY)
    assert str(caught.value) == f"{data}: Permission denied"
