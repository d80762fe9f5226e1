"""Music by others as training examples: beats stay on the sound, and only what is known costs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

pytest.importorskip("tinysoundfont", reason="training is an optional part")

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.training.data import Example, read_example
from aquatempo.training.music import SPEEDS, example_of, write_music
from aquatempo.training.synth import RATE_HZ

Times = NDArray[np.float64]
BEATS_S: Times = np.arange(2.0, 100.0, 0.5)  # 120 a minute, from 2 s to 99.5 s
BARS_S: Times = BEATS_S[::4]


def clicks() -> NDArray[np.float32]:
    """Return a hundred seconds with a click of 10 ms on each beat."""
    sound = np.zeros(100 * RATE_HZ, np.float32)
    for time_s in BEATS_S:
        first = round(time_s * RATE_HZ)
        sound[first : first + 220] = 0.5 * np.sin(np.arange(220) * 0.3)
    return sound


def example(seed: int, bars_s: Times = BARS_S) -> Example:
    """Return an example of the clicks."""
    return example_of(np.random.default_rng(seed), "clicks", clicks(), BEATS_S, bars_s)


@pytest.mark.parametrize("seed", range(6))
def test_beats_stay_on_the_sound(seed: int) -> None:
    """At whatever speed and from wherever a piece is played, its beats are where it is struck."""
    one = example(seed)
    struck = one.mel.astype(np.float32).sum(1)
    on = one.target[:, 0] > 160
    near = on | np.roll(on, 1) | np.roll(on, -1) | np.roll(on, 2) | np.roll(on, -2)
    assert on.sum() > 80
    assert struck[near].sum() > 0.95 * struck.sum()


def test_speeds_and_their_tempo() -> None:
    """Pieces are played at the speeds that are told, and the tempo is told as it is heard."""
    for seed in range(8):
        one = example(seed)
        at = np.flatnonzero(one.target[:, 0] > 160)
        intervals = np.diff(at)[np.diff(at) > 3]
        tempo_bpm = 60 * FRAME_RATE_HZ / intervals.mean()
        told = one.tempo_bpm[one.tempo_bpm > 0].astype(float)
        assert 120 * SPEEDS[0] - 1 < tempo_bpm < 120 * SPEEDS[1] + 1
        assert np.median(told) == pytest.approx(tempo_bpm, rel=0.01)


def test_only_what_is_known_is_taught() -> None:
    """Phrases of music by others are never taught, nor its bars where nobody says them."""
    assert example(0).known.tolist() == [1, 1, 0]
    assert example(0, np.zeros(0)).known.tolist() == [1, 0, 0]


def test_unknown_targets_cost_nothing() -> None:
    """Whatever the network says where the truth is not known, it costs nothing."""
    torch = pytest.importorskip("torch")
    from aquatempo.training.train import losses

    heads = torch.randn(2, 100, 3)
    target = torch.rand(2, 100, 3)
    target[:, :, 2] = -1
    tempi, tempo_bpm = torch.zeros(2, 25, 49), torch.full((2, 25), 120.0)
    found = losses(heads, tempi, target, tempo_bpm)
    assert (found[:, 2] == 0).all()
    assert (found[:, :2] > 0).all()


def test_a_folder_becomes_examples(tmp_path: Path) -> None:
    """Each piece of a folder of audio and truth gives as many examples as are asked for."""
    music, folder = tmp_path / "music", tmp_path / "examples"
    music.mkdir()
    soundfile.write(music / "clicks.wav", clicks(), RATE_HZ)
    truth = {"beats_s": BEATS_S.tolist(), "downbeats_s": BARS_S.tolist()}
    (music / "clicks.json").write_text(json.dumps(truth), encoding="utf-8")
    write_music(music, folder, versions=2, workers=1)
    files = sorted(folder.glob("*.npz"))
    assert [file.name for file in files] == ["clicks-0.npz", "clicks-1.npz"]
    assert all(read_example(file).target[:, 1].any() for file in files)
