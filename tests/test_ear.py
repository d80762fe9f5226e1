"""Correcting by ear: each change as shown, undone without end, never lost to another window."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page_making import own_store
from planning_music import made_track

from aquatempo.errors import AquatempoError, ConflictError, InputError
from aquatempo.music.ear_changes import changed, steps_of
from aquatempo.records.corrections import Corrections
from aquatempo.records.ear import EarChange, EarKind, EarTrack
from aquatempo.records.rhythm import BeatEvidence, RhythmAnalysis, TempoSection
from aquatempo.records.track import Track
from aquatempo.rhythm import apply_corrections
from aquatempo.store.correction_files import load_corrections
from aquatempo.workflow import correcting, ear
from aquatempo.workflow.correcting import correct
from aquatempo.workflow.ear import change_ear, open_ear, redo_ear, undo_ear

LAYOUT = [(32, "phrase")] * 3 + [(8, "bridge"), (32, "phrase"), (5, "outro")]
FIRST = [(0, 32, "phrase"), (32, 32, "phrase"), (64, 32, "phrase"), (96, 8, "bridge")]


@pytest.fixture(scope="module")
def heard() -> RhythmAnalysis:
    """Return what a hearing of 126 bpm looks like: three phrases, a bridge of 8, a phrase."""
    analysis = made_track("lane", 126.0, LAYOUT).analysis
    whole = TempoSection(0.0, analysis.duration_s, 126.0, 0.9)
    bars = tuple(3.0 if beat % 4 == 0 else -3.0 for beat in range(len(analysis.beats_s)))

    def odds(kind: str) -> tuple[float, ...]:
        begins = {one.start_beat for one in analysis.phrases if one.kind == kind}
        return tuple(12.0 if beat in begins else -12.0 for beat in range(len(bars)))

    evidence = BeatEvidence((0.5,) * len(bars), bars, odds("phrase"), odds("bridge"))
    return replace(
        analysis, tempo_sections=(whole,), evidence=evidence, confidence=0.5, tempo_confidence=0.6
    )


@pytest.fixture
def song(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, heard: RhythmAnalysis) -> Iterator[str]:
    """Return a file in which just that is heard, whatever the hearing learns meanwhile."""
    track = Track("", "lane", heard, content_key="0123456789abcdef0123456789abcdef")
    for job in (ear, correcting):
        monkeypatch.setattr(job, "open_track", lambda path, _: replace(track, file=path))
    with own_store(tmp_path, monkeypatch) as home:
        yield str(home / "lane.ogg")


def lanes(shown: RhythmAnalysis) -> list[tuple[int, int, str]]:
    """Return first beat, counts and kind of each stretch."""
    return [(phrase.start_beat, phrase.counts, phrase.kind.value) for phrase in shown.phrases]


def make(path: str, kind: EarKind, **facts: float | int) -> EarTrack:
    """Make a change on what is in force now."""
    return change_ear(path, EarChange(kind, **facts), open_ear(path)[0].revision)[0]  # type: ignore[arg-type]


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
    assert [step.kind for step in shown.steps] == [EarKind.TEMPO]
    assert shown.steps[0].tempo_bpm == pytest.approx(126.0, abs=0.1)
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
    with pytest.raises(InputError, match=r"126\.0 bpm is heard.*half 63\.0, double 252\.0"):
        make(song, EarKind.TAPPED, tempo_bpm=100.0)
    with pytest.raises(InputError, match="needs 20 to 400"):
        make(song, EarKind.TAPPED, tempo_bpm=1e9)


def test_count_one_moves(song: str, heard: RhythmAnalysis) -> None:
    """Count 1 of the whole song moves by a count; back again is as it was."""
    shown = make(song, EarKind.COUNT_ONE, beats=1)
    starts = [first for first, counts, kind in lanes(shown.analysis) if counts == 32]
    assert starts == [1, 33, 65, 105]
    assert shown.analysis.downbeats_s[0] == pytest.approx(heard.beats_s[1], abs=0.001)
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
    """Where no start is wanted, none is: the bridge and what follows it are one lane."""
    shown = make(song, EarKind.NO_START, time_s=heard.beats_s[104])
    assert 104 not in [first for first, _, _ in lanes(shown.analysis)]
    assert [step.kind for step in shown.steps] == [EarKind.NO_START]
    shown = make(song, EarKind.PHRASE_START, time_s=heard.beats_s[104])
    assert [step.kind for step in shown.steps] == [EarKind.PHRASE_START]


def test_a_phrase_and_a_bridge_are_set(song: str, heard: RhythmAnalysis) -> None:
    """A start set by hand begins a whole phrase there; a bridge lasts as many counts as said."""
    beats_s = heard.beats_s
    shown = make(song, EarKind.BRIDGE, time_s=beats_s[64], counts=4)
    assert {(64, 4, "bridge"), (68, 32, "phrase")} <= set(lanes(shown.analysis))
    shown = make(song, EarKind.PHRASE_START, time_s=beats_s[64])
    assert (64, 32, "phrase") in lanes(shown.analysis)
    assert [step.kind for step in shown.steps] == [EarKind.PHRASE_START]


def test_from_here_on_it_is_counted_at_double(song: str, heard: RhythmAnalysis) -> None:
    """A level from a time on leaves what comes before as it was, and says so in its parts."""
    from_s = heard.beats_s[64]
    shown = make(song, EarKind.DOUBLE, from_s=from_s)
    tempos = [round(part.tempo_bpm) for part in shown.analysis.tempo_sections]
    assert tempos == [126, 252]
    before = [time_s for time_s in shown.analysis.beats_s if time_s < from_s - 0.1]
    assert before == pytest.approx(heard.beats_s[:64], abs=0.001)
    assert lanes(shown.analysis)[:2] == FIRST[:2]
    assert shown.steps[0].from_s == pytest.approx(from_s, abs=0.01)


def test_count_one_moves_from_here_on(song: str, heard: RhythmAnalysis) -> None:
    """Count 1 set from a time on leaves the phrases before it where they were."""
    one_s = heard.beats_s[66]
    shown = make(song, EarKind.COUNT_ONE, time_s=one_s, from_s=one_s)
    starts = [first for first, counts, kind in lanes(shown.analysis) if kind == "phrase"]
    assert starts[:2] == [0, 32]
    assert 66 in starts


def test_a_stretch_without_a_beat(song: str, heard: RhythmAnalysis) -> None:
    """Counts marked as no beat are gone, at both ends too, and come back when taken back."""
    beats_s = heard.beats_s
    shown = make(song, EarKind.NO_BEAT, time_s=beats_s[103], to_s=beats_s[96])
    assert not [
        time_s for time_s in shown.analysis.beats_s if beats_s[96] <= time_s <= beats_s[103]
    ]
    assert len(shown.analysis.beats_s) == len(beats_s) - 8
    assert make(song, EarKind.TAKE_BACK, step=0).analysis.beats_s == beats_s


def test_a_yes_settles_tempo_and_count_one(song: str) -> None:
    """What is confirmed by ear is sure from then on, and moves nothing."""
    before = open_ear(song)[0]
    shown = make(song, EarKind.CONFIRM)
    assert shown.is_sure
    assert shown.analysis.confidence == 1.0
    assert lanes(shown.analysis) == lanes(before.analysis)
    assert [step.kind for step in shown.steps] == [EarKind.TEMPO, EarKind.COUNT_ONE]


@pytest.mark.long
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
    assert kinds == [EarKind.TEMPO, EarKind.COUNT_ONE, EarKind.BRIDGE]
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
    assert [step.tempo_bpm for step in open_ear(song)[0].steps] == [pytest.approx(63.0, abs=0.05)]


def test_a_correction_by_command_joins_the_history(song: str) -> None:
    """What the command line corrected meanwhile is shown, and undo goes back before it."""
    before = make(song, EarKind.COUNT_ONE, beats=1)
    correct(song, level=2.0)
    shown = open_ear(song)[0]
    assert shown.undo is EarKind.ELSEWHERE
    assert [step.kind for step in shown.steps] == [EarKind.TEMPO, EarKind.COUNT_ONE]
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
        EarChange(EarKind.NO_START, time_s=heard.beats_s[0]),
        EarChange(EarKind.MOVE_START, time_s=heard.beats_s[64], to_s=heard.beats_s[20]),
        EarChange(EarKind.NO_BEAT, time_s=0.0, to_s=66.0),
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
    st.builds(lambda t: EarChange(EarKind.PHRASE_START, time_s=t), st.floats(0.0, 64.0)),
    st.builds(
        lambda t, n: EarChange(EarKind.BRIDGE, time_s=t, counts=n),
        st.floats(0.0, 64.0),
        st.integers(1, 40),
    ),
    st.builds(
        lambda a, b: EarChange(EarKind.MOVE_START, time_s=a, to_s=b),
        st.floats(0.0, 64.0),
        st.floats(0.0, 64.0),
    ),
    st.builds(lambda t: EarChange(EarKind.NO_START, time_s=t), st.floats(0.0, 64.0)),
    st.builds(lambda t: EarChange(EarKind.DOUBLE, from_s=t), st.floats(0.0, 64.0)),
    st.builds(lambda t: EarChange(EarKind.COUNT_ONE, time_s=t, from_s=t), st.floats(0.0, 60.0)),
    st.builds(
        lambda a, b: EarChange(EarKind.NO_BEAT, time_s=a, to_s=b),
        st.floats(0.0, 64.0),
        st.floats(0.0, 64.0),
    ),
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
