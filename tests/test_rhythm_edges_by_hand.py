"""Hearing at its edges: spectra, rows and passages, by a second way or by hand (own values)."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_frames import floats, made_frames
from scipy.optimize import brentq
from scipy.special import logit
from scipy.stats import zscore
from test_rhythm_evidence import cues

from aquatempo.rhythm import analysis, features, hearing, hold, meeting, one_level, perbeat
from aquatempo.rhythm.assemble import phrases_of
from aquatempo.rhythm.confidence import bar_confidence, tempo_confidence
from aquatempo.rhythm.features import FRAME_RATE_HZ, extract
from aquatempo.rhythm.grid import Stretch
from aquatempo.rhythm.join_network import SIGNS, network_rows
from aquatempo.rhythm.joins import break_of, novelty, rhythm_rows, rows_of, standard, unit
from aquatempo.rhythm.lines import LinePiece, Observed
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM
from aquatempo.rhythm.phrases import Segmentation
from aquatempo.rhythm.weights import weights_of

Doubles = NDArray[np.float64]


def counted(beats: int, first: int = 0) -> Doubles:
    """Return the numbers of beats from the first up to the last, exclusive."""
    return np.arange(first, beats, dtype=np.float64)


def stretch(start_s: float, beats: int, tempo_bpm: float) -> Stretch:
    """Return even beats of a tempo."""
    return Stretch(start_s + 60 / tempo_bpm * counted(beats), tempo_bpm, 0.001, "steady")


@pytest.mark.parametrize("window", [1024, 4096])
def test_a_full_scale_sine_peaks_at_256(window: int) -> None:
    """A sine of amplitude 1 on a bin has magnitude 256 there, and half of it in both neighbours."""
    wave = features._taper(window) * np.cos(2 * np.pi * 100 * np.arange(window) / window)
    assert np.abs(np.fft.rfft(wave))[99:102] == pytest.approx([128, 256, 128], rel=1e-5)


def test_silence_after_the_end_changes_no_frame() -> None:
    """Sound that ends two frames into a chunk has the frames that it has with silence behind it."""
    sound = np.random.default_rng(1).normal(0, 0.1, 257 * 880 + 40).astype(np.float32)
    short = extract(sound)
    long = extract(np.concatenate([sound, np.zeros(100_000, np.float32)]))
    assert (short.frames, len(short.pitch)) == (4 * 258, 258)
    for ours, theirs in ((short.mel, long.mel), (short.pitch, long.pitch)):
        np.testing.assert_allclose(ours, theirs[: len(ours)], rtol=2e-3)


def mel_corners_hz() -> list[float]:
    """Return 82 places from 30 to 10,000 Hz, even on O'Shaughnessy's mel scale, by root finding."""

    def mel(hz: float) -> float:
        return float(2595 * np.log10(1 + hz / 700))

    marks = np.linspace(mel(30), mel(10_000), 82)[1:-1]
    inner = [float(brentq(lambda hz, m=m: mel(hz) - m, 1, 20_000)) for m in marks]
    return [30.0, *inner, 10_000.0]


@pytest.mark.parametrize(
    ("filters", "corners_hz", "window"),
    [
        (features._mel_filters(), mel_corners_hz(), 1024),
        (features._pitch_filters(), [440 * 2 ** ((n - 69) / 12) for n in range(27, 93)], 4096),
    ],
    ids=["mel", "semitones"],
)
def test_filters_are_triangles(filters: Doubles, corners_hz: list[float], window: int) -> None:
    """1 on its own place, 0 from the neighbours' on; mel after O'Shaughnessy, A4 at 440 Hz.

    Narrow ones at the bottom are a bin wide at least. Nothing above is lost.
    """
    bin_hz = 22_050 / window
    bins_hz = np.arange(window // 2 + 1) * bin_hz
    whole = np.zeros((len(bins_hz), len(corners_hz) - 2))
    whole[: len(filters)] = filters
    for band, (low, peak, high) in enumerate(
        zip(corners_hz, corners_hz[1:], corners_hz[2:], strict=False)
    ):
        sides = [min(low, peak - bin_hz), peak, max(high, peak + bin_hz)]
        wanted = np.interp(bins_hz, sides, [0, 1, 0])
        assert np.abs(whole[:, band] - wanted).max() < 2e-5


def test_classes_of_tempo_span_two_octaves() -> None:
    """55, 110 and 220 bpm are the first, the middle and the last of 49."""
    assert TEMPO_CLASSES_BPM[[0, 24, 48]] == pytest.approx([55, 110, 220])


def test_a_beat_moves_by_half_an_odd_gap() -> None:
    """With 21 frames between beats the front end's values are heard 10.5 frames later."""
    frames = made_frames(400, beat=np.arange(400) / 1000)
    moved = frames.half_a_beat_later(20 + 21 * np.arange(18))
    late = np.arange(60, 360) - 1000 * moved.beat[60:360]
    assert late.mean() == pytest.approx(10.5, abs=0.02)


def test_three_tempi_are_three_sections() -> None:
    """Each is compared with the one before it; times have four decimals, tempi three."""
    given = [stretch(0.00004, 80, 120.12345), stretch(40, 87, 130.0), stretch(80.1, 80, 120.12345)]
    found = analysis._sections(given, 0.8)
    assert [one.tempo_bpm for one in found] == [120.123, 130.0, 120.123]
    assert [one.start_s for one in found] == [0.0, 40.0, 80.1]


def test_the_longest_section_gives_the_tempo(monkeypatch: pytest.MonkeyPatch) -> None:
    """40 s at 120 bpm outweigh 20 s at 130 bpm, though these come later."""
    given = [stretch(0, 80, 120.0), stretch(40, 43, 130.0)]
    beats_s = np.concatenate([one.times_s for one in given])
    count = len(beats_s)
    zeros = np.zeros(count)
    measures = dict.fromkeys({*weights_of("confidence"), *weights_of("tempo confidence")}, 0.0)
    heard = SimpleNamespace(
        beats_s=beats_s, found=Segmentation((0, 32, 64, 96), (0, 4), 4, 0.0), stretches=given,
        measures={**measures, "clear": 0.9, "doubt": 0.0}, cues=cues(count), bars=zeros,
        phrases=zeros, bridges=zeros, ends=zeros, splices=[], kind="",
        level=SimpleNamespace(missed=False, alternatives=lambda tempo_bpm: ()),
    )  # fmt: skip
    monkeypatch.setattr(analysis, "hear", lambda frames, expect_bpm: heard)
    told = analysis.analyse_frames(made_frames(6400), None)
    assert told.tempo_bpm == 120.0
    assert [one.tempo_bpm for one in told.tempo_sections] == [120.0, 130.0]
    assert told.notes == ()
    heard.level = SimpleNamespace(missed=True, alternatives=lambda tempo_bpm: ())
    assert analysis.analyse_frames(made_frames(6400), (70.0, 80.0)).notes == (
        "expected 70 to 80 bpm: 120.0 is heard, and neither half (60.0) nor double (240.0) "
        "lies in that range",
    )


def test_what_is_longer_than_a_phrase_before_the_first_is_an_intro() -> None:
    """40 and 36 counts around two whole phrases belong to the ends of the song."""
    starts, count = (0, 8, 48, 80, 112, 148), 156
    beats_s, none = np.arange(count) / 2, np.zeros(count, bool)
    found = phrases_of(Segmentation(starts, (), 4, 0.0), beats_s, np.zeros(count), none, 99.0)
    assert [one.kind for one in found] == ["intro", "intro", "phrase", "phrase", "outro", "outro"]


@pytest.mark.parametrize(
    ("judge", "table"), [(bar_confidence, "confidence"), (tempo_confidence, "tempo confidence")]
)
def test_each_measure_moves_the_log_odds_by_its_weight(judge: Any, table: str) -> None:
    """From all at 0, where the constant holds, one unit of a measure adds its weight."""
    weights = weights_of(table)
    measures = {**dict.fromkeys(weights, 0.0), "doubt": 0.0}
    assert logit(judge(measures)) == pytest.approx(weights["constant"], abs=1e-9)
    for name in set(weights) - {"constant", "doubt"}:
        more = logit(judge({**measures, name: 0.1}))
        assert more - weights["constant"] == pytest.approx(0.1 * weights[name], abs=1e-9)


def test_beats_at_the_edges_of_a_stop_stay() -> None:
    """Of a silence from frame 400 to 1000, what lies inside goes: 30 ms before its end is out."""
    level_db = np.zeros(1600)
    level_db[400:1000] = -90
    frames = made_frames(1600, level_db=level_db)
    start_s, end_s = 400 / FRAME_RATE_HZ, 1000 / FRAME_RATE_HZ
    beats_s = np.array([1.0, start_s, start_s + 0.001, end_s - 0.031, end_s - 0.03, end_s, 12.0])
    kept = hearing._without_stops(beats_s, frames)
    assert kept.tolist() == [1.0, start_s, end_s - 0.03, end_s, 12.0]


def test_a_beat_on_the_last_frame_is_looked_at_inside_the_track() -> None:
    """Around the last frame there is nothing more to hear: the beats stay as they are."""
    frames = made_frames(400, bands=np.random.default_rng(2).uniform(0, 1, (400, 10)))
    beats_s = np.arange(399, 0, -40)[::-1] / FRAME_RATE_HZ
    assert hearing._without_ring_out(beats_s, frames).tolist() == beats_s.tolist()


@pytest.mark.parametrize(("even", "straight"), [(70, True), (69, False)])
def test_seven_tenths_of_the_beats_make_a_straight_part(even: int, straight: bool) -> None:
    """Of 100 beats 70 on their line will do, 69 will not."""
    off = np.where(np.arange(100) < even, 0.0, 0.04 * np.tile([1.0, -1.0], 50))
    observed = Observed(0.5 * counted(100) + off, np.ones(100))
    pieces = [LinePiece(0, even, 0.0, 0.5), LinePiece(even, 100, 0.0, 0.5)]
    assert hold._straight(pieces, observed) is straight


def test_a_piece_is_on_a_grid_where_it_is_so_at_its_middle() -> None:
    """A piece 0.1 % slower that crosses the grid at its middle agrees; at its start it would not.

    200 beats from 400 on: at their ends they lie 0.05 s off.
    """
    anchor = LinePiece(0, 300, 0.0, 0.5)
    piece = LinePiece(400, 600, 250 - 500 * 0.5005, 0.5005)
    assert hold.agree(anchor, piece)
    assert not hold.agree(anchor, replace(piece, start_s=piece.start_s + 0.05))


def test_rows_of_the_network_by_loops() -> None:
    """Sound is cut at 3 standard deviations; each likeness is told backwards and ahead.

    Lags of 4 to 96 beats, then beats 16 and 32 to either side, in harmony, rhythm and sound.
    """
    made = cues(220, 5)
    made.timbre[7, 3], made.timbre[9, 4] = 50.0, -50.0
    signs = {name: np.zeros(220) for name in SIGNS}
    rows = network_rows(made, signs, made.level)
    first = len(SIGNS) + 3
    assert rows[:, first] == pytest.approx(made.level, abs=1e-6)
    sound = zscore(made.timbre)
    assert rows[:, first + 1 : first + 11] == pytest.approx(np.clip(sound, -3, 3), abs=1e-5)
    assert (rows[7, first + 4], rows[9, first + 5]) == (3.0, -3.0)
    place = first + 11
    for likeness in (rows_of(made), rhythm_rows(made), unit(sound)):
        for back, ahead in (
            *((lag, way) for lag in (4, 8, 16, 24, 32, 48, 64, 96) for way in (0, lag)),
            (32, 16), (64, 32),
        ):  # fmt: skip
            wanted = [
                float(likeness[beat + ahead] @ likeness[beat + ahead - back])
                if beat + ahead - back >= 0 and beat + ahead < 220 else 0.0
                for beat in range(220)
            ]  # fmt: skip
            assert rows[:, place] == pytest.approx(wanted, abs=1e-5)
            place += 1
    assert place == rows.shape[1] == 81


def test_columns_are_standardised() -> None:
    """Each column about its mean in its standard deviations, as scipy has it."""
    rows = np.random.default_rng(4).normal(3, 2, (40, 5))
    assert standard(rows) == pytest.approx(zscore(rows), abs=1e-6)


def novelty_by_loops(rows: Doubles, beat: int) -> float:
    """Return 1 less the mean likeness of eight passages to the best of the 64 beats before."""
    best = [
        max(
            sum(float(rows[at + n] @ rows[at - lag + n]) for n in range(16)) / 16
            for lag in range(at - beat + 16, at - beat + 65)
        )
        for at in range(beat, beat + 32, 4)
    ]
    return 1 - sum(best) / 8


@pytest.mark.parametrize(("at", "source"), [(28, -64), (0, -16), (0, -64), (12, -40)])
def test_a_passage_is_known_where_it_comes_from_the_last_64_beats(at: int, source: int) -> None:
    """A copy of 16 beats counts as known at both ends of what is looked at, as by loops."""
    rows = unit(np.random.default_rng(6).normal(0, 1, (160, 8)))
    rows[100 + at : 116 + at] = rows[100 + source : 116 + source]
    assert novelty(rows)[100] == pytest.approx(novelty_by_loops(rows, 100))


@pytest.mark.parametrize("count", [47, 48, 60])
def test_loops_break_where_both_sides_can_be_heard(count: int) -> None:
    """Likeness of the 16 beats before less that of the 16 after, by loops; else its median."""
    rows = unit(np.random.default_rng(7).normal(0, 1, (count, 4)))
    alike = [float(rows[n] @ rows[n - 16]) if n >= 16 else 0.0 for n in range(count)]
    known = {
        beat: (sum(alike[beat - 16 : beat]) - sum(alike[beat : beat + 16])) / 16
        for beat in range(32, count - 15)
    }
    usual = float(np.median(list(known.values()))) if known else 0.0
    found = break_of(rows, 16)
    assert found == pytest.approx([known.get(beat, usual) for beat in range(count)], abs=1e-9)


@pytest.mark.parametrize(("beats", "parts"), [(8, [(0, 8), (8, 28)]), (7, [(0, 27)])])
def test_a_passage_has_eight_beats_at_least(beats: int, parts: list[tuple[int, int]]) -> None:
    """Seven beats of another period belong to what follows, eight stand."""
    periods = floats([50.0] * beats + [25.0] * 20)
    assert one_level._passages(periods) == parts


@pytest.mark.parametrize("period", [24.1, 25.9])
def test_a_passage_is_counted_within_4_percent(period: float) -> None:
    """A passage 3.6 % faster or slower than 25 frames a beat is followed at its own period."""
    beats = np.round(5 + period * np.arange(16)).astype(int)
    odds = np.full(int(beats[-1]) + 10, -3.0, np.float32)
    odds[beats] = 3.0
    found = one_level._counted(odds, 25.0)
    assert found.frames.tolist() == beats.tolist()
    assert found.periods.mean() == pytest.approx(period, abs=0.15)


def test_two_beats_on_one_frame_have_its_value() -> None:
    """Where a beat starts and ends on one frame, its mean is that frame's, at the end as well."""
    rows = floats(np.arange(20.0)[:, None])
    starts_s = np.array([0.5, 1.9, 2.5])
    assert perbeat._means(rows, starts_s, starts_s, 10.0)[:, 0].tolist() == [5.0, 19.0, 19.0]
    assert perbeat._near(np.array([0.0, 9.9]), 50).tolist() == [[0, 0, 0, 0, 1, 2, 3], [49] * 7]


@pytest.mark.parametrize(("late", "moves"), [(34, True), (38, False)])
def test_a_border_goes_back_by_34_beats_at_most(late: int, moves: bool) -> None:
    """A border 34 beats after the shared beat is mended, one 38 beats after it stays."""
    period_s, meet_s = 0.5 / 1.02, 41.3
    old = Stretch(meet_s + 0.5 * counted(late, -80), 120.0, 0.0, "steady")
    new = Stretch(meet_s + period_s * counted(100, late), 60 / period_s, 0.0, "steady")
    strokes = np.full(int(100 * FRAME_RATE_HZ), 0.1, np.float32)
    for times_s in (old.times_s, meet_s + period_s * np.arange(100)):
        strokes[np.round(times_s * FRAME_RATE_HZ).astype(int)] = 1.0
    _, after = meeting.where_lines_meet([old, new], strokes)
    assert after.times_s[0] == pytest.approx(meet_s if moves else new.times_s[0])


@pytest.mark.parametrize(("beats", "told"), [(22, False), (23, False), (24, True), (25, True)])
def test_a_line_takes_24_beats(beats: int, told: bool) -> None:
    """Fewer than 24 beats tell no line, however exact."""
    assert (meeting._line(1 + 0.5 * counted(beats)) is not None) is told
