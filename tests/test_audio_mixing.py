"""Clicks, calls, ducking, fades and joins: everything on its sample."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from aquatempo import audio
from aquatempo.audio.clicks import sample_at
from aquatempo.errors import InputError
from aquatempo.records.cues import CueKind

RATE_HZ = 44_100


def noise(frames: int, channels: int = 2, seed: int = 1) -> NDArray[np.float32]:
    """Return repeatable noise, shape (frames, channels)."""
    values = np.random.default_rng(seed).uniform(-0.3, 0.3, (frames, channels))
    return values.astype(np.float32)


@given(
    st.lists(st.integers(0, 400), min_size=1, max_size=12, unique=True),
    st.sampled_from([22_050, 44_100, 48_000]),
)
@settings(max_examples=50, deadline=None)
def test_clicks_start_on_their_sample(slots: list[int], rate_hz: int) -> None:
    """Each click starts, at full strength, on the sample nearest to its time."""
    times_s = [0.0123 + slot * 0.0456 for slot in sorted(slots)]  # further apart than a click
    frames = round(20 * rate_hz)
    track = audio.click_track(times_s, [audio.Click.BEAT] * len(times_s), frames, rate_hz)
    silent = np.concatenate(([0.0], track[:-1])) == 0
    starts = np.flatnonzero(silent & (track > 0.2))
    assert starts.tolist() == [round(time_s * rate_hz) for time_s in times_s]


def test_count_one_stands_out_in_pitch_and_level() -> None:
    """Count 1 of an eight is louder and higher than a beat, of a phrase more so."""
    pitches, peaks = [], []
    for strength in (audio.Click.BEAT, audio.Click.EIGHT, audio.Click.PHRASE):
        click = audio.click_track([0.0], [strength], RATE_HZ // 10, RATE_HZ)
        pitches.append(np.argmax(np.abs(np.fft.rfft(click, RATE_HZ))))
        peaks.append(float(click.max()))
    assert pitches == sorted(set(pitches))
    assert peaks == sorted(set(peaks))


def test_clicks_outside_the_track_are_left_out() -> None:
    """Clicks before the start and after the end are dropped; one at the end is cut."""
    track = audio.click_track([-1.0, 0.999, 5.0], [audio.Click.BEAT] * 3, RATE_HZ, RATE_HZ)
    assert len(track) == RATE_HZ
    assert np.flatnonzero(track)[0] == sample_at(0.999, RATE_HZ)


@pytest.mark.parametrize("step", [100, 1_000, 44_100])
def test_clicks_over_blocks_equal_clicks_over_the_whole(step: int) -> None:
    """A song in blocks, however short, gets the clicks that it gets whole."""
    song = noise(RATE_HZ)
    times_s = [-0.1, 0.0, 0.3, 0.31, 0.99, 1.2]
    strengths = [audio.Click.BEAT, audio.Click.PHRASE, *[audio.Click.EIGHT] * 4]
    blocks = (song[start : start + step] for start in range(0, len(song), step))
    pieced = np.concatenate(list(audio.clicks_over(blocks, times_s, strengths, RATE_HZ)))
    whole = song + audio.click_track(times_s, strengths, RATE_HZ, RATE_HZ)[:, None]
    np.testing.assert_allclose(pieced, whole, atol=1e-6)  # float32 rounding


def test_as_many_strengths_as_clicks() -> None:
    """A click without a strength is a slip of the caller, and named."""
    with pytest.raises(InputError, match=r"^2 click times and 1 strengths: need as many$"):
        audio.click_track([0.0, 1.0], [audio.Click.BEAT], 10, RATE_HZ)


def test_each_kind_of_call_has_its_own_figure() -> None:
    """Without speech, every kind of call sounds different from every other."""
    figures = {audio.call_tone(kind, RATE_HZ).tobytes() for kind in CueKind}
    assert len(figures) == len(CueKind)
    for kind in CueKind:
        figure = audio.call_tone(kind, RATE_HZ)
        assert 0.3 < np.abs(figure).max() <= 0.5
        assert abs(figure[0]) < 0.01
        assert abs(figure[-1]) < 0.02  # no clicks at the ends: those are for counts


def test_song_is_lower_exactly_while_a_call_speaks() -> None:
    """Within a call the song is lowered by the depth asked for; well outside not at all."""
    gain = audio.ducking_gain([(1.0, 2.0), (1.9, 2.5)], 4 * RATE_HZ, RATE_HZ, 12.0, 0.1)
    at = [gain[sample_at(time_s, RATE_HZ)] for time_s in (0.89, 0.95, 1.0, 2.0, 2.5, 2.61)]
    # 12 dB: a factor of 10 ** -0.6; half-way along the ramp 6 dB.
    expected = [1.0, 10**-0.3, 10**-0.6, 10**-0.6, 10**-0.6, 1.0]
    assert at == pytest.approx(expected, abs=1e-3)


def test_ducking_needs_sense() -> None:
    """A negative depth is refused with what is needed."""
    with pytest.raises(
        InputError, match=r"^ducking by -3 dB in 0\.1 s: needs depth >= 0, ramp > 0"
    ):
        audio.ducking_gain([], 10, RATE_HZ, -3.0, 0.1)


def test_sounds_are_placed_and_cut_to_the_track() -> None:
    """Sounds land on their sample, add up, and are cut at both ends of the track."""
    ones = np.ones(10, dtype=np.float32)
    track = audio.place_sounds([(-0.5, ones), (0.2, ones), (0.5, ones), (1.8, ones)], 20, 10)
    assert track.tolist() == [1, 1, 2, 2, 2] + [2] * 5 + [2, 2] + [1] * 3 + [0] * 3 + [1, 1]


def test_fades_reach_silence_at_the_ends_only() -> None:
    """A fade starts from silence, leaves the middle alone and ends in silence."""
    faded = audio.fade(np.ones((1000, 2), np.float32), 100, 200)
    assert faded[0, 0] < 0.01
    assert (faded[100:800] == 1.0).all()
    assert faded[-1, 1] < 0.01


def test_crossfade_keeps_power_of_unrelated_sound() -> None:
    """Two unrelated sounds crossfade without a dip or a bump: power within 5 percent."""
    one, other = noise(RATE_HZ, seed=2), noise(RATE_HZ, seed=3)
    joined = audio.crossfade(one, other)
    # 5 percent: chance cross terms of a tenth of a second of noise.
    parts = np.square(joined).reshape(10, -1).mean(axis=1)
    assert parts == pytest.approx(np.square(one).mean(), rel=0.05)
    with pytest.raises(InputError, match="needs the same shape"):
        audio.crossfade(one, other[:-1])


def test_joined_tracks_lie_on_one_timeline() -> None:
    """Tracks start on their sample; gaps are silent; overlaps crossfade; nothing is lost."""
    parts = [(0.5, noise(3000)), (4.0, noise(2000, seed=2)), (5.5, noise(1500, seed=3))]
    joined = np.concatenate(list(audio.join_tracks(iter(parts), 1000)))
    assert len(joined) == 7000
    assert not joined[:500].any()
    np.testing.assert_array_equal(joined[500:3500], parts[0][1])
    assert not joined[3500:4000].any()
    np.testing.assert_array_equal(joined[4000:5500], parts[1][1][:1500])
    np.testing.assert_allclose(
        joined[5500:6000], audio.crossfade(parts[1][1][1500:], parts[2][1][:500])
    )
    np.testing.assert_array_equal(joined[6000:], parts[2][1][500:])


def test_joining_holds_one_track_at_a_time() -> None:
    """A track is asked for only when the one before it is out."""
    asked: list[int] = []

    def parts() -> object:
        for number in range(3):
            asked.append(number)
            yield float(number), noise(1000, seed=number)

    stream = audio.join_tracks(parts(), 1000)  # type: ignore[arg-type]
    next(stream)
    assert asked == [0, 1]


@pytest.mark.parametrize(
    ("starts", "message"),
    [
        ((2.0, 1.0), "track 2 starts at 1.00 s: needs 2.00 s or later"),
        ((0.0, 0.5, 0.9), "track 3 starts at 0.90 s: needs 1.00 s or later, two tracks at most"),
    ],
)
def test_three_tracks_at_once_are_refused(starts: tuple[float, ...], message: str) -> None:
    """Tracks in the wrong order, or three at a time, are refused with the time needed."""
    parts = ((start_s, noise(1000)) for start_s in starts)
    with pytest.raises(InputError, match=message):
        list(audio.join_tracks(parts, 1000))


def test_track_inside_another_is_refused() -> None:
    """A track that would end while the one before it still plays is refused."""
    with pytest.raises(InputError, match="track 2 ends before the track that it fades in over"):
        list(audio.join_tracks(iter([(0.0, noise(1000)), (0.1, noise(100))]), 1000))


def test_rehearsal_stems_can_be_heard_apart() -> None:
    """Clicks and calls are silent outside their places, and the song ducks under calls."""
    song = noise(4 * RATE_HZ)
    call = np.full(RATE_HZ // 2, 0.5, np.float32)
    stems = audio.rehearsal_stems(
        song, RATE_HZ, [(1.0, audio.Click.PHRASE), (1.5, audio.Click.BEAT)], [(2.0, call)], 12.0
    )
    assert np.flatnonzero(stems.clicks)[0] == RATE_HZ
    assert np.flatnonzero(stems.calls)[[0, -1]].tolist() == [
        2 * RATE_HZ,
        2 * RATE_HZ + len(call) - 1,
    ]
    share = stems.song[2 * RATE_HZ :][:1000] / song[2 * RATE_HZ :][:1000]
    open_share = stems.song[:1000] / song[:1000]
    assert share.mean() / open_share.mean() == pytest.approx(10**-0.6, rel=1e-3)  # 12 dB
    rest = stems.mix - stems.song
    np.testing.assert_allclose(rest[:, 0], stems.clicks + stems.calls, atol=1e-6)
    with pytest.raises(InputError, match=r"song of shape \(10,\): needs \(frames, 2\)"):
        audio.rehearsal_stems(np.zeros(10, np.float32), RATE_HZ, [], [])


def test_clicks_alone_need_no_song() -> None:
    """Over silence the rehearsal track is the count click."""
    silent = np.zeros((RATE_HZ, 2), np.float32)
    stems = audio.rehearsal_stems(silent, RATE_HZ, [(0.5, audio.Click.EIGHT)], [])
    assert not stems.song.any()
    np.testing.assert_array_equal(stems.mix[:, 1], stems.clicks)
