"""Ticks, stamps, counts and shares of what is exported, worked by hand."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import cycle

import mido
import pytest
from cue_cases import WORDS, heard, planned
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.audio import Click
from aquatempo.cues import timeline
from aquatempo.cues.count_grid import make_grid
from aquatempo.deck.track_files import click_strengths
from aquatempo.errors import InputError
from aquatempo.exports import captions
from aquatempo.exports.midi import midi_file
from aquatempo.moves import catalogue
from aquatempo.moves.patterns import lead_check, parse_pattern
from aquatempo.records.cues import CueTimeline
from aquatempo.records.plan import Block

SPANS = (("phrase", 32), ("bridge", 6), ("phrase", 32))


def made(first_beat_s: float = 0.4) -> CueTimeline:
    """Return a timeline at 120 bpm: a phrase, a bridge of six counts, a phrase."""
    analysis = heard(SPANS, 120.0, first_beat_s=first_beat_s)
    blocks = [[Block(32, "jog")], [Block(6, "jog")], [Block(32, "jack")]]
    return timeline(analysis, planned(analysis, blocks), WORDS)


def absolute(track: mido.MidiTrack) -> list[tuple[int, mido.Message]]:
    """Return (tick from the start, message)."""
    at, found = 0, []
    for message in track:
        at += message.time
        found.append((at, message))
    return found


def test_ticks_of_a_steady_song() -> None:
    """At 120 bpm a first beat at 0.4 s is 0.8 of a beat: 384 of 480 ticks before it.

    Clicks last a quarter of a beat; one tempo of 500,000 us holds for all. Bars: a short one of
    the lead-in, then 4/4, and the six counts of the bridge as 4 and 2.
    """
    file = mido.MidiFile(file=io.BytesIO(midi_file(made())))
    assert (file.type, file.ticks_per_beat, len(file.tracks)) == (1, 480, 3)
    conductor, click = absolute(file.tracks[0]), absolute(file.tracks[1])
    tempos = [(at, m.tempo) for at, m in conductor if m.type == "set_tempo"]
    assert tempos == [(0, 500_000)]
    bars = [(at, m.numerator) for at, m in conductor if m.type == "time_signature"]
    beat = {n: 384 + 480 * n for n in (0, 36, 38)}
    assert bars == [(0, 1), (beat[0], 4), (beat[36], 2), (beat[38], 4)]
    on = [(at, m.note, m.velocity) for at, m in click if m.type == "note_on"]
    ones = {0, 8, 16, 24, 32, 38, 46, 54, 62}
    assert on == [
        (384 + 480 * n, 76 if n in ones else 77, 118 if n in ones else 84) for n in range(70)
    ]  # General MIDI percussion: high and low wood block
    off = [at for at, m in click if m.type == "note_off"]
    assert off == [384 + 480 * n + 120 for n in range(70)]
    assert all(m.channel == 9 for _, m in click if not m.is_meta)


@pytest.mark.parametrize(("stray_us", "tempos"), [(80, 1), (130, 4)])
def test_a_new_tempo_is_written_where_a_beat_strays_by_a_tenth_of_a_ms(
    stray_us: int, tempos: int
) -> None:
    """80 us late nothing changes; 130 us: a longer beat, a shorter one, then the old tempo."""
    steady = made(0.5)
    beats = list(steady.beats_s)
    beats[20] += stray_us * 1e-6
    file = mido.MidiFile(file=io.BytesIO(midi_file(replace(steady, beats_s=tuple(beats)))))
    found = [m.tempo for m in file.tracks[0] if m.type == "set_tempo"]
    assert len(found) == tempos
    assert set(found) <= {500_000, 500_000 + stray_us, 500_000 - stray_us}


def test_two_beats_can_be_written_and_one_cannot() -> None:
    """Two beats have a tempo; a lone one has none, and says so."""
    alone = replace(made(0.0), phrases=(), cues=(), changes=())
    two = replace(alone, beats_s=(0.0, 0.5))
    assert mido.MidiFile(file=io.BytesIO(midi_file(two))).length == pytest.approx(0.625)
    with pytest.raises(InputError, match="at least two"):
        midi_file(replace(alone, beats_s=(0.5,)))


@pytest.mark.parametrize(
    ("time_s", "stamp"),
    [
        (0.0, "00:00:00.000"),
        (59.9996, "00:01:00.000"),
        (61.0604, "00:01:01.060"),
        (3599.9994, "00:59:59.999"),
        (36610.5, "10:10:10.500"),
    ],
)
def test_stamps_of_captions(time_s: float, stamp: str) -> None:
    """Hours, minutes, seconds and milliseconds, rounded: W3C WebVTT, section 4.2."""
    assert captions._stamp(time_s) == stamp


@pytest.mark.parametrize(
    ("start_s", "end_s", "turn_end_s", "told_s"),
    [
        (10.0, 30.0, 30.0, [15, 20, 25]),
        (10.5, 30.0, 30.0, [15, 20, 25]),
        (14.2, 30.0, 30.0, [20, 25]),  # 0.8 s: too short to be read
        (10.0, 20.6, 30.0, [15]),
        (10.0, 21.1, 30.0, [15, 20]),
        (10.0, 21.0, 30.0, [15, 20]),  # a second can be read, at the end as at the start
        (14.0, 30.0, 30.0, [15, 20, 25]),
        (14.0, 15.9, 30.0, []),
        (14.0, 16.0, 30.0, [15]),
        (3.0, 40.0, 42.0, [7, 12, 17, 22, 27, 32, 37]),
        (29.0, 30.0, 30.0, []),
    ],
)
def test_seconds_left_are_told_at_whole_fives(
    start_s: float, end_s: float, turn_end_s: float, told_s: list[float]
) -> None:
    """Anew at 5, 10, 15 s before the end, no caption shorter than a second."""
    assert captions._ticks_s(start_s, end_s, turn_end_s) == pytest.approx(told_s)


def test_clicks_tell_phrases_eights_and_beats() -> None:
    """Count 1 of a phrase, count 1 of each eight, and of a bridge only as an eight."""
    strengths = click_strengths(heard(SPANS))
    expected = {0: Click.PHRASE, 38: Click.PHRASE}
    expected |= dict.fromkeys((8, 16, 24, 32, 46, 54, 62), Click.EIGHT)
    assert strengths == [expected.get(beat, Click.BEAT) for beat in range(70)]


def test_counts_and_times_of_a_grid() -> None:
    """Counts run 1 to 8 from each phrase; a faster song comes sooner; ends are carried on."""
    analysis = heard(SPANS, 120.0, first_beat_s=0.6)
    blocks = [[Block(32, "jog")], [Block(6, "jog")], [Block(32, "jack")]]
    grid = make_grid(analysis, planned(analysis, blocks, speed=1.2))
    assert [grid.count(beat) for beat in (0, 7, 8, 31, 32, 37, 38, 46, 47)] == [
        1, 8, 1, 8, 1, 6, 1, 1, 2,
    ]  # fmt: skip
    assert [grid.phrase(beat) for beat in (-1, 0, 31, 32, 37, 38)] == [-1, 0, 0, 1, 1, 2]
    times_s = [grid.time_s(beat) for beat in (0, 69, 70, 72)]
    assert times_s == pytest.approx([0.5, 0.5 + 69 / 2.4, 0.5 + 70 / 2.4, 0.5 + 72 / 2.4])
    starts = [phrase.start_s for phrase in grid.phrases]
    assert starts == pytest.approx([0.5, 0.5 + 32 / 2.4, 0.5 + 38 / 2.4])
    assert grid.phrases[-1].end_s == pytest.approx(0.5 + 70 / 2.4)


@given(st.sampled_from(sorted(move.key for move in catalogue().moves.values())),
       st.lists(st.sampled_from(["1", "2", "4", "2+2h"]), min_size=1, max_size=5))  # fmt: skip
def test_the_lead_comes_back_as_by_walking_through(key: str, parts: list[str]) -> None:
    """Movement by movement until an eight and the first movement meet: counts of both halves."""
    move, pattern = catalogue().move(key), parse_pattern("-".join(parts))
    check, movements = lead_check(move, pattern), len(move.movements)
    at, step, counts, ends = 0, 0, 0, []
    halves = [0, 0]
    for part in cycle(pattern.steps):
        size = part.moving_counts + part.held_counts
        halves[at >= movements // 2] += size
        counts, at, step = counts + size, (at + 1) % movements, (step + 1) % len(pattern.steps)
        if counts % 8 == 0 and step == 0:
            ends.append((counts, at))
            if at == 0:
                break
    assert check.returns_after_counts == counts
    assert check.returns is (counts <= 32)
    first = ends[0][1]
    half_way = move.alternates and first == movements / 2
    assert check.at_start is (first == 0 or half_way)
    assert check.swaps is half_way
    if move.sided and move.alternates:
        assert [check.lead_counts, check.other_counts] == halves
    else:
        assert check.lead_counts == check.other_counts == 0
