"""MIDI and scores: ticks, bars, markers and tempi by hand, read by mido, pretty_midi, partitura."""

from __future__ import annotations

import io
import random
import warnings
from dataclasses import replace

import mido
import partitura
import pytest

from aquatempo.errors import InputError
from aquatempo.exports.midi import midi_file
from aquatempo.interop.midi import to_pretty_midi
from aquatempo.interop.score import to_partitura
from aquatempo.records.cues import Change, Cue, CueKind, CuePhrase, CueTimeline
from aquatempo.records.rhythm import EnergyLevel, PhraseKind


def timeline(
    beats_s: tuple[float, ...], *spans: tuple[int, int], calls: bool = False
) -> CueTimeline:
    """Return a timeline of beats with phrases: (first beat, counts)."""
    phrases = tuple(
        CuePhrase(0.0, 0.0, start, counts, PhraseKind("phrase" if counts == 32 else "bridge"),
                  EnergyLevel.LOW)
        for start, counts in spans
    )  # fmt: skip
    change = Change(4.0, 20.0, 8, 32, 0, "jack", "Jack", (), "2", "", "I", "", True, False)
    cues = (
        Cue(2.0, 2.5, 4, 5, -1, 0, CueKind.WARN, "next jack", "star"),
        Cue(3.0, 3.5, 6, 7, -1, 0, CueKind.COUNTDOWN, "", "2 fingers"),
        Cue(4.0, 4.5, 8, 1, 0, 0, CueKind.COUNT_ONE, "", "star"),
    )
    return CueTimeline(
        "Odd Lane", "odd.ogg", 120.0, beats_s, (False,) * len(beats_s),
        (change,) if calls else (), cues if calls else (), phrases=phrases,
    )  # fmt: skip


def steady(count: int, first_s: float = 0.0, period_s: float = 0.5) -> tuple[float, ...]:
    """Return beats of one tempo."""
    return tuple(first_s + n * period_s for n in range(count))


def events(made: CueTimeline, track: int, beats_per_bar: int = 4) -> list[tuple[int, object]]:
    """Return (tick from the start, message) of a track as mido reads it."""
    at, found = 0, []
    for message in mido.MidiFile(file=io.BytesIO(midi_file(made, beats_per_bar))).tracks[track]:
        at += message.time
        found.append((at, message))
    return found


def tempi(made: CueTimeline) -> list[tuple[int, int]]:
    """Return (tick, microseconds a beat)."""
    return [(at, m.tempo) for at, m in events(made, 0) if m.type == "set_tempo"]  # type: ignore[attr-defined]


def bars(made: CueTimeline, beats_per_bar: int = 4) -> list[tuple[int, int]]:
    """Return (tick, beats a bar)."""
    found = events(made, 0, beats_per_bar)
    return [(at, m.numerator) for at, m in found if m.type == "time_signature"]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("first_s", "lead_in"),
    [(0.0, 0), (0.5, 480), (0.25, 240), (1.2, 1152), (1e-6, 1), (2.0, 1920)],
)
def test_music_before_the_first_beat_is_a_lead_in(first_s: float, lead_in: int) -> None:
    """At half a second a beat of 480 ticks, 1.2 s are 2.4 beats; any sound before is a tick."""
    clicks = [at for at, m in events(timeline(steady(4, first_s)), 1) if m.type == "note_on"]  # type: ignore[attr-defined]
    assert clicks == [lead_in + 480 * n for n in range(4)]


def test_the_lead_in_has_the_tempo_of_the_first_beats() -> None:
    """The median of the first eight gaps: four of 0.4 s and four of 0.5 s give 0.5.

    1 s is then two beats of 480 ticks. What comes after the ninth beat plays no part.
    """
    beats = [1.0]
    for gap in (0.4, 0.4, 0.4, 0.4, 0.5, 0.5, 0.5, 0.5, 0.4, 0.4, 0.4, 0.4):
        beats.append(beats[-1] + gap)
    made = timeline(tuple(beats))
    assert tempi(made)[0] == (0, 500_000)
    assert tempi(made)[1] == (960, 400_000)


def test_a_tempo_lasts_until_a_beat_strays() -> None:
    """Four beats of 0.5 s, then of 0.6 s: a tempo at the first beat and at the fifth."""
    beats = (*steady(5), 2.6, 3.2)
    assert tempi(timeline(beats)) == [(0, 500_000), (1920, 600_000)]
    later = tuple(1.0 + time_s for time_s in beats)
    assert tempi(timeline(later)) == [(0, 500_000), (2880, 600_000)]


def test_a_stray_beat_is_caught_up() -> None:
    """One beat is 1 ms late: its own gap is longer, the next one shorter, then as before."""
    beats = list(steady(6))
    beats[2] += 0.001
    assert tempi(timeline(tuple(beats))) == [
        (0, 500_000), (480, 501_000), (960, 499_000), (1440, 500_000),
    ]  # fmt: skip


@pytest.mark.parametrize("seed", [1, 2])
def test_no_beat_drifts_in_other_readers(seed: int) -> None:
    """Clicks of a song that wanders are within 0.15 ms of its beats, as pretty_midi plays them."""
    draw, beats = random.Random(seed), [draw_first := 0.7]
    assert draw_first > 0
    for _ in range(60):
        beats.append(beats[-1] + draw.uniform(0.45, 0.55))
    played = to_pretty_midi(timeline(tuple(beats), (0, 32)))
    starts = sorted(note.start for one in played.instruments for note in one.notes)
    assert starts == pytest.approx(beats, abs=1.5e-4)


@pytest.mark.parametrize(
    ("spans", "beats_per_bar", "wanted"),
    [
        # (beat, beats a bar): short bars take what a whole bar would not.
        ([(0, 32)], 4, [(0, 4)]),
        ([(8, 32)], 4, [(0, 4)]),
        ([(2, 32)], 4, [(0, 2), (2, 4)]),
        ([(7, 32)], 4, [(0, 3), (3, 4)]),
        ([(0, 30), (30, 8)], 4, [(0, 4), (28, 2), (30, 4)]),
        ([(0, 6), (6, 6)], 4, [(0, 4), (4, 2), (6, 4), (10, 2)]),
        ([(0, 2), (2, 2), (4, 4)], 4, [(0, 2), (4, 4)]),
        ([(0, 32)], 3, [(0, 3), (30, 2)]),
        ([(4, 9)], 3, [(0, 1), (1, 3)]),
        ([(2, 30)], 4, [(0, 2), (2, 4), (30, 2)]),
        ([(3, 1), (4, 4)], 4, [(0, 3), (3, 1), (4, 4)]),
        ([], 4, []),
    ],
)
def test_phrases_start_bars(
    spans: list[tuple[int, int]], beats_per_bar: int, wanted: list[tuple[int, int]]
) -> None:
    """A signature is written where it changes, each phrase starts a bar."""
    made = timeline(steady(48), *spans)
    if beats_per_bar == 4:
        assert midi_file(made) == midi_file(made, 4)
    assert bars(made, beats_per_bar) == [(480 * beat, number) for beat, number in wanted]


def test_a_lead_in_counts_among_the_bars() -> None:
    """1.25 s are two and a half beats: half a beat in a bar of its own, two in a short bar.

    With a phrase from beat 2 on the two of the lead-in and those make a bar of four.
    """
    assert bars(timeline(steady(48, 1.25), (0, 32))) == [(0, 1), (240, 2), (1200, 4)]
    assert bars(timeline(steady(48, 1.25), (2, 32))) == [(0, 1), (240, 4)]
    assert bars(timeline(steady(48, 1.0), (1, 32))) == [(0, 3), (3 * 480, 4)]


def test_markers_name_phrases_and_their_move() -> None:
    """Number, kind and counts; the move that starts with the phrase."""
    made = timeline(steady(48, 0.0), (0, 8), (8, 32), calls=True)
    markers = [(at, m.text) for at, m in events(made, 0) if m.type == "marker"]  # type: ignore[attr-defined]
    assert markers == [(0, "1 bridge, 8 counts"), (3840, "2 phrase, 32 counts: Jack")]


def test_calls_are_lyrics() -> None:
    """Words as spoken, else the sign in brackets; from count 1 on the name of the move."""
    made = timeline(steady(48), (8, 32), calls=True)
    lyrics = [(at, m.text) for at, m in events(made, 2) if m.type == "lyrics"]  # type: ignore[attr-defined]
    assert lyrics == [(4 * 480, "next jack "), (6 * 480, "[2 fingers] "), (8 * 480, "Jack ")]


def test_clicks_have_accents_on_eights() -> None:
    """Count 1 of each eight of a phrase is high and loud; a quarter of a beat long."""
    made = timeline(steady(24), (2, 12))
    on = [(at, m.note, m.velocity) for at, m in events(made, 1) if m.type == "note_on"]  # type: ignore[attr-defined]
    assert [at // 480 for at, note, velocity in on if (note, velocity) == (76, 118)] == [2, 10]
    assert len(on) == 24
    assert {m.channel for _, m in events(made, 1) if not m.is_meta} == {9}  # type: ignore[attr-defined]
    off = [at for at, m in events(made, 1) if m.type == "note_off"]  # type: ignore[attr-defined]
    assert off == [480 * n + 120 for n in range(24)]
    names = [events(made, n)[0][1].name for n in range(3)]  # type: ignore[attr-defined]
    assert names == ["Odd Lane", "click", "calls"]
    assert events(replace(made, title=""), 0)[0][1].name == "beats"  # type: ignore[attr-defined]


def test_a_lone_beat_is_no_timeline() -> None:
    """Two are the least, of MIDI and of a score."""
    for one in (midi_file, to_partitura):
        with pytest.raises(InputError, match="at least two"):
            one(timeline((0.5,)))
        one(timeline((0.5, 1.0)))


def score(made: CueTimeline) -> partitura.score.Part:
    """Return the only part of a score."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        (found,) = to_partitura(made).parts
    return found


def spans(made: CueTimeline) -> list[tuple[int, int]]:
    """Return (first beat, beat after the last) of each bar of a score."""
    return [(bar.start.t, bar.end.t) for bar in score(made).iter_all(partitura.score.Measure)]


@pytest.mark.parametrize(
    ("beats", "phrases", "wanted"),
    [
        (8, [], [(0, 4), (4, 8)]),
        (10, [], [(0, 4), (4, 8), (8, 10)]),
        (10, [(0, 8)], [(0, 4), (4, 8), (8, 10)]),
        (12, [(3, 8)], [(0, 3), (3, 7), (7, 11), (11, 12)]),
        (14, [(6, 8)], [(0, 2), (2, 6), (6, 10), (10, 14)]),
        (14, [(0, 6), (6, 8)], [(0, 4), (4, 6), (6, 10), (10, 14)]),
    ],
)
def test_bars_of_a_score(
    beats: int, phrases: list[tuple[int, int]], wanted: list[tuple[int, int]]
) -> None:
    """A short bar before the first phrase, phrases from count 1, what is left at the end."""
    assert spans(timeline(steady(beats), *phrases)) == wanted


def test_a_score_has_a_stroke_a_beat_and_words() -> None:
    """Strokes of one beat; moves where they begin and words where they are spoken."""
    part = score(timeline(steady(48), (8, 32), calls=True))
    strokes = [(one.start.t, one.end.t) for one in part.iter_all(partitura.score.UnpitchedNote)]
    assert strokes == [(n, n + 1) for n in range(48)]
    words = part.iter_all(partitura.score.Direction, include_subclasses=True)
    told = [(one.start.t, one.text) for one in words]
    assert sorted(one for one in told if one[1]) == [(4, "next jack"), (8, "Jack")]
    (signature,) = part.iter_all(partitura.score.TimeSignature)
    assert (signature.start.t, signature.beats, signature.beat_type) == (0, 4, 4)
    numbers = [bar.number for bar in part.iter_all(partitura.score.Measure)]
    assert numbers == list(range(1, len(numbers) + 1))


def written(made: CueTimeline) -> list[tuple[int, int]]:
    """Return (beat, beats/min) of each tempo of a score."""
    return [(one.start.t, one.bpm) for one in score(made).iter_all(partitura.score.Tempo)]


@pytest.mark.parametrize(
    ("second_bpm", "wanted"),
    [
        (120.0, [(0, 120)]),
        (121.0, [(0, 120)]),  # less than 1 % faster
        (119.0, [(0, 120)]),
        (122.0, [(0, 120), (8, 122)]),
        (118.0, [(0, 120), (8, 118)]),
        (60.0, [(0, 120), (8, 60)]),
        (130.6, [(0, 120), (8, 131)]),
    ],
)
def test_a_tempo_is_written_where_it_changes_by_a_hundredth(
    second_bpm: float, wanted: list[tuple[int, int]]
) -> None:
    """Eight beats at 120, then eight at another tempo, each a phrase."""
    beats = (*steady(9), *(4.0 + n * 60.0 / second_bpm for n in range(1, 9)))
    assert written(timeline(beats, (0, 8), (8, 8))) == wanted


def test_tempi_of_a_score_are_those_of_its_phrases() -> None:
    """Beats before the first phrase have one too; a phrase from the last beat on has none."""
    beats = (*steady(5), *(2.0 + n for n in range(1, 9)))
    assert written(timeline(beats, (4, 8))) == [(0, 120), (4, 60)]
    assert written(timeline(beats, (4, 8), (12, 8))) == [(0, 120), (4, 60)]
    assert written(timeline(steady(9))) == [(0, 120)]
