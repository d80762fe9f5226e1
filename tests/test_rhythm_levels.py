"""Levels of a song and what speaks for each: worked by hand, or written out place by place."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_frames import floats, made_frames

from aquatempo.errors import RangeError
from aquatempo.records.rhythm import TempoAlternative
from aquatempo.rhythm import levels, pulse
from aquatempo.rhythm.beats import BeatPath
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.levels import Level, LevelReading, inputs_of, readings_of
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM

Doubles = NDArray[np.float64]
COUNT = 240
BEATS = 30 + 20 * np.arange(9)  # frames of a beat every 20
TEMPO_BPM = 120.0


def path_of(frames: object, period: float) -> BeatPath:
    """Return a path with the same period at each beat."""
    places = np.asarray(frames, np.int64)
    return BeatPath(places, np.full(len(places), period, np.float32), 0.0)


def part_of(count: int = COUNT, **curves: object) -> levels._SoundingPart:
    """Return what sounds in even signals, with some curves put in their place."""
    part = levels._SoundingPart(made_frames(count), np.zeros(count, np.float32), 0, count - 1)
    part.entry, part.at_once, part.struck = 30, False, 0.0
    for name, values in curves.items():
        setattr(part, name, values)
    return part


def at(places: object, heights: Any, count: int = COUNT) -> NDArray[np.float32]:
    """Return a curve of 0.1 with some heights at some frames."""
    out = np.full(count, 0.1, np.float32)
    out[np.asarray(places, int)] = heights
    return out


READING = LevelReading(BEATS.astype(float), 1.0, TEMPO_BPM)


def test_a_song_is_counted_in_nine_ways() -> None:
    """Each level starts on the beats of the path that it may start on, or in proportion between.

    Beats lie at 0, 50, 100, then every 60 frames: half a beat after the third is 130, a third 120.
    The last beat ends the song and starts nothing.
    """
    path = path_of([0, 50, 100, 160, 220, 280, 340], 50.0)
    bpm = 60 * FRAME_RATE_HZ / 50
    expected = [
        (1.0, [0, 50, 100, 160, 220, 280]),
        (1.0, [25, 75, 130, 190, 250, 310]),
        (0.5, [0, 100, 220]),
        (0.5, [50, 160, 280]),
        (2.0, [0, 25, 50, 75, 100, 130, 160, 190, 220, 250, 280, 310]),
        (2 / 3, [0, 75, 160, 250]),
        (2 / 3, [25, 100, 190, 280]),
        (2 / 3, [50, 130, 220, 310]),
        (1.5, [0, 100 / 3, 200 / 3, 100, 140, 180, 220, 260, 300]),
        (1.5, [50 / 3, 50, 250 / 3, 120, 160, 200, 240, 280, 320]),
    ]
    found = readings_of(path, 20.0, 400.0)
    assert [reading.ratio for reading in found] == [ratio for ratio, _ in expected]
    for reading, (ratio, beats) in zip(found, expected, strict=True):
        assert reading.frames == pytest.approx(beats)
        assert reading.tempo_bpm == pytest.approx(bpm * ratio)


@pytest.mark.parametrize(
    ("low", "high", "ratios"),
    [
        (61, 239, {1.0, 2 / 3, 1.5}),
        (59, 239, {1.0, 0.5, 2 / 3, 1.5}),
        (61, 241, {1.0, 2.0, 2 / 3, 1.5}),
        (79, 179, {1.0, 2 / 3}),
        (81, 181, {1.0, 1.5}),
        (200, 201, {1.0}),  # the path itself is always one
    ],
)
def test_levels_outside_the_range_are_not_counted(
    low: float, high: float, ratios: set[float]
) -> None:
    """Of a path of 120 bpm the half is 60, the double 240, two thirds 80, three halves 180."""
    path = path_of(50 * np.arange(10), 60 * FRAME_RATE_HZ / 120)
    assert {reading.ratio for reading in readings_of(path, low, high)} == ratios


def test_tempi_of_a_path_are_told_without_its_outermost_twentieths() -> None:
    """Of periods 40 to 60 the 95th of a hundred is 59, the middle 50, the 5th 41."""
    path = BeatPath(np.arange(21), np.arange(40, 61, dtype=np.float32), 0.0)
    expected = [60 * FRAME_RATE_HZ / period for period in (59, 50, 41)]
    assert levels._tempi(path) == pytest.approx(expected, rel=1e-6)


def test_a_count_on_which_something_is_struck() -> None:
    """Rises above twice the mean, within two frames of a beat, make it struck: here 2 of 4."""
    strokes = at([31, 52, 70, 100], [2.5, 2.0, 9.0, 9.0])
    beats = np.array([30.0, 50.0, 70.0, 90.0])
    assert pulse.struck_share(strokes, beats) == pytest.approx(0.5)
    assert pulse.struck_share(strokes, beats[:1]) == 1.0
    assert pulse.struck_share(strokes, beats[3:]) == 0.0


def test_strokes_of_all_bands_are_looked_for_on_the_counts() -> None:
    """A reading tells the share of its counts with a stroke: 3 of 9."""
    part = part_of(all_strokes=at(BEATS[[0, 2, 5]], 3.0))
    assert inputs_of(READING, part)["struck on"] == pytest.approx(1 / 3)


def test_a_peak_within_two_frames_is_on_the_beat() -> None:
    """Each place gets the highest value up to two frames away, at the edges the edge's."""
    values = floats([5, 0, 0, 1, 2, 3, 0, 0, 0, 4])
    places = np.array([-4.0, 2.4, 2.6, 5.0, 6.6, 7.0, 30.0])
    assert pulse.best_near(values, places).tolist() == [5, 5, 3, 3, 4, 4, 4]


def test_on_and_between_and_thirds() -> None:
    """Means of the best log-odds on the beats, midway and at the better of the two thirds.

    Peaks lie two frames off: as far as a beat may be from its peak.
    """
    odds = np.full(COUNT, -3.0, np.float32)
    odds[BEATS - 2] = [1, 2, 3, 4, 5, 6, 7, 8, 9]
    odds[BEATS[:-1] + 12] = 0.5
    odds[BEATS[:-1] + 7] = np.arange(8) / 4
    heard = inputs_of(READING, part_of(odds=odds))
    assert heard["on"] == pytest.approx(5.0)
    assert heard["between"] == pytest.approx(0.5)
    assert heard["thirds"] == pytest.approx(0.875)  # after the second third lies 0.5 too
    odds[BEATS[:-1] + 13] = 2.5
    assert inputs_of(READING, part_of(odds=odds))["thirds"] == pytest.approx(2.5)
    assert heard["uneven by two"] == pytest.approx(1.0)  # 2 4 6 8 are 5, 1 3 5 7 are 4
    assert heard["uneven by three"] == pytest.approx(1.5)  # 6, 5 and 4: 6 less the mean of 5, 4


@pytest.mark.parametrize(
    ("values", "cycle", "expected"),
    [
        ([1, 4, 2, 8], 2, 4.5),  # 6 less 1.5
        ([1, 4, 2, 8, 99], 2, 4.5),  # the last cycle is not whole
        ([3, 1, 1, 5, 1, 1, 4], 3, 3.0),
        ([1, 2, 3, 8], 4, 6.0),
        ([1, 2, 3], 4, 0.0),
    ],
)
def test_the_strongest_place_of_a_cycle_above_the_others(
    values: list[float], cycle: int, expected: float
) -> None:
    """The mean of the strongest place less that of all others, over whole cycles."""
    assert pulse.unevenness(np.array(values, float), cycle) == pytest.approx(expected)


def test_bars_are_fours_of_beats() -> None:
    """Downbeats of 3 on every fourth beat over -1 stand 4 above the others."""
    downbeat = np.full(COUNT, -1.0, np.float32)
    downbeat[BEATS[1::4]] = 3.0
    assert inputs_of(READING, part_of(downbeat=downbeat))["bars"] == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("name", "others"), [("bass", "middle"), ("middle", "high"), ("high", "bass")]
)
def test_strokes_lean_on_the_beats(name: str, others: str) -> None:
    """0.8 on the beats and 0.2 between lean by 0.6; every second beat at half by 1 / 3."""
    curve = at([*BEATS, *(BEATS[:-1] + 10)], [0.8] * 9 + [0.2] * 8)
    half = at(BEATS, [0.8, 0.4, 0.8, 0.4, 0.8, 0.4, 0.8, 0.4, 0.8])
    part = part_of()
    part.strokes = {"bass": part.harmony * 0, "middle": part.harmony * 0, "high": part.harmony * 0}
    part.strokes[name] = curve
    heard = inputs_of(READING, part)
    assert heard[name] == pytest.approx(0.6, abs=1e-5)
    assert heard[f"{name} by two"] == pytest.approx(0.0, abs=1e-6)
    assert heard[others] == heard["harmony"] == pytest.approx(0.0)
    part.strokes[name] = half
    assert inputs_of(READING, part)[f"{name} by two"] == pytest.approx(1 / 3, abs=1e-5)
    part.strokes[name], part.harmony = part.strokes[others], curve
    heard = inputs_of(READING, part)
    assert (heard["harmony"], heard[name]) == pytest.approx((0.6, 0.0), abs=1e-5)
    part.harmony = half
    assert inputs_of(READING, part)["harmony by two"] == pytest.approx(1 / 3, abs=1e-5)


def test_one_beat_has_no_second() -> None:
    """A lone stroke is as uneven by two as can be."""
    assert pulse.by_two(at([50], [0.5]), np.array([50.0])) == pytest.approx(1.0, abs=1e-5)


def test_strokes_may_also_lean_off_the_beats() -> None:
    """0.2 on the beats and 0.8 between lean by -0.6; nothing at all does not lean."""
    curve = at([*BEATS, *(BEATS[:-1] + 10)], [0.2] * 9 + [0.8] * 8)
    middles = np.asarray(BEATS[:-1] + 10.0, np.float64)
    assert pulse.lean(curve, BEATS.astype(float), middles) == pytest.approx(-0.6, abs=1e-5)
    assert pulse.lean(curve * 0, BEATS.astype(float), middles) == 0.0


@pytest.mark.parametrize(
    ("bpm", "classes"),
    [(55.0, (0, 1)), (40.0, (0, 1)), (220.0, (47, 48)), (110.0, (23, 24, 25)), (113, (24, 25))],
)
def test_the_tempo_itself_is_the_best_of_three_classes(
    bpm: float, classes: tuple[int, ...]
) -> None:
    """The class nearest to a tempo and its neighbours count: 110 is the 25th of 49."""
    reading = LevelReading(BEATS.astype(float), 1.0, bpm)
    for one in range(49):
        tempo = np.full(49, -9.0, np.float32)
        tempo[one] = -1.0
        expected = -1.0 if one in classes or (bpm == 113 and one == 26) else -9.0
        heard = inputs_of(reading, part_of(tempo=tempo))
        assert heard["tempo"] == pytest.approx(expected)


@pytest.mark.parametrize(("bpm", "far"), [(125.0, 0.0), (250.0, 1.0), (62.5, 1.0), (31.25, 4.0)])
def test_far_from_usual_is_squared_octaves_from_125(bpm: float, far: float) -> None:
    """An octave up or down counts 1, two count 4."""
    reading = LevelReading(BEATS.astype(float), 1.0, bpm)
    assert inputs_of(reading, part_of())["far from usual"] == pytest.approx(far)


@pytest.mark.parametrize(
    ("entry", "fits"), [(30, 1.0), (40, -1.0), (35, 0.0), (33, 0.5878), (52, 0.809), (10, 1.0)]
)
@pytest.mark.parametrize("at_once", [True, False])
def test_the_first_sound_fits_by_its_phase(entry: int, fits: float, at_once: bool) -> None:
    """The cosine of its phase among beats of 20 frames: 3 frames are cos 54, 2 are cos 36 degrees.

    Where the file begins with sound it may have been cut: that is weighed apart, with the stroke.
    """
    heard = inputs_of(READING, part_of(entry=entry, at_once=at_once, struck=0.5))
    expected = (0.0, fits, fits / 2) if at_once else (fits, 0.0, 0.0)
    names = ("entry", "entry at once", "stroke at once")
    assert [heard[name] for name in names] == pytest.approx(expected, abs=1e-3)


def test_the_phase_of_the_first_sound_is_by_the_tempo_of_the_first_beats() -> None:
    """Of 17 beats of 20 frames and 40 of 30, 10 frames are half a beat: the first 16 steps hold."""
    frames = np.concatenate([30 + 20.0 * np.arange(17), 350 + 30.0 * np.arange(1, 40)])
    part = part_of(1600, entry=20)
    assert inputs_of(LevelReading(frames, 1.0, 200.0), part)["entry"] == pytest.approx(-1.0)


@pytest.mark.parametrize("off", [-6, -2, 0, 1, 4])
def test_swung_beats_move_onto_strokes(off: int) -> None:
    """Beats that lie up to six frames beside strong strokes of all bands move onto them."""
    part = part_of()
    strokes = {"bass": BEATS + off, "middle": BEATS + off, "high": BEATS + off}
    part.strokes = {name: at(places, 1.0) for name, places in strokes.items()}
    assert levels._to_strokes(part, BEATS) == off


@pytest.mark.parametrize(("height", "moved"), [(1.6, 0), (1.7, 6)])
def test_a_stroke_six_frames_off_must_be_stronger_by_the_square_root_of_e(
    height: float, moved: int
) -> None:
    """exp(-(6 / 6)^2 / 2) is 0.607: 1 on the beat holds against 1.6, not against 1.7, beside it."""
    part = part_of()
    part.strokes = {"bass": at(BEATS, 1.0) - 0.1, "high": at(BEATS + 6, height) - 0.1}
    part.strokes["high"][BEATS + 6] = height
    part.strokes["bass"][BEATS] = 1.0
    assert levels._to_strokes(part, BEATS) == moved


def test_beats_off_by_parts_of_a_beat() -> None:
    """Three of five beats a quarter of a beat away are usually off by 0.25; whole beats by 0."""
    wanted = np.array([0.0, 20, 40, 60, 100])
    assert levels._off(np.array([0, 20, 40, 60]), wanted) == pytest.approx(0.0)
    assert levels._off(np.array([5, 25, 45, 60, 100]), wanted) == pytest.approx(0.25)
    assert levels._off(np.array([15, 35, 50]), wanted) == pytest.approx(0.25)
    assert levels._off(np.array([70, 70, 70]), wanted) == pytest.approx(0.25)  # of 40
    assert levels._off(np.array([-4, -8, 104, 108]), wanted) == pytest.approx(0.2)


def test_limits_give_a_hundredth_to_what_is_expected() -> None:
    """120 to 150 bpm is looked for from 118.8 to 151.5; without a range from 55 to 215."""
    assert levels._limits((120.0, 150.0)) == pytest.approx((118.8, 151.5))
    assert levels._limits(None) == (55.0, 215.0)
    assert levels._limits((0.5, 0.6)) == pytest.approx((0.495, 0.606))


@pytest.mark.parametrize("wrong", [(150.0, 120.0), (120.0, 120.0), (0.0, 120.0), (-5.0, 90.0)])
def test_what_is_no_range_is_refused(wrong: tuple[float, float]) -> None:
    """The lower number, above 0, comes first; the message says how."""
    with pytest.raises(RangeError) as caught:
        levels._limits(wrong)
    assert str(caught.value) == (
        f"expected tempo {wrong[0]:g} bpm: needs 20 to {wrong[1]:g} bpm "
        "(give the lower number first, as in 120-150)"
    )


def ways(*given: tuple[float, float]) -> list[LevelReading]:
    """Return readings of a path of 120 bpm by (ratio, phase)."""
    beats = BEATS.astype(float)
    return [LevelReading(beats + phase, ratio, 120 * ratio) for ratio, phase in given]


WAYS = ways((1, 0), (1, 10), (0.5, 0), (2, 0), (2 / 3, 0), (1.5, 0))


@pytest.mark.parametrize(
    ("share", "range_bpm", "expected"),
    [
        ([0.9, 0.04, 0.02, 0.02, 0.01, 0.01], None, [0, 1, 2, 3, 4, 5]),
        ([0.9, 0.04, 0.02, 0.02, 0.01, 0.01], (100, 130), [0, 1]),
        ([0.9, 0.04, 0.02, 0.02, 0.01, 0.01], (120, 120), [0, 1]),
        ([0.9, 0.06, 0.02, 0.02, 0.0, 0.0], (50, 70), [2]),  # half and double always may be
        ([0.9, 0.06, 0.02, 0.02, 0.0, 0.0], (200, 250), [3]),
        ([0.9, 0.051, 0.0, 0.0, 0.0, 0.049], (140, 190), []),  # 3:2 where it is likely
        ([0.9, 0.049, 0.0, 0.0, 0.0, 0.051], (140, 190), [5]),
        ([0.9, 0.0, 0.0, 0.0, 0.1, 0.0], (70, 90), [4]),
        ([0.1, 0.0, 0.1, 0.0, 0.0, 0.8], (50, 130), [0, 1, 2]),
        ([0.06, 0.0, 0.01, 0.0, 0.9, 0.03], (50, 250), [0, 1, 4]),
    ],
)
def test_what_may_be_meant_in_a_range(
    share: list[float], range_bpm: tuple[float, float] | None, expected: list[int]
) -> None:
    """In the range: the likeliest level, its half and its double, others from one in twenty on."""
    assert levels._expected(WAYS, np.array(share), range_bpm) == expected


def test_levels_add_up_over_their_phases() -> None:
    """Two phases of one level are one level, told by its tempo over the chosen one."""
    share = np.array([0.3, 0.2, 0.1, 0.2, 0.15, 0.05])
    found = levels._by_ratio(WAYS, share, 0.5)
    assert found == pytest.approx({2.0: 0.5, 1.0: 0.1, 4.0: 0.2, 4 / 3: 0.15, 3.0: 0.05})


def test_half_and_double_are_always_told() -> None:
    """The chosen level first, then the others heard, then half and double where not among them."""
    level = Level(BEATS, 0.61236, 1.0, -1.0, ((1.5, 0.2), (0.5, 0.1)))
    assert level.alternatives(120.004) == (
        TempoAlternative(120.0, 0.6124),
        TempoAlternative(180.01, 0.2),
        TempoAlternative(60.0, 0.1),
        TempoAlternative(240.01, 0.0),
    )
    bare = Level(BEATS, 1.0, 1.0, -1.0, ((0.505, 0.0), (1.98, 0.0)))
    told = [one.tempo_bpm for one in bare.alternatives(100.0)]
    assert told == [100.0, 50.5, 198.0, 200.0]
    assert (bare.missed, bare.half_margin, bare.against) == (False, 0.0, False)


def test_tempo_classes_are_even_steps_of_two_octaves() -> None:
    """49 classes from 55 to 220 bpm, 24 steps an octave."""
    assert TEMPO_CLASSES_BPM[[0, 24, 48]] == pytest.approx([55, 110, 220])
    assert np.diff(np.log2(TEMPO_CLASSES_BPM)) == pytest.approx(np.full(48, 1 / 24))
