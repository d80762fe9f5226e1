"""From what is heard to the record of a track: kinds, energies, sections, sureness by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_frames import made_frames
from scipy.special import expit
from test_rhythm_evidence import cues

from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.rhythm import analysis, hearing
from aquatempo.rhythm.assemble import energy_of, phrases_of
from aquatempo.rhythm.confidence import bar_confidence, measures_of, tempo_confidence
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import BANDS
from aquatempo.rhythm.grid import Stretch
from aquatempo.rhythm.levels import Level
from aquatempo.rhythm.phrases import Segmentation
from aquatempo.rhythm.weights import weights_of

Doubles = NDArray[np.float64]


def test_energy_is_relative_to_the_loud_beats() -> None:
    """Of 0 to 100, 95 is full and 5 nothing; an even track of 100 and 96 has a range of 35."""
    assert energy_of(np.arange(101.0))[[0, 5, 50, 95, 100]] == pytest.approx([0, 0, 0.5, 1, 1])
    even = np.array([100.0] * 30 + [96.5] * 10)
    assert energy_of(even)[[0, 39]] == pytest.approx([1, 0.9])
    assert energy_of(-even)[[0, 39]] == pytest.approx([1 - 3.5 / (0.35 * 96.5), 1])
    assert energy_of(np.zeros(5)).tolist() == [1.0] * 5


def told(
    starts: tuple[int, ...], count: int, *, quiet: tuple[int, ...] = (), meter: int = 4,
    energy: float = 0.5, duration_s: float = 999.0, share: float = 1.0,
) -> Any:  # fmt: skip
    """Return phrases of beats every half second from 1 s on; quiet: starts of quiet segments."""
    beats_s = 1 + 0.5 * np.arange(count, dtype=np.float64)
    inferred = np.zeros(count, bool)
    for start, end in zip(starts, [*starts[1:], count], strict=True):
        if start in quiet:
            inferred[start : start + round(share * (end - start))] = True
    found = Segmentation(starts, (), meter, 0.0)
    return phrases_of(found, beats_s, np.full(count, energy), inferred, duration_s)


@pytest.mark.parametrize(
    ("starts", "count", "quiet", "kinds"),
    [
        ((0, 32, 64), 96, (), "phrase phrase phrase"),
        ((0, 3, 35, 67), 80, (), "intro phrase phrase outro"),
        ((0, 32, 40, 72), 104, (), "phrase bridge phrase phrase"),
        ((0, 32, 64, 96), 128, (0, 64, 96), "intro phrase break outro"),
        ((0, 3, 11, 43), 75, (), "intro intro phrase phrase"),
        ((0, 32, 64, 72), 80, (), "phrase phrase outro outro"),
        ((0, 32, 40, 72), 104, (32,), "phrase break phrase phrase"),
        ((0, 10), 20, (), "intro outro"),
        ((0,), 20, (), "intro"),
        ((0, 8, 16), 24, (8,), "intro break outro"),
    ],
)
def test_kinds_of_segments(
    starts: tuple[int, ...], count: int, quiet: tuple[int, ...], kinds: str
) -> None:
    """Short ones before the first whole phrase are intro, after the last outro, else bridges.

    Quiet ones are breaks, or intro and outro at the ends.
    """
    found = told(starts, count, quiet=quiet)
    assert " ".join(phrase.kind for phrase in found) == kinds
    assert [phrase.start_beat for phrase in found] == list(starts)
    assert sum(phrase.counts for phrase in found) == count
    starts_s = [1 + 0.5 * start for start in starts]
    assert [phrase.start_s for phrase in found] == starts_s
    assert [phrase.end_s for phrase in found] == [*starts_s[1:], 1 + 0.5 * count]


def test_bars_of_three_make_phrases_of_24() -> None:
    """Eight bars of three are a whole phrase; 32 beats are none."""
    kinds = [phrase.kind for phrase in told((0, 24, 56), 80, meter=3)]
    assert kinds == [PhraseKind.PHRASE, PhraseKind.BRIDGE, PhraseKind.PHRASE]


@pytest.mark.parametrize(("share", "kind"), [(0.59, "phrase"), (0.66, "break")])
def test_a_break_is_quiet_for_most_of_it(share: float, kind: str) -> None:
    """More than six tenths of its beats are not played."""
    assert told((0, 32, 64), 96, quiet=(32,), share=share)[1].kind == kind


@pytest.mark.parametrize(
    ("energy", "level"), [(0.39, "low"), (0.4, "medium"), (0.75, "medium"), (0.76, "high")]
)
def test_levels_of_energy(energy: float, level: str) -> None:
    """Low below 0.4, high above 0.75, by the mean of the phrase."""
    (one,) = told((0,), 32, energy=energy)
    assert one.energy_level is EnergyLevel(level)
    assert one.energy == pytest.approx(energy)


@pytest.mark.parametrize(("duration_s", "end_s"), [(99.0, 17.0), (16.8, 16.8), (16.0, 16.5)])
def test_a_last_phrase_ends_with_the_track(duration_s: float, end_s: float) -> None:
    """A beat after the last one, or with the track; never before its last beat."""
    assert told((0,), 32, duration_s=duration_s)[0].end_s == end_s


def test_beats_without_drums_are_inferred() -> None:
    """Kick and cymbals both below four tenths of their usual rise over a bar: five beats.

    With the kick out of beats 20 to 39, their mean is 0.42 at beat 20, 0.21 at 21.
    """
    busy = np.zeros((60, BANDS))
    busy[:, 0] = 1.0
    busy[20:40, 0] = 0.0
    busy[[18, 19, 40, 41], 0] = 1.05
    found = analysis._inferred(cues(60, busy=busy))
    assert np.flatnonzero(found).tolist() == list(range(21, 39))
    busy[:, 8] = busy[:, 9] = 0.5  # cymbals go on
    assert not analysis._inferred(cues(60, busy=busy)).any()
    busy[31:, 8] = busy[31:, 9] = 0.0
    busy[29:31, 8:10] = 0.55
    assert np.flatnonzero(analysis._inferred(cues(60, busy=busy))).tolist() == list(range(32, 39))


def stretch(start_s: float, beats: int, bpm: float, residual_s: float = 0.0) -> Stretch:
    """Return even beats of a tempo."""
    return Stretch(
        start_s + 60 / bpm * np.arange(beats, dtype=np.float64), bpm, residual_s, "steady"
    )


def sections(*given: Stretch) -> list[tuple[float, ...]]:
    """Return sections as (start, end, tempo, sureness), of a track that is 0.8 sure."""
    found = analysis._sections(list(given), 0.8)
    return [(one.start_s, one.end_s, one.tempo_bpm, one.confidence) for one in found]


def test_sections_follow_each_other() -> None:
    """Each ends where the next begins, the last a beat after its last; short ones are less sure.

    20 s are fully sure: 10 s half as much.
    """
    assert sections(stretch(-0.2, 41, 120)) == [(0.0, 20.3, 120.0, 0.8)]
    found = sections(stretch(1, 20, 120), stretch(12, 60, 60), stretch(72, 10, 125))
    assert found == [
        (1.0, 12.0, 120, round(0.8 * 11 / 20, 4)), (12, 72, 60, 0.8), (72, 76.8, 125, 0.192)
    ]  # fmt: skip


@pytest.mark.parametrize(("bpm", "joined"), [(120.5, True), (119.5, True), (120.7, False)])
def test_neighbours_of_one_tempo_are_one_section(bpm: float, joined: bool) -> None:
    """Within half a percent they are one, with the tempo of the first."""
    found = sections(stretch(1, 20, 120), stretch(11, 20, bpm), stretch(50, 20, 90))
    assert len(found) == (2 if joined else 3)
    assert found[0][:3] == (1.0, 50.0 if joined else 11.0, 120.0)


def test_an_unmet_expectation_is_told() -> None:
    """The range, what is heard, and its half and double."""
    assert analysis._unexpected(126.04, (90.0, 100.0)) == (
        "expected 90 to 100 bpm: 126.0 is heard, and neither half (63.0) nor double (252.1) lies "
        "in that range",
    )


LEVEL = Level(np.arange(3), 0.9, 3.0, -1.5, (), half_margin=2.0)


def measured(level: Level = LEVEL, bpm: float = 128.0, **given: Any) -> dict[str, float]:
    """Return measures of 40 beats on bars of four."""
    bars = np.where(np.arange(40) % 4 == 0, 2.0, -1.0)
    parts = given.pop("parts", [stretch(0, 40, bpm, 0.004)])
    found = Segmentation((0,), tuple(range(0, 40, 4)), 4, 0.0)
    return measures_of(level, parts, cues(40, **given), bars, found)


def test_measures_by_hand() -> None:
    """Each measure of an even song, and its limit."""
    plain = measured(beat=np.zeros(40))
    assert plain["clear"] == pytest.approx(0.5)
    assert plain["faint"] == pytest.approx(0.0)
    assert measured(beat=np.full(40, np.log(3 / 7)))["faint"] == pytest.approx(2.0)
    assert measured(beat=np.full(40, -9.0))["clear"] == pytest.approx(expit(-4))
    assert (plain["level margin"], plain["half margin"], plain["tempo head"]) == (3.0, 2.0, -1.5)
    far = measured(replace(LEVEL, margin=9.0, half_margin=8.5, tempo_odds=-5.0, doubt=True))
    assert (far["level margin"], far["half margin"], far["tempo head"]) == (8.0, 8.0, -4.0)
    assert (plain["doubt"], far["doubt"]) == (0.0, 1.0)
    assert measured(replace(LEVEL, half_margin=-1.0))["half margin"] == 0.0
    assert (plain["loose"], plain["pieces"]) == pytest.approx((0.4, 0.0))
    assert plain["phase margin"] == plain["worst part"] == pytest.approx(3.0)


def test_measures_of_several_stretches() -> None:
    """Scatter is by beats: 30 of 10 ms and 10 of 30 ms are 15 ms; the longest tells the tempo."""
    two = [stretch(0, 10, 60, 0.03), stretch(30, 30, 120, 0.01)]
    found = measured(parts=two)
    assert (found["loose"], found["pieces"], found["unusual"]) == pytest.approx((1.5, 1.0, 0.0))
    many = [stretch(20 * number, 8, 120, 0.05) for number in range(5)]
    found = measured(parts=many)
    assert (found["loose"], found["pieces"]) == (4.0, 3.0)


@pytest.mark.parametrize(
    ("bpm", "unusual"),
    [(100, 0), (160, 0), (160 * 2**0.075, 0.5), (100 / 2**0.03, 0.2), (190, 1), (70, 1)],
)
def test_unusual_tempi_are_told_in_parts_of_0_15_octaves(bpm: float, unusual: float) -> None:
    """Nothing from 100 to 160 bpm, all of it 0.15 octaves beyond."""
    assert measured(bpm=bpm)["unusual"] == pytest.approx(unusual)


def test_how_far_the_bar_is_ahead_of_its_rivals() -> None:
    """The mean lead over the best other place of the bar, and in the worst quarter of the song.

    Ones of 2, others -1, but in the last quarter of the bars beat 3 has 1 and beat 1 has 0.
    """
    bars = np.where(np.arange(72) % 4 == 0, 2.0, -1.0)
    bars[np.arange(72) >= 52] = np.tile([0.0, -1, 1, -1], 5)
    found = Segmentation((0,), tuple(range(0, 72, 4)), 4, 0.0)
    ones = range(4, 68, 4)  # 16 bars, with a bar to each side
    leads = {step: [bars[one] - bars[one + step] for one in ones] for step in range(-3, 4) if step}
    margins = measures_of(LEVEL, [stretch(0, 72, 128)], cues(72), bars, found)
    assert margins["phase margin"] == pytest.approx(min(np.mean(lead) for lead in leads.values()))
    worst = min(np.mean(lead[a : a + 4]) for lead in leads.values() for a in (0, 4, 8, 12))
    assert margins["worst part"] == pytest.approx(worst)
    few = Segmentation((0,), (0, 4, 8, 12), 4, 0.0)
    short = measures_of(LEVEL, [stretch(0, 16, 128)], cues(16), bars[:16], few)
    assert short["phase margin"] == short["worst part"] == 0.0


@pytest.mark.parametrize("doubt", [0.0, 1.0])
def test_sureness_is_a_logistic_sum_and_limited_where_the_beat_is_in_doubt(
    doubt: float,
) -> None:
    """1 / (1 + exp(-sum)), at most 0.7 where the beat may be half a beat away."""
    for seed in range(6):
        values = np.random.default_rng(seed).normal(0, 2, 11)
        measures = {name: float(v) for name, v in zip(measured(), values, strict=True)}
        measures["doubt"] = doubt
        for table, found in (
            ("tempo confidence", tempo_confidence(measures)),
            ("confidence", bar_confidence(measures)),
        ):
            weights = dict(weights_of(table))
            total = weights.pop("constant") + sum(w * measures[n] for n, w in weights.items())
            sure = float(expit(total))
            assert found == pytest.approx(min(sure, 0.7) if doubt else sure)


def test_beats_of_stretches_are_joined_without_doubles() -> None:
    """A beat less than half a usual step after the one before goes; none lies before 0."""
    first, second = stretch(-0.1, 4, 120), stretch(1.6, 4, 120)
    assert hearing._joined([first, second]) == pytest.approx([0, 0.4, 0.9, 1.4, 2.1, 2.6, 3.1])
    assert hearing._joined([]).tolist() == []
    assert hearing._joined([stretch(3.0, 1, 120)]).tolist() == [3.0]
    close = Stretch(np.array([0.0, 1.0, 1.5, 2.5, 3.51]), 60.0, 0.0, "live")
    assert hearing._joined([close]).tolist() == [0.0, 1.0, 2.5, 3.51]  # 0.5 of 1 is no more


@pytest.mark.parametrize(("length_s", "gone"), [(3.9, 0), (4.1, 8)])
def test_a_silence_of_four_seconds_stops_the_count(length_s: float, gone: int) -> None:
    """Beats in a longer silence go, those in a shorter one stay; at its end 30 ms are let be."""
    level = np.zeros(2000)
    first = round(5.2 * FRAME_RATE_HZ)
    level[first : first + round(length_s * FRAME_RATE_HZ)] = -51.0
    level[1200:1300] = -49.0
    beats_s = 0.5 * np.arange(1, 30, dtype=np.float64)
    found = hearing._without_stops(beats_s, made_frames(2000, level_db=level))
    assert len(beats_s) - len(found) == gone
    assert {5.0, 9.5} <= set(found.tolist())
    near = hearing._without_stops(np.array([5.21, 9.26, 9.28]), made_frames(2000, level_db=level))
    assert near.tolist() == ([9.28] if gone else [5.21, 9.26, 9.28])


def ringing(strokes: list[float]) -> Any:
    """Return beats every half second, and signals that rise by so much at each."""
    beats_s = 1 + 0.5 * np.arange(len(strokes), dtype=np.float64)
    count = 4 * (int((beats_s[-1] + 2) * FRAME_RATE_HZ) // 4)
    bands = np.zeros((count, BANDS))
    for time_s, height in zip(beats_s, strokes, strict=True):
        frame = round(time_s * FRAME_RATE_HZ)
        bands[frame : frame + 20] = height * (1 - np.arange(20) / 20)[:, None]
    return beats_s, made_frames(count, bands=bands)


@pytest.mark.parametrize(
    ("tail", "kept"),
    [
        ([], 20), ([0.05] * 3, 20), ([0.05] * 8, 20), ([0.05] * 9, 29), ([0.15] * 3, 20),
        ([0.25] * 3, 20), ([0.74, 0.25], 22), ([0.77, 0.25], 21), ([0.32] * 3, 23),
        ([0.05, 0.05, 0.5], 23), ([0.05, 0.05, 0.5, 0.05], 23),
    ],
)  # fmt: skip
def test_a_last_chord_rings_out_without_beats(tail: list[float], kept: int) -> None:
    """Up to eight beats below three tenths of the usual stroke, after one three times as strong.

    More than eight are a quiet end and stay.
    """
    beats_s, frames = ringing([1.0] * 20 + tail)
    assert len(hearing._without_ring_out(beats_s, frames)) == kept


@pytest.mark.parametrize(("off", "kept"), [(-6, 22), (0, 22), (6, 22), (-7, 20), (7, 20)])
def test_strokes_count_within_four_frames_of_a_beat(off: int, kept: int) -> None:
    """A rise is seen from two frames before a stroke to two after: six off the beat is the most.

    A last stroke that begins no farther from its beat counts; else the song rings out before it.
    """
    beats_s, frames = ringing([1.0] * 20 + [0.0, 0.0])
    start = round(beats_s[21] * FRAME_RATE_HZ) + off
    bands = frames.bands.copy()
    bands[start : start + 20] = (1 - np.arange(20) / 20)[:, None]
    found = hearing._without_ring_out(beats_s, replace(frames, bands=bands))
    assert len(found) == kept


def test_a_fade_is_no_ring_out_until_nothing_is_struck() -> None:
    """Strokes that get weaker by and by stay down to a tenth of the usual one."""
    beats_s, frames = ringing([1.0] * 20 + [0.6, 0.35, 0.29, 0.2, 0.12, 0.08, 0.05])
    assert len(hearing._without_ring_out(beats_s, frames)) == 25


@pytest.mark.parametrize(
    ("gap", "on"), [(1.0, True), (1.07, True), (0.93, True), (1.09, False), (0.91, False)]
)
def test_songs_joined_on_the_beat(gap: float, on: bool) -> None:
    """Where the step across a splice is the usual one within 8 %, the two share a grid."""
    steps = np.full(40, 0.5)
    steps[19] *= gap
    beats_s = np.concatenate([[1.0], 1 + np.cumsum(steps)])
    assert hearing._on_a_beat(beats_s, [20]) == ([20] if on else [])
    assert hearing._on_a_beat(beats_s, [0, 10]) == [10]


def test_usual_steps_are_those_of_eight_beats_around() -> None:
    """Steps of 0.5 s for eight beats before and after a splice, of 0.7 s beyond: 0.5 is usual."""
    steps = np.array([0.7] * 12 + [0.5] * 16 + [0.7] * 12)
    beats_s = np.concatenate([[1.0], 1 + np.cumsum(steps)])
    assert hearing._on_a_beat(beats_s, [20]) == [20]
    assert hearing._on_a_beat(beats_s, [12, 13]) == [13]


@pytest.mark.parametrize(("ahead", "size"), [(3.9, 4), (4.1, 3)])
def test_three_beats_a_bar_must_be_better_by_4_nats(
    ahead: float, size: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bars of three need 4 nats more than bars of four."""
    asked = []

    def scored(*given: Any, **_: Any) -> Segmentation:
        asked.append(given[3])
        return Segmentation((0,), (), given[3], 10.0 + (ahead if given[3] == 3 else 0.0))

    monkeypatch.setattr(hearing, "segment", scored)
    odds = np.zeros(40)
    assert hearing._beats_per_bar(odds, odds, odds, odds, [], "") == size
    assert sorted(asked) == [3, 4]
