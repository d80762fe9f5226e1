"""The learned front end: spectra, network, weights, and what it hears in plain sounds."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.errors import InputError
from aquatempo.rhythm import network
from aquatempo.rhythm.analysis import analyse
from aquatempo.rhythm.features import FRAME_RATE_HZ, SAMPLE_RATE_HZ, extract, log_mel
from aquatempo.rhythm.network import TEMPO_CLASSES_BPM, Activations, activations

Sound = npt.NDArray[np.float32]
Track = Callable[[float, float], tuple[Sound, npt.NDArray[np.float64]]]

TORCH = Path(__file__).parent / "authorities" / "network_torch.json"


def click_track(tempo_bpm: float, length_s: float) -> tuple[Sound, npt.NDArray[np.float64]]:
    """Return decaying 1,500 Hz tones on each beat, the first of four louder, and the beats."""
    time = np.arange(int(0.1 * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    tone = np.sin(2 * np.pi * 1_500 * time) * np.exp(-time / 0.008)
    beats = np.arange(1.0, length_s - 1, 60 / tempo_bpm)
    sound = np.zeros(int(length_s * SAMPLE_RATE_HZ))
    for index, beat in enumerate(beats):
        start = round(beat * SAMPLE_RATE_HZ)
        sound[start : start + len(tone)] += tone * (1.0 if index % 4 == 0 else 0.6)
    return sound.astype(np.float32), beats


def drum_track(tempo_bpm: float, length_s: float) -> tuple[Sound, npt.NDArray[np.float64]]:
    """Return kick, snare and hats on eighths with a bass on beat one, and the beats."""
    rng = np.random.default_rng(1)
    time = np.arange(int(0.2 * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    noise = rng.normal(size=len(time))
    kick = np.sin(2 * np.pi * (50 * time + 5 * (1 - np.exp(-time / 0.02)))) * np.exp(-time / 0.08)
    snare = 0.4 * noise * np.exp(-time / 0.05)
    hat = 0.15 * np.diff(noise, append=0) * np.exp(-time / 0.015)
    beats = np.arange(1.0, length_s - 1, 60 / tempo_bpm)
    sound = np.zeros(int(length_s * SAMPLE_RATE_HZ))

    def put(stroke: npt.NDArray[np.float64], at_s: float) -> None:
        start = round(at_s * SAMPLE_RATE_HZ)
        sound[start : start + len(stroke)] += stroke[: len(sound) - start]

    for index, beat in enumerate(beats):
        put(snare if index % 2 else kick, beat)
        put(hat, beat)
        put(hat, beat + 30 / tempo_bpm)
        if index % 4 == 0:
            bar = np.arange(int(200 / tempo_bpm * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
            root_hz = (55.0, 73.4, 65.4, 49.0)[index // 4 % 4]
            put(0.3 * np.sin(2 * np.pi * root_hz * bar) * np.exp(-bar), beat)
    return sound.astype(np.float32), beats


def peaks_s(
    activation: Sound, beats_s: npt.NDArray[np.float64], offset_s: float
) -> npt.NDArray[np.float64]:
    """Return the time of the highest point within 30 ms of each beat, between frames."""
    times = []
    for beat in beats_s:
        near = round((beat - offset_s) * FRAME_RATE_HZ)
        top = near - 3 + int(activation[near - 3 : near + 4].argmax())
        before, here, after = activation[top - 1 : top + 2].tolist()
        between = 0.5 * (before - after) / (before - 2 * here + after)
        times.append((top + between) / FRAME_RATE_HZ + offset_s)
    return np.array(times)


def heard_tempo_bpm(heard: Activations) -> float:
    """Return the tempo class with the best odds over the whole sound."""
    return float(TEMPO_CLASSES_BPM[np.log(heard.tempo + 1e-9).mean(axis=0).argmax()])


@settings(max_examples=20, deadline=None)
@given(
    cuts=st.lists(st.integers(0, 700_000), max_size=6),
    length=st.integers(1, 700_000),
)
def test_blocks_do_not_matter(cuts: list[int], length: int) -> None:
    """However audio is cut into blocks, the spectra are the same to the bit."""
    sound = np.random.default_rng(length).normal(size=length).astype(np.float32)
    whole = extract(sound)
    parts = extract(np.split(sound, sorted(cut for cut in cuts if cut < length)))
    assert whole.frames == 4 * (length // 880 + 1)
    assert np.array_equal(whole.mel, parts.mel)
    assert np.array_equal(whole.pitch, parts.pitch)


def test_two_channels_are_refused() -> None:
    """Audio that was not mixed down is refused in words."""
    with pytest.raises(InputError) as caught:
        extract(np.zeros((2, 1_000), np.float32))
    assert str(caught.value) == (
        "audio of shape (2, 1000): needs one dimension, mono samples "
        "(were the channels not mixed down?)"
    )


def test_network_agrees_with_torch() -> None:
    """The numpy network gives PyTorch's outputs for the packaged weights within 1e-4."""
    authority = json.loads(TORCH.read_text("utf-8"))
    packaged = resources.files("aquatempo.rhythm").joinpath("data/network.npz").read_bytes()
    assert hashlib.sha256(packaged).hexdigest() == authority["weights_sha256"]
    frame, band = np.arange(600)[:, None], np.arange(80)[None]
    slow, note = np.arange(150)[:, None], np.arange(64)[None]
    mel = 2 + 2 * np.sin(0.37 * frame + 0.11 * band) * np.cos(0.013 * frame * (1 + band % 7))
    pitch = 1.5 + 1.5 * np.sin(0.21 * slow * (1 + note % 5) + 0.4 * note)
    heads, tempo = network.forward(
        network._weights(), mel.astype(np.float32), pitch.astype(np.float32)
    )
    assert np.abs(heads[::20] - authority["heads_every_20_frames"]).max() < 1e-4
    assert np.abs(tempo[::30] - authority["tempo_every_30_frames"]).max() < 1e-4


@pytest.mark.long
def test_blocks_of_the_network_do_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    """Worked on in blocks with overlap, a long track gives the same evidence."""
    heard = extract(drum_track(126, 140)[0])
    whole = network.activations_of(heard)
    monkeypatch.setattr(network, "_BLOCK", 1_500)  # a minute instead of five
    parts = network.activations_of(heard)
    for name in ("beat", "downbeat", "phrase", "tempo"):
        difference = np.abs(getattr(whole, name) - getattr(parts, name)).max()
        assert difference < 1e-4, name  # rounding alone


def test_level_does_not_matter() -> None:
    """From 40 dB softer to 20 dB louder, the evidence moves by rounding only."""
    sound, _ = drum_track(132, 30)
    plain = activations(sound)
    for gain in (0.01, 0.37, 10.0):
        scaled = activations(sound * np.float32(gain))
        assert np.abs(scaled.beat - plain.beat).max() < 0.02, gain  # of a probability
        assert np.abs(scaled.downbeat - plain.downbeat).max() < 0.02, gain


def test_same_sound_same_answer() -> None:
    """Heard twice, a sound gives the same evidence to the bit."""
    sound, _ = drum_track(120, 20)
    assert np.array_equal(activations(sound).beat, activations(sound.copy()).beat)


@pytest.mark.parametrize("tempo_bpm", [63.0, 76.0, 100.0, 117.3, 128.0, 144.0, 165.0, 190.0])
@pytest.mark.parametrize("track", [click_track, drum_track], ids=["clicks", "drums"])
def test_latency(track: object, tempo_bpm: float) -> None:
    """On clicks and drums, beats are marked within 2 ms of where they are, at the right level."""
    assert callable(track)
    sound, beats = track(tempo_bpm, 32.0)
    heard = activations(sound)
    inner = beats[4:-4]
    error_s = peaks_s(heard.beat, inner, heard.offset_s) - inner
    assert abs(np.median(error_s)) < 0.002
    assert np.percentile(np.abs(error_s), 90) < 0.005  # half a frame
    nearest = np.round((inner - heard.offset_s) * FRAME_RATE_HZ).astype(int)
    assert heard.beat[nearest].min() > 0.3
    assert abs(np.log2(heard_tempo_bpm(heard) / tempo_bpm)) < 0.06  # one and a half classes


def by_place(track: Track, tempo_bpm: float) -> list[float]:
    """Return the mean of the downbeat head on each of the four beats of the bar."""
    sound, beats = track(tempo_bpm, 40.0)
    heard = activations(sound)
    frames = np.round((beats[8:-8] - heard.offset_s) * FRAME_RATE_HZ).astype(int)
    return [float(heard.downbeat[frames[place::4]].mean()) for place in range(4)]


@pytest.mark.parametrize("tempo_bpm", [100, 124, 140])
def test_downbeat_is_on_one(tempo_bpm: float) -> None:
    """With an accent on the first of four clicks, the downbeat head marks that one alone."""
    one, *others = by_place(click_track, tempo_bpm)
    assert one > 0.5 > max(others)


def test_downbeat_of_drums_is_on_one() -> None:
    """With the same drums on one and three, a bass on one decides; two and four never count.

    The head alone is not sure of three against one at every tempo; the hearing of the track is.
    """
    one, two, three, four = by_place(drum_track, 124)
    assert one > 0.5
    assert one > three
    assert max(two, four) < 0.05
    sound, beats = drum_track(124, 40.0)
    ones = np.array(analyse(sound, SAMPLE_RATE_HZ).downbeats_s)
    assert np.abs(ones[:, None] - beats[::4]).min(axis=1).max() < 0.02


def test_silence_has_no_beat() -> None:
    """Neither digital silence nor the silence around music holds a beat."""
    assert activations(np.zeros(10 * SAMPLE_RATE_HZ, np.float32)).beat.max() < 0.1
    sound, _ = drum_track(128, 30)
    gap = np.zeros(8 * SAMPLE_RATE_HZ, np.float32)
    heard = activations(np.concatenate([gap, sound, gap]))
    before = heard.beat[: int(7 * FRAME_RATE_HZ)]
    after = heard.beat[-int(6 * FRAME_RATE_HZ) :]
    assert max(before.max(), after.max()) < 0.2


@pytest.mark.parametrize("samples", [0, 1, 219, 5_000])
def test_very_short_sounds(samples: int) -> None:
    """Even less than a frame of audio is answered, with finite numbers."""
    heard = activations(np.full(samples, 0.1, np.float32))
    assert len(heard.beat) == 4 * (samples // 880 + 1)
    assert np.isfinite(heard.beat).all()
    assert np.isfinite(heard.tempo).all()


def test_later_sound_later_beats() -> None:
    """Half a second of silence before the music moves its beats by half a second."""
    sound, beats = drum_track(136, 30)
    late_s = 0.5
    gap = np.zeros(int(late_s * SAMPLE_RATE_HZ), np.float32)
    plain, later = activations(sound), activations(np.concatenate([gap, sound]))
    inner = beats[6:-6]
    moved = peaks_s(later.beat, inner + late_s, 0.0) - peaks_s(plain.beat, inner, 0.0)
    assert abs(np.median(moved) - late_s) < 0.002
    assert np.abs(moved - late_s).max() < 0.006  # a frame is 10 ms


def test_weights_are_small_and_finite() -> None:
    """The packaged weights stay below a megabyte and hold no strange number."""
    packaged = resources.files("aquatempo.rhythm").joinpath("data/network.npz").read_bytes()
    assert len(packaged) < 1_000_000
    assert all(np.isfinite(array).all() for array in network._weights().values())


def test_log_mel_is_compressed_power() -> None:
    """Ten times the mean power reads log10(1 + 10 / 0.005), as documented."""
    sound, _ = drum_track(120, 5)
    heard = extract(sound)
    shown = log_mel(sound)
    power = np.square(heard.mel.astype(np.float64)) / heard.mel_power
    assert np.allclose(shown, np.log10(1 + power / 0.005), atol=2e-3)
