"""Our spectra against librosa.

McFee et al., "librosa: Audio and Music Signal Analysis in Python", SciPy 2015.

Ours work on blocks of a stream and load in a tenth of the time; what they compute is librosa's.
``python -m yardstick.spectra`` in tests prints the cost of both.
"""

from __future__ import annotations

import librosa
import numpy as np
import numpy.typing as npt
import pytest

from aquatempo.rhythm import evidence, features, network, perbeat
from aquatempo.rhythm.features import MEL_BANDS, PITCHES, SAMPLE_RATE_HZ
from aquatempo.rhythm.frames import from_features
from aquatempo.rhythm.perbeat import BeatCues

Floats = npt.NDArray[np.float32]
MEL_WINDOW, MEL_HOP = 1024, 220  # as features.py has them
PITCH_WINDOW, PITCH_HOP = 4096, 880
LOWEST = 28  # MIDI number of the lowest semitone


def music(seconds: float, seed: int = 7) -> Floats:
    """Return invented sound: a noise burst every half second over slowly changing chords."""
    rng = np.random.default_rng(seed)
    time = np.arange(int(seconds * SAMPLE_RATE_HZ)) / SAMPLE_RATE_HZ
    sound = 0.02 * rng.normal(size=len(time))
    for start, root in enumerate((45, 50, 52, 43)):
        on = (time % 8 >= 2 * start) & (time % 8 < 2 * start + 2)
        for number in (root, root + 12, root + 16, root + 19):
            sound += on * 0.1 * np.sin(2 * np.pi * librosa.midi_to_hz(number) * time)
    sound += (time % 0.5 < 0.03) * 0.3 * rng.normal(size=len(time))
    return sound.astype(np.float32)


def theirs(samples: Floats) -> features.Features:
    """Return the spectra of samples as librosa's own functions give them, for the whole at once."""

    def amplitudes(window: int, hop: int, frames: int, filters: Floats) -> npt.NDArray[np.float16]:
        taper = librosa.filters.get_window("hann", window)
        # Scaled so that a full-scale sine peaks at 256, as the weights were trained.
        taper = (taper * (2 * 256.0 / taper.sum())).astype(np.float32)
        reach = np.pad(samples, (window // 2, 2 * window))
        spectrum = librosa.stft(reach, n_fft=window, hop_length=hop, window=taper, center=False)
        power = (np.abs(spectrum[: filters.shape[1], :frames]) ** 2).astype(np.float32)
        halves: npt.NDArray[np.float16] = np.sqrt((filters @ power).T).astype(np.float16)
        return halves

    slow = len(samples) // PITCH_HOP + 1
    mel = amplitudes(MEL_WINDOW, MEL_HOP, 4 * slow, mel_filters())
    pitch = amplitudes(PITCH_WINDOW, PITCH_HOP, slow, features._pitch_filters().T)
    return features.Features(mel, pitch, features._mean_power(mel), features._mean_power(pitch))


def mel_filters() -> Floats:
    """Return librosa's mel filters with our settings."""
    filters: Floats = librosa.filters.mel(
        sr=SAMPLE_RATE_HZ, n_fft=MEL_WINDOW, n_mels=MEL_BANDS, fmin=30, fmax=10_000, htk=True,
        norm=None,
    )  # fmt: skip
    return filters


def test_mel_filters_are_librosas() -> None:
    """All 80 triangles equal librosa's to the last bit, and librosa has nothing above ours."""
    filters, ours = mel_filters().T, features._mel_filters()
    np.testing.assert_array_equal(filters[: len(ours)], ours)
    assert not filters[len(ours) :].any()


def test_taper_is_librosas() -> None:
    """The window is librosa's periodic Hann window, scaled."""
    ours = features._taper(MEL_WINDOW)
    window = librosa.filters.get_window("hann", MEL_WINDOW)
    np.testing.assert_allclose(ours / ours.max(), window, atol=1e-7)


@pytest.mark.parametrize("block", [len(music(21.0)), 4_410, 100_003])
def test_spectra_of_blocks_are_librosas_of_the_whole(block: int) -> None:
    """Whatever the blocks, each value is within one step of half precision of librosa's."""
    samples = music(21.0)
    blocks = [samples[at : at + block] for at in range(0, len(samples), block)]
    ours, whole = features.extract(blocks), theirs(samples)
    assert ours.mel.shape == whole.mel.shape
    assert ours.pitch.shape == whole.pitch.shape
    for one, other in ((ours.mel, whole.mel), (ours.pitch, whole.pitch)):
        steps = np.spacing(np.maximum(one, other))
        away = np.abs(one.astype(np.float32) - other.astype(np.float32)) / steps
        assert away.max() <= 1.0
        assert (away > 0).mean() < 0.01  # roundings that fell the other way


def test_the_weights_see_the_same_with_librosa() -> None:
    """From librosa's spectra the network hears the same beats: activations differ by < 0.002."""
    samples = music(21.0)
    seconds = len(samples) / SAMPLE_RATE_HZ
    ours = from_features(features.extract(samples), seconds)
    whole = from_features(theirs(samples), seconds)
    assert ours.beat.max() > 0.5  # there is something to hear
    for name in ("beat", "downbeat", "phrase", "tempo"):
        np.testing.assert_allclose(getattr(ours, name), getattr(whole, name), atol=0.002)
    heard = network.activations_of(features.extract(samples))
    np.testing.assert_array_equal(heard.beat, ours.beat)


@pytest.mark.parametrize("number", range(45, LOWEST + PITCHES - 1, 5))
def test_semitones_are_those_of_librosas_constant_q(number: int) -> None:
    """A tone of each pitch is loudest in the same semitone as in librosa's constant-Q spectrum."""
    time = np.arange(2 * SAMPLE_RATE_HZ) / SAMPLE_RATE_HZ
    tone = np.sin(2 * np.pi * librosa.midi_to_hz(number) * time).astype(np.float32)
    constant_q = np.abs(
        librosa.cqt(
            tone,
            sr=SAMPLE_RATE_HZ,
            hop_length=1024,
            fmin=librosa.midi_to_hz(LOWEST),
            n_bins=PITCHES,
            tuning=0.0,
        )
    )
    ours = features.extract(tone).pitch
    middle, their_middle = len(ours) // 2, constant_q.shape[1] // 2
    assert ours[middle].argmax() == constant_q[:, their_middle].argmax() == number - LOWEST


def test_chroma_folds_octaves_as_librosa_does() -> None:
    """Our sum over octaves is librosa's fold of a constant-Q spectrum, the bass octave left out."""
    samples = music(21.0)
    frames = from_features(features.extract(samples), len(samples) / SAMPLE_RATE_HZ)
    beats_s = np.arange(0.5, 20.0, 0.5)
    cues = perbeat.cues_of(frames, beats_s)
    rows = frames.features.log_pitch(0, len(frames.features.pitch))
    rate = SAMPLE_RATE_HZ / PITCH_HOP
    first = np.round(beats_s * rate).astype(int)
    last = np.round(np.append(beats_s[1:], 20.0) * rate).astype(int)
    spans = [slice(int(a), int(b)) for a, b in zip(first, last, strict=True)]
    pitch = librosa.util.sync(rows.T.astype(float), spans, aggregate=np.mean)
    fold = librosa.filters.cq_to_chroma(PITCHES - 12, fmin=librosa.midi_to_hz(LOWEST + 12))
    from_e = np.roll(fold @ pitch[12:], -(LOWEST % 12), axis=0)  # theirs begin with C, ours with E
    np.testing.assert_allclose(cues.chroma.T, from_e, rtol=1e-5, atol=1e-6)


def test_likeness_of_stretches_is_librosas_cross_similarity() -> None:
    """A beat restarts a phrase where librosa's similarity, summed along diagonals, says so."""
    rng = np.random.default_rng(3)
    loop = rng.random((32, 36))
    rows = np.concatenate([loop, loop, rng.random((6, 36)), loop, loop, loop])
    count = len(rows)
    cues = BeatCues(
        level=np.zeros(count), onset=np.zeros((count, 1)), busy=np.zeros((count, 1)),
        timbre=np.zeros((count, 1)), chroma=rows[:, :12], bass=rows[:, 12:],
        beat=np.zeros(count), downbeat=np.zeros(count), phrase=np.zeros(count),
    )  # fmt: skip
    starts = (0, 32, 70, 102, 134)
    ours = evidence.restarts(cues, starts)
    halves = [rows[:, :12], rows[:, 12:]]
    unit = np.concatenate([librosa.util.normalize(part, norm=2, axis=1) for part in halves], axis=1)
    alike = librosa.segment.cross_similarity(
        (unit - unit.mean(axis=0)).T, (unit - unit.mean(axis=0)).T, full=True, metric="cosine",
        mode="distance",
    )  # fmt: skip
    alike = 1 - np.asarray(alike)
    along = librosa.segment.path_enhance(
        alike, evidence.RESTART_BEATS, window="ones", max_ratio=1.0, min_ratio=1.0, n_filters=1,
        zero_mean=False, clip=False,
    )  # fmt: skip
    middle = evidence.RESTART_BEATS // 2  # librosa's diagonals are centred, ours begin at the beat
    best = [
        max(float(along[beat + middle, start + middle]) for start in starts if start != beat)
        for beat in (70, 102, 86, 90)
    ]
    # Where librosa finds the stretch again, ours does, and where it does not, ours does not.
    assert min(best[:2]) > 0.9 > 0.5 > max(best[2:])
    assert min(ours[70], ours[102]) > max(ours[86], ours[90])
