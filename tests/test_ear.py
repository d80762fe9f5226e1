"""Correcting by ear: each change as shown, undone without end, never lost to another window."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_making import own_store

from aquatempo.errors import AquatempoError, ConflictError, InputError
from aquatempo.music.ear_changes import changed, steps_of
from aquatempo.music.hearing import Hearing, open_track
from aquatempo.records.corrections import Corrections
from aquatempo.records.ear import EarChange, EarKind, EarTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.rhythm import apply_corrections
from aquatempo.store.correction_files import load_corrections
from aquatempo.workflow.correcting import correct
from aquatempo.workflow.ear import change_ear, open_ear, redo_ear, undo_ear

SAMPLES = Path(__file__).parent.parent / "sample_audio"


@pytest.fixture
def song(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """Return a song of 126 bpm with three phrases, a bridge of 8 and a phrase (its truth file)."""
    with own_store(tmp_path, monkeypatch) as home:
        yield str(shutil.copy(SAMPLES / "odd_lane.ogg", home / "song.ogg"))


@pytest.fixture(scope="module")
def heard() -> RhythmAnalysis:
    """Return what is heard in that song."""
    return open_track(str(SAMPLES / "odd_lane.ogg"), Hearing(use_corrections=False)).analysis


def lanes(shown: RhythmAnalysis) -> list[tuple[int, int, str]]:
    """Return first beat, counts and kind of each stretch."""
    return [(phrase.start_beat, phrase.counts, phrase.kind.value) for phrase in shown.phrases]


def make(path: str, kind: EarKind, **facts: float | int) -> EarTrack:
    """Make a change on what is in force now."""
    return change_ear(path, EarChange(kind, **facts), open_ear(path)[0].revision)[0]  # type: ignore[arg-type]


FIRST = [(0, 32, "phrase"), (32, 32, "phrase"), (64, 32, "phrase"), (96, 8, "bridge")]


def test_the_song_is_shown_as_heard(song: str) -> None:
    """A fresh song has no step, nothing to undo, and its phrases where they were heard."""
    shown, track = open_ear(song)
    assert lanes(shown.analysis)[:4] == FIRST
    assert (shown.steps, shown.undo, shown.redo) == ((), None, None)
    assert shown.analysis.evidence is None, "what the page does not need is not sent"
    assert track.analysis.evidence is not None


def test_half_and_double(song: str) -> None:
    """One press halves, one doubles what is shown then, and both are kept for good."""
    assert make(song, EarKind.HALF).analysis.tempo_bpm == pytest.approx(63.0, abs=0.05)
    shown = make(song, EarKind.DOUBLE)
    assert shown.analysis.tempo_bpm == pytest.approx(126.0, abs=0.1)
    assert shown.steps == ()
    assert make(song, EarKind.DOUBLE).analysis.tempo_bpm == pytest.approx(252.0, abs=0.2)
    assert open_ear(song)[0].analysis.tempo_bpm == pytest.approx(252.0, abs=0.2)


@pytest.mark.parametrize(
    ("tapped_bpm", "tempo_bpm"), [(62.0, 63.0), (65.0, 63.0), (250.0, 252.0), (258.0, 252.0)]
)
def test_tapping_chooses_the_level(song: str, tapped_bpm: float, tempo_bpm: float) -> None:
    """Taps need only be nearest to a level that the song has: its own tempo stays exact."""
    shown = make(song, EarKind.TAPPED, tempo_bpm=tapped_bpm)
    assert shown.analysis.tempo_bpm == pytest.approx(tempo_bpm, abs=0.2)


def test_tapping_beside_every_level_says_so(song: str) -> None:
    """Taps at another pace change nothing and name the tempos that the song has."""
    with pytest.raises(InputError, match="63, 126 and 252"):
        make(song, EarKind.TAPPED, tempo_bpm=95.0)
    with pytest.raises(InputError, match="changes nothing"):
        make(song, EarKind.TAPPED, tempo_bpm=127.0)


def test_count_one_moves(song: str, heard: RhythmAnalysis) -> None:
    """Count 1 of the whole song moves by a count; back again is as it was."""
    shown = make(song, EarKind.COUNT_ONE, beats=1)
    starts = [first for first, counts, kind in lanes(shown.analysis) if counts == 32]
    assert starts == [1, 33, 65, 105]
    assert shown.analysis.downbeats_s[0] == heard.beats_s[1]
    assert lanes(make(song, EarKind.COUNT_ONE, beats=-1).analysis)[:4] == FIRST


def test_a_start_is_dragged(song: str, heard: RhythmAnalysis) -> None:
    """Dragging the third start by 8 counts makes a bridge before it and keeps the rest whole."""
    beats_s = heard.beats_s
    shown = make(song, EarKind.MOVE_START, time_s=beats_s[64], to_s=beats_s[72])
    found = lanes(shown.analysis)
    assert (72, 32, "phrase") in found
    assert sum(counts for _, counts, _ in found) == len(beats_s)
    assert [counts for first, counts, _ in found if 32 <= first < 72] == [32, 8]


def test_a_start_is_dragged_back(song: str, heard: RhythmAnalysis) -> None:
    """Dragging the bridge's end back to its start makes the phrase follow at once."""
    beats_s = heard.beats_s
    shown = make(song, EarKind.MOVE_START, time_s=beats_s[104], to_s=beats_s[100])
    assert (96, 4, "bridge") in lanes(shown.analysis)
    assert (100, 32, "phrase") in lanes(shown.analysis)


def test_a_start_is_removed(song: str, heard: RhythmAnalysis) -> None:
    """Joining the phrase after the bridge with the bridge makes one phrase of both."""
    shown = make(song, EarKind.REMOVE_START, time_s=heard.beats_s[104])
    assert (96, 32, "phrase") in lanes(shown.analysis)
    assert all(kind is not PhraseKind.BRIDGE for kind in (p.kind for p in shown.analysis.phrases))


def test_a_phrase_and_a_bridge_are_set(song: str, heard: RhythmAnalysis) -> None:
    """A start set by hand begins a whole phrase there; a bridge lasts as many counts as said."""
    beats_s = heard.beats_s
    shown = make(song, EarKind.BRIDGE, time_s=beats_s[64], counts=4)
    assert {(64, 4, "bridge"), (68, 32, "phrase")} <= set(lanes(shown.analysis))
    shown = make(song, EarKind.PHRASE_START, time_s=beats_s[64])
    assert (64, 32, "phrase") in lanes(shown.analysis)
    assert [step.kind for step in shown.steps] == [EarKind.PHRASE_START]


def test_undo_and_redo_have_no_end(song: str) -> None:
    """Forty changes are taken back one by one, across a reload, and made again."""
    seen = [open_ear(song)[0]]
    for _ in range(20):
        seen.append(make(song, EarKind.HALF))
        seen.append(make(song, EarKind.DOUBLE))
    for before in reversed(seen[:-1]):
        shown, _ = undo_ear(song, open_ear(song)[0].revision)
        assert (shown.analysis, shown.revision) == (before.analysis, before.revision)
    assert shown.undo is None
    with pytest.raises(InputError, match="nothing to undo"):
        undo_ear(song, shown.revision)
    for after in seen[1:]:
        shown, _ = redo_ear(song, open_ear(song)[0].revision)
        assert shown.revision == after.revision
    assert shown.redo is None


def test_a_new_change_ends_what_could_be_done_again(song: str) -> None:
    """After an undo, another change starts a new branch; the old one is gone."""
    make(song, EarKind.HALF)
    shown, _ = undo_ear(song, open_ear(song)[0].revision)
    assert shown.redo is EarKind.HALF
    shown = make(song, EarKind.COUNT_ONE, beats=2)
    assert (shown.undo, shown.redo) == (EarKind.COUNT_ONE, None)


def test_what_was_corrected_is_shown_and_taken_back(song: str, heard: RhythmAnalysis) -> None:
    """Each correction is a step of its own; any of them is taken back, or all at once."""
    make(song, EarKind.COUNT_ONE, beats=1)
    make(song, EarKind.BRIDGE, time_s=heard.beats_s[65], counts=8)
    shown = make(song, EarKind.DOUBLE)
    kinds = [step.kind for step in shown.steps]
    assert kinds == [EarKind.DOUBLE, EarKind.COUNT_ONE, EarKind.BRIDGE]
    shown = make(song, EarKind.TAKE_BACK, step=0)
    assert [step.kind for step in shown.steps] == [EarKind.COUNT_ONE, EarKind.BRIDGE]
    shown = make(song, EarKind.FORGET)
    assert shown.steps == ()
    assert lanes(shown.analysis)[:4] == FIRST


def test_two_windows_do_not_lose_a_change(song: str) -> None:
    """A change made on what is no longer in force is refused, and nothing is written."""
    first = open_ear(song)[0]
    change_ear(song, EarChange(EarKind.HALF), first.revision)
    with pytest.raises(ConflictError, match="changed elsewhere"):
        change_ear(song, EarChange(EarKind.DOUBLE), first.revision)
    for step in (undo_ear, redo_ear):
        with pytest.raises(ConflictError, match="changed elsewhere"):
            step(song, first.revision)
    assert [step.kind for step in open_ear(song)[0].steps] == [EarKind.HALF]


def test_a_correction_by_command_joins_the_history(song: str) -> None:
    """What the command line corrected meanwhile is shown, and undo goes back before it."""
    before = make(song, EarKind.COUNT_ONE, beats=1)
    correct(song, tempo_factor=2.0)
    shown = open_ear(song)[0]
    assert shown.undo is EarKind.ELSEWHERE
    assert [step.kind for step in shown.steps] == [EarKind.DOUBLE, EarKind.COUNT_ONE]
    undone, _ = undo_ear(song, shown.revision)
    assert undone.revision == before.revision


def test_what_does_not_fit_is_not_written(song: str, heard: RhythmAnalysis) -> None:
    """A change that lacks something or makes no sense is one sentence, and nothing is kept."""
    revision = open_ear(song)[0].revision
    for change in (
        EarChange(EarKind.MOVE_START, time_s=heard.beats_s[64]),
        EarChange(EarKind.COUNT_ONE),
        EarChange(EarKind.COUNT_ONE, beats=99),
        EarChange(EarKind.BRIDGE, time_s=1.0, counts=0),
        EarChange(EarKind.REMOVE_START, time_s=heard.beats_s[32]),
        EarChange(EarKind.REMOVE_START, time_s=heard.beats_s[0]),
        EarChange(EarKind.TAKE_BACK, step=3),
        EarChange(EarKind.TAPPED, tempo_bpm=1e9),
    ):
        with pytest.raises(InputError):
            change_ear(song, change, revision)
    _, track = open_ear(song)
    assert load_corrections(track.content_key) is None


CHANGES = st.one_of(
    st.builds(EarChange, st.sampled_from([EarKind.HALF, EarKind.DOUBLE, EarKind.FORGET])),
    st.builds(lambda n: EarChange(EarKind.COUNT_ONE, beats=n), st.integers(-31, 31)),
    st.builds(lambda t: EarChange(EarKind.PHRASE_START, time_s=t), st.floats(0.0, 67.0)),
    st.builds(
        lambda t, n: EarChange(EarKind.BRIDGE, time_s=t, counts=n),
        st.floats(0.0, 67.0),
        st.integers(1, 40),
    ),
    st.builds(
        lambda a, b: EarChange(EarKind.MOVE_START, time_s=a, to_s=b),
        st.floats(0.0, 67.0),
        st.floats(0.0, 67.0),
    ),
    st.builds(lambda t: EarChange(EarKind.REMOVE_START, time_s=t), st.floats(0.0, 67.0)),
    st.builds(lambda n: EarChange(EarKind.TAKE_BACK, step=n), st.integers(0, 4)),
)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(CHANGES, max_size=8))
def test_any_row_of_changes_leaves_a_whole_song(
    heard: RhythmAnalysis, changes: list[EarChange]
) -> None:
    """Whatever one presses, the lanes cover the song's beats once, and each step can be told."""
    now = Corrections()
    for change in changes:
        try:
            then = changed(heard, now, change)
            shown = apply_corrections(heard, then)
        except AquatempoError:
            continue  # refused; nothing changed
        now = then
        at = 0
        for first, counts, _ in lanes(shown):
            assert first == at
            at += counts
        assert at == len(shown.beats_s)
        assert len(steps_of(now)) >= (not now.empty)
