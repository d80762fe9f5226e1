"""Corrections: readable, lasting, never overwritten blindly."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import InputError, TextFileError
from aquatempo.records.corrections import BridgeMark, Corrections
from aquatempo.store.correction_files import (
    forget_corrections,
    load_corrections,
    merge_corrections,
    save_corrections,
)

KEY = "0123456789abcdef0123456789abcdef"
CORRECTIONS = Corrections(0.5, -1, (12.5, 27.25), (BridgeMark(44.0, 4),))


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
    assert "shift_beats = -1 # count 1 lies so many beats later than heard" in text


def test_own_words_and_file_name_stay() -> None:
    """Saving again keeps comments, own keys and the name that the user gave the file."""
    path = save_corrections(KEY, CORRECTIONS, "Lane Four", 180.5)
    renamed = path.rename(path.with_name("warm up song-0123456789ab.toml"))
    text = renamed.read_text(encoding="utf-8")
    renamed.write_text(
        text.replace("title =", "# loud at the end\nmood = 'calm'\ntitle =")
        .replace("tempo_factor = 0.5", "tempo_factor = 1")
        .replace("count 1 lies", "the singer lies"),
        encoding="utf-8",
    )
    loaded = load_corrections(KEY)
    assert loaded is not None
    assert loaded.tempo_factor == 1.0
    assert save_corrections(KEY, Corrections(2.0), "Another title", 1.0) == renamed
    assert load_corrections(KEY) == Corrections(2.0)
    again = renamed.read_text(encoding="utf-8")
    assert "# loud at the end\nmood = 'calm'\n" in again
    assert "the singer lies" in again


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("shift_beats = -1", "shift_beats = 'one'", "line 9: shift_beats 'one': needs -4096 to"),
        (
            "shift_beats",
            "shift_beat",
            "line 9: unknown key 'shift_beat'; known here: tempo_factor",
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
    """Factors multiply, shifts add in the beats shown, the later mark at a moment holds."""
    earlier = Corrections(2.0, 3, (10.0, 20.0), (BridgeMark(30.0, 4),))
    later = Corrections(0.5, 1, (30.1,), (BridgeMark(20.0, 8),))
    assert merge_corrections(earlier, later) == Corrections(
        1.0, 3, (10.0, 30.1), (BridgeMark(20.0, 8),)
    )


def test_quarter_of_the_tempo_is_refused() -> None:
    """Half of half is no metrical level that a class would count."""
    with pytest.raises(InputError, match=r"^tempo 0\.25 times what was heard: needs 0\.5, 1 or 2"):
        merge_corrections(Corrections(0.5), Corrections(0.5))


seconds = st.floats(0, 7200).map(lambda value: round(value, 3))
marks = st.builds(BridgeMark, seconds, st.integers(1, 32))
any_corrections = st.builds(
    Corrections,
    st.sampled_from([0.5, 1.0, 2.0]),
    st.integers(-31, 31),
    st.lists(seconds, max_size=3).map(lambda values: tuple(sorted(values))),
    st.lists(marks, max_size=3).map(
        lambda values: tuple(sorted(values, key=lambda mark: mark.start_s))
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
