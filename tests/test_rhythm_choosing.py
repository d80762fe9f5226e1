"""The level of a whole song chosen, and what of the song it is chosen by."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_frames import floats, made_frames, struck
from scipy.special import logit, softmax

from aquatempo.rhythm import levels
from aquatempo.rhythm.beats import log_odds
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import BANDS, Frames, rises
from aquatempo.rhythm.levels import choose_level, inputs_of, readings_in
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM
from aquatempo.rhythm.weights import weights_of

Doubles = NDArray[np.float64]


def harmony_moves(pitch: Doubles, first: int, count: int) -> Doubles:
    """Return 1 - cosine of harmony over six slow frames before and after, slow frame by frame.

    Of mean 1, each for four frames. Harmony: the twelve notes, summed over octaves, without the
    lowest octave, where basses are.
    """
    total, found = len(pitch), []
    heard = np.log10(1 + pitch**2 / 0.005)
    chroma = np.zeros((total, 12))
    for note in range(12, 64):
        chroma[:, note % 12] += heard[:, note]
    for frame in range(count):
        slow = min(max(first // 4 + frame // 4, 1), total - 1)
        before = chroma[max(0, slow - 6) : slow].mean(axis=0)
        after = chroma[slow : slow + 6].mean(axis=0)
        lengths = np.linalg.norm(before) * np.linalg.norm(after)
        found.append(1 - before @ after / lengths)
    return np.asarray(np.array(found) / np.mean(found))


@pytest.mark.parametrize(("first", "count"), [(0, 160), (40, 120), (12, 81), (60, 60), (100, 60)])
@pytest.mark.parametrize("chunk", [8192, 7])
def test_harmony_moves_where_notes_change(
    first: int, count: int, chunk: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As written out frame by frame, in one piece or many, from any frame on."""
    monkeypatch.setattr(levels, "CHUNK", chunk)
    pitch = np.random.default_rng(count).uniform(0, 2, (40, 64)).astype(np.float16)
    pitch[:, :12] *= 5
    frames = made_frames(160, pitch=pitch)
    expected = harmony_moves(pitch.astype(float), first, count)
    assert levels._moves(frames, first, count) == pytest.approx(expected, rel=1e-3, abs=1e-3)


def test_a_chord_that_stays_does_not_move() -> None:
    """Only around slow frame 20, where the chord changes, is there any change; it is fullest there.

    The four frames of that slow frame have as much before as after them.
    """
    pitch = np.zeros((40, 64))
    pitch[:20, 24], pitch[20:, 27] = 1.0, 1.0
    moves = levels._moves(made_frames(160, pitch=pitch), 0, 160)
    assert set(np.flatnonzero(moves > 1e-3)) == set(range(4 * 15, 4 * 26))
    assert set(np.flatnonzero(moves == moves.max())) == {80, 81, 82, 83}
    assert moves.mean() == pytest.approx(1.0, abs=1e-5)


def rising(count: int, strokes: list[tuple[int, float, int]]) -> NDArray[np.float32]:
    """Return bands that jump to a height at some frames and keep it for so many more."""
    level = np.zeros(count)
    for frame, height, length in strokes:
        level[frame : frame + length] = height
    return floats(np.repeat(level[:, None], BANDS, axis=1))


@pytest.mark.parametrize(
    ("strokes", "expected"),
    [
        ([(50, 1.0, 30)], (50, False, 0.0)),
        ([(20, 0.29, 2), (50, 1.0, 30)], (50, False, 0.0)),
        ([(20, 0.31, 30), (80, 1.0, 30), (140, 1.0, 10)], (20, False, 0.0)),
        ([(0, 1.0, 30)], (0, True, 0.0)),
        ([(3, 1.0, 30)], (3, True, 0.0)),
        ([(4, 1.0, 30)], (4, False, 0.0)),
        ([(50, 1.0, 5)], (50, False, 1.0)),
    ],
)
def test_what_sounds_first_is_the_first_strong_rise(
    strokes: list[tuple[int, float, int]], expected: tuple[int, bool, float]
) -> None:
    """A rise of three tenths of a strong one is the entry; within four frames it is at once.

    A sound that goes on is not struck; one that is gone within nine frames is.
    """
    bands = rising(200, [*strokes, *[(150 + 8 * n, 1.0, 4) for n in range(6)]])
    first, at_once, was_struck = levels._entry(bands)
    assert (first, at_once) == expected[:2]
    assert was_struck == pytest.approx(expected[2])


def test_how_struck_a_first_sound_is() -> None:
    """By how much frames 0 to 4 are above 9 to 17, in deviations of the level of the song."""
    bands = rising(200, [(50, 1.0, 9), (59, 0.9, 9), (100, 1.0, 60), (170, 1.0, 30)])
    level = bands[:, 0].astype(float)
    assert levels._entry(bands)[2] == pytest.approx(0.1 / level.std(), rel=1e-4)
    later = rising(200, [(50, 1.0, 5), (55, 0.5, 4), (59, 0.9, 9), (68, 0.0, 9), (100, 1.0, 90)])
    level = later[:, 0].astype(float)
    assert levels._entry(later)[2] == pytest.approx(0.1 / level.std(), rel=1e-4)


def test_silence_has_an_entry_too() -> None:
    """Nothing that rises: the first frame, and nothing is struck."""
    assert levels._entry(rising(200, [])) == (0, True, 0.0)
    assert levels._entry(rising(200, [(183, 1.0, 5)])) == (183, False, 0.0)  # less than 18 are left
    assert levels._entry(rising(201, [(183, 1.0, 5)])) == (183, False, 1.0)


def test_what_sounds_is_cut_out_of_the_track() -> None:
    """Frames 230 to 519 of a track: their odds, strokes and log-odds; the rows of their seconds."""
    random = np.random.default_rng(2)
    downbeat, tempo = random.uniform(0, 1, 600), random.uniform(0, 1, (7, 49))
    bands = random.uniform(0, 1, (600, BANDS))
    frames = made_frames(600, downbeat=downbeat, tempo=tempo, bands=bands)
    odds = floats(random.normal(size=600))
    part = levels._SoundingPart(frames, odds, 230, 519)
    assert part.odds.tolist() == odds[230:520].tolist()
    assert part.downbeat == pytest.approx(logit(np.clip(downbeat[230:520], 0.02, 0.98)), rel=1e-4)
    assert part.tempo == pytest.approx(np.log(tempo[2:6] + 1e-4).mean(axis=0), abs=1e-5)
    for name, columns in {"bass": [0, 1], "middle": [3, 4, 5], "high": [7, 8, 9]}.items():
        assert part.strokes[name] == pytest.approx(rises(floats(bands[230:520][:, columns])))
    assert len(part.harmony) == 290


@pytest.mark.parametrize(("first", "at_once"), [(0, True), (3, True), (4, False)])
def test_only_a_file_may_begin_at_once(first: int, at_once: bool) -> None:
    """What sounds from the fifth frame of the file on was not cut there."""
    part = levels._SoundingPart(made_frames(400), np.zeros(400, np.float32), first, 399)
    assert part.at_once is at_once


def song(
    bpm: float, told_bpm: float, *, late: float = 0.0, count: int = 1600, lead: int = 40
) -> Frames:
    """Return signals with a beat at a tempo, a front end that tells one, and strokes on both.

    late: of a beat, by which strokes and harmony lie after what the front end hears.
    """
    period = 60 * FRAME_RATE_HZ / bpm
    places = np.arange(lead + 20, count - 40, period)
    beats, strokes = np.round(places).astype(int), np.round(places + late * period).astype(int)
    level = np.zeros(count)
    for length in range(6):
        level[strokes + length] = 1 - length / 6
    bands = np.repeat(level[:, None], BANDS, axis=1)
    pitch = np.full((count // 4, 64), 0.05)
    for number, place in enumerate([*strokes, count]):
        pitch[place // 4 :] = 0.05
        pitch[place // 4 :, 20 + 5 * (number % 4)] = 1.5
    tempo = np.full((count // 100 + 1, 49), 0.001)
    tempo[:, int(np.abs(np.log(TEMPO_CLASSES_BPM / told_bpm)).argmin())] = 0.9
    level_db = np.where(np.arange(count) < lead, -90.0, 0.0)
    return made_frames(
        count, beat=struck(count, beats), downbeat=struck(count, beats[::4], 0.8),
        tempo=tempo, bands=bands, pitch=pitch, level_db=level_db,
    )  # fmt: skip


SONGS = {
    "plain": song(120, 120),
    "told half": song(120, 60),
    "fast": song(170, 85),
    "slow": song(66, 132),
    "off the beat": song(100, 100, late=0.5),
    "at once": song(128, 128, lead=0),
}


@pytest.mark.parametrize("name", list(SONGS))
@pytest.mark.parametrize(
    "expect_bpm", [None, (56.0, 70.0), (118.0, 135.0), (82.0, 90.0), (200.0, 201.0)]
)
def test_the_level_is_a_logistic_choice(name: str, expect_bpm: tuple[float, float] | None) -> None:
    """Probabilities are the softmax of weighted inputs; the best one that may be meant is taken.

    Scores are added up here anew from the readings that ``readings_in`` tells.
    """
    frames = SONGS[name]
    counted = readings_in(frames)
    weights = weights_of("level")
    scores = np.array([sum(w * one[key] for key, w in weights.items()) for one in counted.inputs])
    share = softmax(scores)
    ratios = np.array([one.ratio for one in counted.readings])
    tempi = np.array([one.tempo_bpm for one in counted.readings])
    may = np.ones(len(ratios), bool)
    if expect_bpm:
        likely = np.array([share[np.isclose(ratios, ratio)].sum() for ratio in ratios])
        octave = np.isclose(np.abs(np.log2(ratios / ratios[share.argmax()])) % 1, 0)
        may = (tempi >= 0.99 * expect_bpm[0]) & (tempi <= 1.01 * expect_bpm[1])
        may &= octave | (likely >= 0.05)
    level = choose_level(frames, log_odds(frames.beat), frames.sounding, expect_bpm)
    assert level is not None
    assert level.missed == (not may.any())
    open_scores = np.where(may | (not may.any()), scores, -np.inf)
    best = int(open_scores.argmax())
    assert level.odds == pytest.approx(share[ratios == ratios[best]].sum(), abs=1e-6)
    assert level.odds + sum(odds for _, odds in level.others) == pytest.approx(1.0)
    assert [odds for _, odds in level.others] == sorted((o for _, o in level.others), reverse=True)
    ranked = np.sort(open_scores[np.isfinite(open_scores)])
    assert level.margin == pytest.approx(ranked[-1] - ranked[-2] if len(ranked) > 1 else 8.0)
    assert level.tempo_odds == counted.inputs[best]["tempo"]
    chosen = counted.readings[best]
    middles = (chosen.frames[:-1] + chosen.frames[1:]) / 2
    other = inputs_of(levels.LevelReading(middles, chosen.ratio, chosen.tempo_bpm), counted.part)
    half = sum(w * (counted.inputs[best][key] - other[key]) for key, w in weights.items())
    assert level.half_margin == pytest.approx(half, abs=1e-6)
    assert level.against is (other["on"] > counted.inputs[best]["on"])
    signs = [counted.inputs[best][key] for key in ("bass", "middle", "harmony")]
    assert level.doubt is (level.against or half < 1.6 or all(sign < -0.03 for sign in signs))
    assert len(level.beats) == pytest.approx(len(chosen.frames), abs=2)
    near = np.abs(level.beats[:, None] - counted.first - chosen.frames).min(axis=1)
    assert np.median(near) <= (6 if level.against else 2)


@pytest.mark.parametrize(
    ("bass", "middle", "harmony", "between"),
    [
        (-0.04, -0.04, -0.04, True),
        (-0.02, -0.5, -0.5, False),
        (-0.5, -0.02, -0.5, False),
        (-0.5, -0.5, -0.02, False),
    ],
)
def test_bass_backbeat_and_harmony_must_all_lie_between(
    bass: float, middle: float, harmony: float, between: bool
) -> None:
    """Each of the three may clear the beat of doubt by itself."""
    assert levels._between({"bass": bass, "middle": middle, "harmony": harmony}) is between


def test_songs_at_the_level_of_their_strokes() -> None:
    """Beat, strokes and harmony at one tempo are that tempo, whose beats are those put there."""
    for name, bpm in (("plain", 120), ("at once", 128), ("fast", 170)):
        frames = SONGS[name]
        level = choose_level(frames, log_odds(frames.beat), frames.sounding, None)
        assert level is not None
        strokes = np.flatnonzero(frames.beat > 0.5)
        assert set(level.beats[2:-2].tolist()) <= set(strokes.tolist())
        assert np.diff(level.beats).mean() == pytest.approx(60 * FRAME_RATE_HZ / bpm, rel=0.01)
        assert not level.against
        assert not level.missed


def test_a_beat_against_the_front_end_falls_on_strokes() -> None:
    """Where strokes and harmony lie half a beat after what the front end hears, they are taken."""
    frames = SONGS["off the beat"]
    level = choose_level(frames, log_odds(frames.beat), frames.sounding, None)
    assert level is not None
    period = 60 * FRAME_RATE_HZ / 100
    strokes = np.arange(60, 1560, period) + period / 2
    assert level.against
    assert np.abs(level.beats[2:-2, None] - strokes).min(axis=1).max() <= 3
