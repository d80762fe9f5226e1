"""The sample tracks: truth that holds together, audio that plays, levels as promised."""

from __future__ import annotations

import json
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile as sf
from scipy import signal

from aquatempo.records.rhythm import EnergyLevel, PhraseKind

FOLDER = Path(__file__).parents[1] / "sample_audio"
TRUTHS = sorted(FOLDER.glob("*.json"))
LAST_CHORD_BEATS = 1
"""The chord after the last count is a beat of no stretch; a fade-out has none."""


def truth_of(path: Path) -> dict[str, Any]:
    """Return the truth in a file."""
    truth: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return truth


def decoded(path: Path) -> tuple[np.ndarray, int]:
    """Return samples (n, 2) and rate of the track beside a truth file."""
    samples, rate = sf.read(path.with_suffix(".ogg"), always_2d=True)
    return samples, rate


def test_there_are_at_least_six_tracks_below_8_megabytes() -> None:
    """Six tracks or more, all together under 8 MB, so that a clone stays quick."""
    tracks = sorted(FOLDER.glob("*.ogg"))
    assert len(tracks) >= 6
    assert [track.stem for track in tracks] == [truth.stem for truth in TRUTHS]
    assert sum(track.stat().st_size for track in tracks) < 8e6


@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_beats_lie_on_the_stated_tempo(path: Path) -> None:
    """Every beat interval is 60 / tempo to the rounding of 0.1 ms; bars have four beats."""
    truth = truth_of(path)
    steps = np.diff(truth["beats_s"])
    np.testing.assert_allclose(steps, 60 / truth["tempo_bpm"], atol=1.1e-4)
    assert set(truth["downbeats_s"]) <= set(truth["beats_s"])
    places = [truth["beats_s"].index(time) for time in truth["downbeats_s"]]
    assert {after - before for before, after in pairwise(places)} == {4}


@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_stretches_tile_the_track(path: Path) -> None:
    """Stretches follow each other without gap, start on beats, and hold all beats but the last."""
    truth = truth_of(path)
    for before, after in pairwise(truth["phrases"]):
        assert before["end_s"] == after["start_s"]
        assert before["start_beat"] + before["counts"] == after["start_beat"]
    for phrase in truth["phrases"]:
        assert truth["beats_s"][phrase["start_beat"]] == phrase["start_s"]
        assert PhraseKind(phrase["kind"]) is not PhraseKind.PHRASE or phrase["counts"] == 32
        EnergyLevel(phrase["energy_level"])
        if phrase["kind"] != "intro":
            assert phrase["start_s"] in truth["downbeats_s"]
    held = sum(phrase["counts"] for phrase in truth["phrases"])
    assert len(truth["beats_s"]) - held in (0, LAST_CHORD_BEATS)
    bridges = [phrase["start_s"] for phrase in truth["phrases"] if phrase["kind"] == "bridge"]
    assert [bridge["start_s"] for bridge in truth["bridges"]] == bridges


@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_audio_is_as_promised(path: Path) -> None:
    """44.1 kHz stereo Ogg Vorbis of 45 to 100 s whose length is that of the truth."""
    info = sf.info(path.with_suffix(".ogg"))
    assert (info.samplerate, info.channels, info.subtype) == (44100, 2, "VORBIS")
    assert 45 <= info.duration <= 100
    # Vorbis pads its last block, at most 8192 samples.
    assert info.duration == pytest.approx(truth_of(path)["duration_s"], abs=0.2)


@pytest.mark.long
@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_true_peak_stays_below_minus_one(path: Path) -> None:
    """The decoded true peak stays below -1 dBTP (EBU R 128; four-fold as ITU-R BS.1770-4)."""
    samples, _ = decoded(path)
    peak = max(
        float(np.abs(signal.resample_poly(part, 4, 1, axis=0)).max())
        for part in np.array_split(samples, 12)
    )
    assert 20 * np.log10(peak) < -1.0


@pytest.mark.parametrize("path", TRUTHS, ids=lambda path: path.stem)
def test_attacks_lie_on_the_true_beats(path: Path) -> None:
    """Half of the attacks found near true beats lie within 5 ms of them, and not to one side."""
    truth = truth_of(path)
    samples, rate = decoded(path)
    away_s = attacks(samples.mean(axis=1), rate, np.array(truth["beats_s"]))
    assert len(away_s) > 0.9 * len(truth["beats_s"]) - 2
    assert np.median(np.abs(away_s)) < 0.005
    assert abs(np.median(away_s)) < 0.003


def attacks(mono: np.ndarray, rate: int, beats_s: np.ndarray) -> np.ndarray:
    """Return how far [s] the steepest rise in level within 35 ms of each beat lies from it.

    Steps of 1 ms; the rise compares the mean log energy of the 6 ms after with those before.
    """
    sos = signal.butter(2, 60, "highpass", fs=rate, output="sos")
    hop = rate // 1000
    power = signal.sosfilt(sos, mono) ** 2
    steps = np.log10(power[: len(power) // hop * hop].reshape(-1, hop).mean(axis=1) + 1e-7)
    means = np.convolve(steps, np.full(6, 1 / 6), "valid")
    rise = np.zeros(len(steps))
    rise[6 : 6 + len(means) - 6] = means[6:] - means[:-6]
    away = []
    for beat_s in beats_s:
        place = round(beat_s * rate / hop)
        window = rise[max(0, place - 35) : place + 36]
        if len(window) == 71 and window.max() > 0.2:
            away.append((place - 35 + int(np.argmax(window))) * hop / rate - beat_s)
    return np.array(away)


def test_the_set_covers_what_it_is_for() -> None:
    """The tempi, the bridges, the breakdown, the pick-up and the fade-out are all there."""
    truths = [truth_of(path) for path in TRUTHS]
    assert {132, 126, 148, 138, 112, 96} <= {truth["tempo_bpm"] for truth in truths}
    assert {8, 4} <= {bridge["counts"] for truth in truths for bridge in truth["bridges"]}
    kinds = {phrase["kind"] for truth in truths for phrase in truth["phrases"]}
    assert kinds == {"intro", "phrase", "bridge", "break", "outro"}
    assert any(truth["beats_s"][0] > 1.5 for truth in truths)
    assert any(phrase["counts"] == 2 for truth in truths for phrase in truth["phrases"])


@pytest.mark.long
def test_a_track_can_be_made_again(tmp_path: Path) -> None:
    """The script makes the same track again: same truth, audio equal but for the coding."""
    name = "last_lane_slowly"
    subprocess.run(
        [sys.executable, FOLDER / "make.py", "--only", name, "--out", tmp_path],
        check=True,
        capture_output=True,
    )
    assert truth_of(tmp_path / f"{name}.json") == truth_of(FOLDER / f"{name}.json")
    ours, _ = decoded(tmp_path / f"{name}.json")
    kept, _ = decoded(FOLDER / f"{name}.json")
    assert ours.shape == kept.shape
    # Other versions of numpy and scipy may round otherwise; -50 dB is far below hearing here.
    assert np.sqrt(np.mean((ours - kept) ** 2)) < 10 ** (-50 / 20) * np.sqrt(np.mean(kept**2))
