"""How much a recording repeats itself, and what its bars may tell then (self-made values)."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_frames import made_frames
from scipy.stats import pearsonr
from test_rhythm_choosing import song

from aquatempo.rhythm import hearing, repetition
from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.frames import BANDS, Frames
from aquatempo.rhythm.hearing import hear
from aquatempo.rhythm.repetition import fresh_share, likeness

STEP = 48  # frames a beat: 12 a quarter of it
BEATS = 64
TIMES_S = (12 + STEP * np.arange(BEATS)) / FRAME_RATE_HZ
Doubles = NDArray[np.float64]


def track(strokes: Doubles) -> Frames:
    """Return a track in which bands jump by these heights at quarters of a beat, and fall back.

    strokes: (quarters, bands).
    """
    bands = np.zeros((12 + STEP * BEATS, BANDS))
    for number, heights in enumerate(strokes):
        at = 12 + 12 * number
        bands[at : at + 5] = heights
    return made_frames(len(bands), bands=bands)


def pattern(beats: int, seed: int = 4) -> Doubles:
    """Return strokes of so many beats, drawn once, and repeated to the end."""
    drawn = np.random.default_rng(seed).uniform(0, 1, (4 * beats, BANDS))
    return np.tile(drawn, (BEATS // beats, 1))


def harmony(period: int, spread: float = 1.0) -> Doubles:
    """Return what sounds on each beat: even, and apart from that something drawn anew."""
    drawn = np.random.default_rng(7).standard_normal((period, 12))
    return 1 + spread * np.tile(drawn, (BEATS // period, 1))


EVEN = np.ones((BEATS, 12))


def mixed(share: float, period: int = 4) -> Doubles:
    """Return strokes of which a share repeats itself, the rest being new."""
    return share * pattern(period) + (1 - share) * pattern(BEATS, 9)


@pytest.mark.parametrize("share", [0.3, 0.6, 0.8])
def test_likeness_is_pearsons_correlation(share: float) -> None:
    """Strokes of 4, 8 and 16 beats later correlate as scipy's pearsonr says of centred rows."""
    strokes = mixed(share)
    rows = strokes[: 4 * (BEATS - 1)].reshape(BEATS - 1, -1)
    rows = rows - rows.mean(axis=0)
    for period, found in likeness(track(strokes), TIMES_S, EVEN).items():
        early, late = rows[:-period].ravel(), rows[period:].ravel()
        uncentred = float(early @ late / np.sqrt((early @ early) * (late @ late)))
        assert found == pytest.approx(uncentred, abs=1e-5)
        assert found == pytest.approx(pearsonr(early, late).statistic, abs=0.01)


@pytest.mark.parametrize(
    ("period", "share"), [(4, 4 / 64), (8, 8 / 64), (16, 16 / 64), (32, 1.0), (64, 1.0)]
)
def test_a_loop_tells_as_much_as_one_round_of_it(period: int, share: float) -> None:
    """What begins again after 4, 8 or 16 beats says once what 64 beats repeat; longer is a song."""
    assert fresh_share(track(pattern(period)), TIMES_S, EVEN) == pytest.approx(share, abs=1e-6)


def test_what_is_half_way_like_a_loop_tells_half_as_much() -> None:
    """From a likeness of 0.85 on bars tell less, at 0.95 a loop, in between in proportion."""
    for share in np.linspace(0.6, 0.9, 13):
        frames = track(mixed(float(share)))
        wanted = min(
            1 - np.clip((alike - 0.85) / 0.10, 0, 1) * (1 - period / BEATS)
            for period, alike in likeness(frames, TIMES_S, EVEN).items()
        )
        assert fresh_share(frames, TIMES_S, EVEN) == pytest.approx(wanted)
    shares = [fresh_share(track(mixed(share)), TIMES_S, EVEN) for share in (0.5, 0.75, 0.78, 0.95)]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] == 1.0 > shares[1] > shares[3]


@pytest.mark.parametrize(
    ("period", "spread", "share"), [(4, 1.0, 4 / 64), (64, 1.0, 1.0), (64, 0.01, 4 / 64)]
)
def test_new_chords_over_the_same_drums_are_no_loop(
    period: int, spread: float, share: float
) -> None:
    """A bar of drums repeats itself only where harmony does too, or hardly moves at all."""
    heard = fresh_share(track(pattern(4)), TIMES_S, harmony(period, spread))
    assert heard == pytest.approx(share, abs=1e-6)


@pytest.mark.parametrize("spread", [0.03, 0.1, 0.5])
def test_harmony_is_as_alike_as_it_correlates_beside_noise(spread: float) -> None:
    """Directions of harmony are correlated with a tenth of noise that is always the same."""
    chroma = harmony(64, spread)
    rows = chroma[:-1] / np.sqrt((chroma[:-1] ** 2).sum(axis=1, keepdims=True))
    rows = rows - rows.mean(axis=0)
    for period, found in likeness(track(pattern(4)), TIMES_S, chroma).items():
        early, late = rows[:-period], rows[period:]
        still = 0.01 * len(early)
        both = float((early * late).sum()) + still
        each = (float((part**2).sum()) + still for part in (early, late))
        assert found == pytest.approx(both / np.prod(np.sqrt(list(each))), abs=1e-6)


@pytest.mark.parametrize("beats", [2, 5, 7])
def test_what_is_shorter_than_two_rounds_repeats_nothing(beats: int) -> None:
    """Periods of which the track has no second round are left out, and nothing fails."""
    frames, times_s = track(pattern(4)), TIMES_S[: beats + 1]
    assert likeness(frames, times_s, EVEN).keys() == {p for p in (4, 8, 16) if 2 * p <= beats}
    assert fresh_share(frames, times_s, EVEN) == 1.0


def test_a_song_that_repeats_itself_is_less_sure_of_its_bars(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Bars, and how they lead, shrink with the share that is new; the places of beats stay."""
    frames = song(120, 120, count=3200)
    heard = {}
    for share in (1.0, 0.25):
        monkeypatch.setattr(hearing, "fresh_share", lambda *_, share=share: share)
        found = hear(frames)
        assert found is not None
        heard[share] = found
    whole, quarter = heard[1.0], heard[0.25]
    np.testing.assert_allclose(quarter.bars, 0.25 * whole.bars)
    np.testing.assert_array_equal(quarter.beats_s, whole.beats_s)
    assert np.ptp(quarter.phrases) < np.ptp(whole.phrases)
    lead = "phase margin"
    assert quarter.measures[lead] == pytest.approx(0.25 * whole.measures[lead], abs=0.05)


def test_odds_are_drawn_to_their_mean_in_proportion() -> None:
    """Differences of odds count for the share that is new; what they amount to does not."""
    odds = np.array([-3.0, 1.0, 2.0, 4.0])
    drawn = hearing._told_once(odds, 0.5)
    np.testing.assert_allclose(drawn, [-1.0, 1.0, 1.5, 2.5])
    np.testing.assert_allclose(hearing._told_once(odds, 1.0), odds)


def test_a_stroke_may_rise_over_four_frames() -> None:
    """What a band gains from 4 frames before a place to 4 after it is the stroke there."""
    bands = np.zeros((12 + STEP * 4, BANDS))
    bands[12 + STEP : 12 + STEP + 5] = np.linspace(0.2, 1.0, 5)[:, None]
    bands[12 + 2 * STEP - 3 :] = 0.5
    rows = repetition._struck(made_frames(len(bands), bands=bands), TIMES_S[:4])
    firsts = rows.reshape(3, 4, BANDS)[:, 0, 0]
    np.testing.assert_allclose(firsts, [0.0, 1.0, 0.5])
