"""Spectra, layers of the network and cues at beats, each computed another way."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from rhythm_frames import floats, made_frames
from scipy.signal import stft
from scipy.special import expit, logit, softmax

from aquatempo.errors import InputError
from aquatempo.rhythm import features, network, perbeat
from aquatempo.rhythm.features import FRAME_RATE_HZ, Features, extract
from aquatempo.rhythm.frames import frames_of, from_features, rises
from aquatempo.rhythm.perbeat import cues_of

Doubles = NDArray[np.float64]
RATE_HZ = 22_050


def noise(count: int, seed: int = 1) -> NDArray[np.float32]:
    """Return repeatable noise."""
    return (0.1 * np.random.default_rng(seed).standard_normal(count)).astype(np.float32)


def triangles(corners_hz: Doubles, window: int, bins: int) -> Doubles:
    """Return, bin by bin, triangles from one corner to the next but one, a bin wide at least."""
    wide = RATE_HZ / window
    out = np.zeros((bins, len(corners_hz) - 2))
    for band in range(len(corners_hz) - 2):
        low, peak, high = corners_hz[band : band + 3]
        low, high = min(low, peak - wide), max(high, peak + wide)
        for number in range(bins):
            hz = number * wide
            up, down = (hz - low) / (peak - low), (high - hz) / (high - peak)
            out[number, band] = max(0.0, min(up, down))
    return out


@pytest.mark.parametrize(("window", "hop", "mel"), [(1024, 220, True), (4096, 880, False)])
def test_spectra_are_scipys(window: int, hop: int, mel: bool) -> None:
    """Root of the power of scipy's short-time Fourier transform in triangular bands.

    80 bands evenly on the scale 2595 log10(1 + f / 700) from 30 to 10,000 Hz; 64 semitones from
    MIDI number 28. A sine of full scale reads 256.
    """
    sound = noise(12_000)
    padded = np.concatenate([np.zeros(window // 2), sound, np.zeros(2 * window)])
    _, _, found = stft(
        padded, window="hann", nperseg=window, noverlap=window - hop, boundary=None, padded=False
    )
    power = np.abs(2 * 256 * found.T) ** 2
    if mel:
        ends = 2595 * np.log10(1 + np.array([30, 10_000]) / 700)
        corners = 700 * (10 ** (np.linspace(ends[0], ends[1], 82) / 2595) - 1)
    else:
        corners = 440 * 2 ** ((np.arange(27, 93) - 69) / 12)
    expected = np.sqrt(power @ triangles(corners, window, power.shape[1]))
    heard = extract(sound)
    got = (heard.mel if mel else heard.pitch).astype(float)
    assert len(got) == (14 * 4 if mel else 14)  # 12,000 samples begin 14 slow frames
    assert got == pytest.approx(expected[: len(got)], rel=2e-3, abs=2e-3)


def test_mean_power_is_that_of_frames_that_are_not_silent() -> None:
    """Of 4, 16 and frames below a thousandth of the mean, the mean is 10; of silence it is 0."""
    rows = np.zeros((9, 5), np.float16)
    rows[2], rows[5], rows[7] = 2.0, 4.0, 0.04  # powers 4, 16, 0.0016: the mean of all is 2.2
    assert features._mean_power(rows) == pytest.approx(10.0, rel=1e-3)
    rows[7] = 0.05  # 0.0025: more than a thousandth
    assert features._mean_power(rows) == pytest.approx(20.0025 / 3, rel=1e-3)
    assert features._mean_power(rows * 0) == 0.0
    long = np.ones((25_000, 2), np.float16)
    long[12_000:] = 3.0
    assert features._mean_power(long) == pytest.approx((12_000 + 9 * 13_000) / 25_000)


def test_compression_by_hand() -> None:
    """log10(1 + power / (0.005 mean)): power 0.045 of mean 1 is 1, 0.495 is 2; silence is 0."""
    made = Features(
        np.sqrt(np.array([[0.045, 0.495]] * 4)).astype(np.float16),
        np.sqrt(np.array([[0.09, 0.99]])).astype(np.float16), 1.0, 2.0,
    )  # fmt: skip
    assert made.frames == 4
    assert made.log_mel(1, 3) == pytest.approx(np.array([[1, 2]] * 2), abs=1e-3)
    assert made.log_pitch(0, 1) == pytest.approx(np.array([[1, 2]]), abs=1e-3)
    assert not replace(made, mel_power=0.0).log_mel(0, 4).any()


def layer(random: np.random.Generator, rows: int, columns: int) -> NDArray[np.float32]:
    """Return small random weights."""
    return floats(random.normal(size=(rows, columns)) / np.sqrt(rows))


def small_weights(seed: int) -> dict[str, NDArray[np.float32]]:
    """Return random weights of a network with 6 channels, 8 slow ones and two slow blocks."""
    random = np.random.default_rng(seed)
    wide, slow, patches, filters = 6, 8, 4, 3
    shapes = {
        "patch": (3 * 10, patches), "fold": (15 * patches, wide), "change": (5, filters),
        "pitch": (4 * filters + 64, slow), "down": (4 * wide, slow), "up": (slow, 4 * wide),
        "head": (wide, 3), "tempo": (slow, 49),
    }  # fmt: skip
    for name, count, width in (("fast", 4, wide), ("slow", 2, slow), ("last", 3, wide)):
        for index in range(count):
            shapes[f"{name}{index}.conv"] = (3 * width, width)
            shapes[f"{name}{index}.mix"] = (width, width)
    made = {}
    for name, (rows, columns) in shapes.items():
        made[f"{name}.w"] = layer(random, rows, columns)
        made[f"{name}.b"] = (0.1 * random.normal(size=columns)).astype(np.float32)
    return made


def at(rows: Doubles, place: int) -> Doubles:
    """Return a row, zeros outside."""
    return rows[place] if 0 <= place < len(rows) else np.zeros(rows.shape[1])


def block(weights: Any, name: str, x: Doubles, dilation: int) -> Doubles:
    """Return x and, row by row, what three taps so far apart and a mixing layer make of it."""
    out = x.copy()
    for place in range(len(x)):
        taps = np.concatenate([at(x, place + step * dilation) for step in (-1, 0, 1)])
        hidden = np.maximum(taps @ weights[f"{name}.conv.w"] + weights[f"{name}.conv.b"], 0)
        out[place] += hidden @ weights[f"{name}.mix.w"] + weights[f"{name}.mix.b"]
    return out


def slow_network(weights: Any, mel: Doubles, pitch: Doubles) -> tuple[Doubles, Doubles]:
    """Return the network's outputs, worked out frame by frame (docs/design/training.md)."""

    def dense(name: str, x: Doubles) -> Doubles:
        return np.asarray(x @ weights[f"{name}.w"] + weights[f"{name}.b"])

    fronts = []
    for frame in range(len(mel)):
        near = np.stack([at(mel, frame + step) for step in (-1, 0, 1)])
        bits = [near[:, first : first + 10].ravel() for first in range(0, 71, 5)]
        fronts.append(
            np.maximum(dense("fold", np.maximum(dense("patch", np.array(bits)), 0).ravel()), 0)
        )
    x = np.array(fronts)
    for index, dilation in enumerate((1, 2, 4, 8)):
        x = block(weights, f"fast{index}", x, dilation)
    slow = np.maximum(dense("down", x.reshape(len(pitch), -1)), 0)
    for place in range(len(pitch)):
        taps = np.stack([at(pitch, place + step) for step in (-4, -2, 0, 2, 4)])
        change = np.maximum(dense("change", taps.T), 0)
        registers = [change[first : first + 16].mean(axis=0) for first in (0, 16, 32, 48)]
        slow[place] += np.maximum(dense("pitch", np.concatenate([*registers, pitch[place]])), 0)
    for index, dilation in enumerate((1, 2)):
        slow = block(weights, f"slow{index}", slow, dilation)
    slow = np.maximum(slow, 0)
    x = x + dense("up", slow).reshape(x.shape)
    for index, dilation in enumerate((1, 2, 4)):
        x = block(weights, f"last{index}", x, dilation)
    return dense("head", np.maximum(x, 0)), dense("tempo", slow)


@pytest.mark.parametrize("rows", [2048, 7])
def test_the_network_is_its_layers_frame_by_frame(
    rows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Random weights give what loops over frames, taps and registers give, some rows at a time."""
    monkeypatch.setattr(network, "_ROWS", rows)
    random = np.random.default_rng(3)
    mel, pitch = random.uniform(0, 2, (48, 80)), random.uniform(0, 2, (12, 64))
    weights = small_weights(4)
    heads, tempo = network.forward(weights, floats(mel), floats(pitch))
    expected = slow_network(weights, mel, pitch)
    assert heads == pytest.approx(expected[0], abs=2e-4)
    assert tempo == pytest.approx(expected[1], abs=2e-4)


def test_blocks_of_a_track_are_heard_as_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """In blocks of 25 slow frames that overlap by more than is seen, all is as in one piece."""
    monkeypatch.setattr(network, "_weights", lambda: small_weights(5))
    random = np.random.default_rng(6)
    mel, pitch = random.uniform(0, 9, (480, 80)), random.uniform(0, 9, (120, 64))
    mel[:20], mel[460:] = 0, 0
    made = made_frames(480, mel=mel, pitch=pitch).features
    heads, tempo = network.forward(small_weights(5), made.log_mel(0, 480), made.log_pitch(0, 120))
    sounding = np.where((np.arange(480) >= 20) & (np.arange(480) < 460), 1, 0)
    for size, halo in ((8200, 1400), (25, 40), (50, 30)):
        monkeypatch.setattr(network, "_BLOCK", size)
        monkeypatch.setattr(network, "_HALO", halo)
        heard = network.activations_of(made)
        for column, name in enumerate(("beat", "downbeat", "phrase")):
            assert getattr(heard, name) == pytest.approx(
                expit(heads[:, column]) * sounding, abs=1e-5
            )
        rows = [softmax(tempo[first : first + 25].mean(axis=0)) for first in range(0, 120, 25)]
        assert heard.tempo == pytest.approx(np.array(rows), abs=1e-5)


def test_what_is_50_db_below_the_music_is_silent() -> None:
    """The first frame above 1 / 100,000 of the mean power to the last one are heard."""
    mel = np.zeros((12, 80))
    mel[2], mel[4], mel[9], mel[10] = 0.0031, 0.0033, 0.0033, 0.0031  # 1e-5 is 0.00316 squared
    assert network._sounding(made_frames(12, mel=mel).features).tolist() == [0] * 4 + [1] * 6 + [
        0,
        0,
    ]
    assert not network._sounding(made_frames(12, mel=mel * 0).features).any()


def test_signals_of_spectra() -> None:
    """Bands are means of 3, 3, 4 and seven times 10 mel bands; level is over the loud frames."""
    mel = np.random.default_rng(7).uniform(0, 3, (40, 80))
    mel[:10] *= 0.1
    made = made_frames(40, mel=mel).features
    found = from_features(made, 1.25)
    compressed = made.log_mel(0, 40)
    edges = [0, 3, 6, 10, 20, 30, 40, 50, 60, 70, 80]
    for band in range(10):
        mean = compressed[:, edges[band] : edges[band + 1]].mean(axis=1)
        assert found.bands[:, band] == pytest.approx(mean, abs=1e-5)
    power = (made.mel.astype(float) ** 2).sum(axis=1)
    assert found.level_db == pytest.approx(
        10 * np.log10(power / np.quantile(power, 0.95)), abs=1e-3
    )
    assert found.duration_s == 1.25
    silent = from_features(made_frames(8, mel=np.zeros((8, 80))).features, 0.1)
    assert silent.level_db.tolist() == [-120.0] * 8
    assert silent.sounding == (0.0, 0.0)


def test_many_frames_are_unpacked_some_at_a_time() -> None:
    """Frames around the 4,096th are as if they were alone."""
    mel = np.random.default_rng(8).uniform(0, 3, (4104, 80)).astype(np.float16)
    whole = made_frames(4104, mel=mel).features
    bands = from_features(whole, 41.0).bands
    assert bands[4090:4104, 0] == pytest.approx(whole.log_mel(4090, 4104)[:, :3].mean(axis=1))


def test_what_sounds_is_above_50_db_below_the_loud() -> None:
    """From the first frame above -50 dB to the end of the last one."""
    level = np.full(40, -80.0)
    level[[7, 15, 30]], level[[3, 35]] = -49.9, -50.0
    start_s, end_s = made_frames(40, level_db=level).sounding
    assert (start_s, end_s) == pytest.approx((7 / FRAME_RATE_HZ, 31 / FRAME_RATE_HZ))


def test_rises_are_over_two_frames_and_of_mean_1() -> None:
    """Levels 0 0 2 3 3 1 0 rise by 2, 3, 1 around frames 1, 2 and 3; a fall is no rise."""
    rise = rises(floats([[0, 0], [0, 0], [1, 3], [2, 4], [3, 3], [1, 1], [0, 0]]))
    assert rise == pytest.approx(np.array([0, 2, 3, 1, 0, 0, 0]) * 7 / 6, abs=1e-4)


def test_beats_half_a_beat_later() -> None:
    """What was heard half a beat before is heard now; downbeats half as likely on either side."""
    beat, downbeat = np.zeros(80), np.zeros(80)
    beat[[10, 30, 50]], downbeat[30] = [0.5, 0.9, 0.7], 0.8
    moved = made_frames(80, beat=beat, downbeat=downbeat, phrase=downbeat).half_a_beat_later(
        np.array([20, 40, 60])
    )
    assert moved.beat[[20, 40, 60]] == pytest.approx([0.5, 0.9, 0.7])
    assert np.count_nonzero(moved.beat) == 3
    assert moved.downbeat[[20, 40]] == pytest.approx([0.4, 0.4])
    assert moved.phrase[[20, 40]] == pytest.approx([0.4, 0.4])
    same = made_frames(80, beat=beat).half_a_beat_later(np.array([20]))
    assert same.beat == pytest.approx(beat)


def test_samples_above_full_scale_64_times_are_refused() -> None:
    """64 is loud but may be; 65 is no audio in floats. What is no number is silence."""
    loud = np.full(500, np.nan, np.float32)
    loud[[3, 5, 7]] = [64.0, np.inf, -np.inf]
    assert frames_of([loud, loud]).duration_s == pytest.approx(1000 / 22_050)
    with pytest.raises(InputError) as caught:
        frames_of([loud, loud + 65 * np.isfinite(loud)])
    assert str(caught.value) == (
        "samples up to 129: full scale is 1 (were integers not scaled to floats?)"
    )


@pytest.mark.parametrize("chunk", [512, 3])
def test_cues_at_beats_frame_by_frame(chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Means and rises over each beat, peaks within three frames of it, notes of its slow frames."""
    monkeypatch.setattr(perbeat, "CHUNK", chunk)
    random = np.random.default_rng(9)
    count, beats = 560, 4 * np.cumsum(random.integers(9, 15, 10)) - 35
    bands, pitch = random.uniform(0, 1, (count, 10)), random.uniform(0, 2, (count // 4, 64))
    activations = {name: random.uniform(0, 1, count) for name in ("beat", "downbeat", "phrase")}
    frames = made_frames(count, bands=bands, pitch=pitch, **activations)
    beats_s = beats / FRAME_RATE_HZ
    cues = cues_of(frames, beats_s)
    period = float(np.median(np.diff(beats)))
    rise = np.maximum(np.diff(bands, axis=0, prepend=bands[:1]), 0)
    notes = np.log10(1 + pitch.astype(np.float16).astype(float) ** 2 / 0.005)
    for row, first in enumerate(beats):
        last = beats[row + 1] if row + 1 < len(beats) else min(round(first + period), count)
        near = np.clip(np.arange(first - 3, first + 4), 0, count - 1)
        before = np.clip(near - 7, 0, count - 1)
        assert cues.timbre[row] == pytest.approx(bands[first:last].mean(axis=0), abs=1e-5)
        assert cues.level[row] == pytest.approx(bands[first:last].mean(), abs=1e-5)
        assert cues.busy[row] == pytest.approx(rise[first:last].mean(axis=0), abs=1e-5)
        onset = bands[near].max(axis=0) - bands[before].mean(axis=0)
        assert cues.onset[row] == pytest.approx(onset, abs=1e-5)
        for name, values in activations.items():
            top = np.clip(values[near].max(), 0.005, 0.995)
            assert getattr(cues, name)[row] == pytest.approx(logit(top), abs=1e-3)
        heard = notes[first // 4 : last // 4].mean(axis=0)
        assert cues.bass[row] == pytest.approx(heard[:24], abs=1e-3)
        chroma = [heard[12 + note :: 12].sum() for note in range(12)]
        assert cues.chroma[row] == pytest.approx(chroma, abs=2e-3)


def test_a_lone_beat_lasts_half_a_second() -> None:
    """One beat has no period: half a second is taken."""
    bands = np.zeros((200, 10))
    bands[10:60] = 1.0
    cues = cues_of(made_frames(200, bands=bands), np.array([10 / FRAME_RATE_HZ]))
    assert cues.level.tolist() == [1.0]
    assert cues.level.shape == (1,)
    longer = cues_of(made_frames(200, bands=bands), np.array([11 / FRAME_RATE_HZ]))
    assert longer.level[0] == pytest.approx(49 / 50)
