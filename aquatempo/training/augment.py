"""Changes made to spectra while training, so that no two looks at a song are the same."""

from __future__ import annotations

import torch
from torch import Tensor

from aquatempo.rhythm.features import FRAME_RATE_HZ, FRAMES_PER_SLOW_FRAME, MEL_BANDS, PITCHES

__all__ = ["augment", "compress", "late_start", "splice"]

_KNOTS = 7
_FLOOR = 0.005


def compress(amplitudes: Tensor) -> Tensor:
    """Return log10(1 + power / 0.005), as the run-time features are."""
    return torch.log10(1 + amplitudes.float() ** 2 / _FLOOR)


def _places(device: torch.device) -> tuple[Tensor, Tensor]:
    """Return where bands and semitones lie on an axis of octaves above 30 Hz."""
    mel = torch.linspace(47.0, 3073.0, MEL_BANDS + 2, device=device)[1:-1]
    mel_hz = 700 * (10 ** (mel / 2595) - 1)
    pitch_hz = 440 * 2 ** ((28 + torch.arange(PITCHES, device=device) - 69) / 12)
    return torch.log2(mel_hz / 30), torch.log2(pitch_hz / 30)


def _curve(knots: Tensor, places: Tensor) -> Tensor:
    """Interpolate random knots (batch, _KNOTS) over 8.4 octaves at places (bands,)."""
    position = (places / 8.4 * (_KNOTS - 1)).clamp(0, _KNOTS - 1.001)
    low = position.long()
    share = position - low
    return knots[:, low] * (1 - share) + knots[:, low + 1] * share


def _chance(batch: int, share: float, device: torch.device) -> Tensor:
    return (torch.rand(batch, 1, 1, device=device) < share).float()


def splice(
    mel: Tensor, pitch: Tensor, target: Tensor, tempo: Tensor, share: float = 0.12
) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """Let some stretches of a batch go over into another song, as in a continuous mix."""
    batch, slow = len(pitch), pitch.shape[1]
    device = mel.device
    other = torch.randperm(batch, device=device)
    cut = torch.randint(slow // 8, slow - slow // 8, (batch, 1), device=device)
    cut = torch.where(torch.rand(batch, 1, device=device) < share, cut, slow)
    late = torch.arange(slow, device=device) >= cut
    fine = late.repeat_interleave(FRAMES_PER_SLOW_FRAME, 1)[..., None]
    return (
        torch.where(fine, mel[other], mel),
        torch.where(late[..., None], pitch[other], pitch),
        torch.where(fine, target[other], target),
        torch.where(late, tempo[other], tempo),
    )


def late_start(
    mel: Tensor, pitch: Tensor, target: Tensor, tempo: Tensor, share: float = 0.2
) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """Let some stretches of a batch begin in the midst of a song, after silence.

    All others show where their song begins: what sounds first is mostly on a count.
    """
    batch, slow = len(pitch), pitch.shape[1]
    device = mel.device
    begin = torch.randint(slow // 3, (batch, 1), device=device)
    begin = torch.where(torch.rand(batch, 1, device=device) < share, begin, 0)
    heard = (torch.arange(slow, device=device) >= begin).float()
    fine = heard.repeat_interleave(FRAMES_PER_SLOW_FRAME, 1)[..., None]
    return (
        mel * fine.to(mel.dtype),
        pitch * heard[..., None].to(pitch.dtype),
        target * fine,
        tempo * heard,
    )


def _soften(mel: Tensor, gain_db: Tensor, chosen: Tensor) -> Tensor:
    """Turn down what rises above its surroundings in time: strokes far behind held sounds."""
    bands = mel.transpose(1, 2)
    floor = -torch.nn.functional.max_pool1d(-bands, 15, 1, 7)
    held = torch.nn.functional.avg_pool1d(floor, 15, 1, 7, count_include_pad=False).transpose(1, 2)
    held = torch.minimum(held, mel)
    return torch.where(chosen > 0, held + (mel - held) * 10 ** (gain_db / 10), mel)


def _reverberate(mel: Tensor, pitch: Tensor, songs: int) -> tuple[Tensor, Tensor]:
    """Add what a room or hall does to power, a tail that decays, to some songs of a batch."""
    which = torch.randperm(len(mel), device=mel.device)[:songs]
    # 60 dB less after 0.3 to 4 s; the tail holds a tenth to three times the direct power
    reverb_s = 0.3 * (4 / 0.3) ** torch.rand(songs, 1, 1, device=mel.device)
    wet = 10 ** (1.5 * torch.rand(songs, 1, 1, device=mel.device) - 1)
    out = []
    for power, rate in ((mel, FRAME_RATE_HZ), (pitch, FRAME_RATE_HZ / FRAMES_PER_SLOW_FRAME)):
        frames = power.shape[1]
        clock = torch.arange(frames, device=mel.device)[None, :, None]
        tail = 10 ** (-6 * clock / (reverb_s * rate)) * (clock > 0)
        tail = wet * tail / tail.sum(1, keepdim=True)
        size = 2 * frames
        spectrum = torch.fft.rfft(power[which], size, dim=1) * torch.fft.rfft(tail, size, dim=1)
        power = power.clone()
        power[which] += torch.fft.irfft(spectrum, size, dim=1)[:, :frames].clamp(min=0)
        out.append(power)
    return out[0], out[1]


def augment(mel: Tensor, pitch: Tensor) -> tuple[Tensor, Tensor]:
    """Return changed and compressed spectra of a batch.

    mel: (batch, frames, 80), pitch: (batch, frames / 4, 64), amplitudes relative to the
    mean of their song.
    """
    batch, device = len(mel), mel.device
    mel, pitch = mel.float() ** 2, pitch.float() ** 2
    means = mel.mean((1, 2), keepdim=True), pitch.mean((1, 2), keepdim=True)

    def uniform(low: float, high: float) -> Tensor:
        return low + (high - low) * torch.rand(batch, 1, 1, device=device)

    # another song, softly, above the bass: what the generator lacks in voices and layers
    gain = 10 ** (uniform(-25, -5) / 10) * _chance(batch, 0.3, device)
    other = torch.randperm(batch, device=device)
    high = (torch.arange(MEL_BANDS, device=device) >= 16).float()
    mel = mel + gain * mel[other] * high
    pitch = pitch + gain * pitch[other]
    mel = _soften(mel, uniform(-20, 0), _chance(batch, 0.15, device))
    mel, pitch = _reverberate(mel, pitch, max(1, batch // 6))
    # equaliser, then steep low and high cuts
    mel_places, pitch_places = _places(device)
    knots = torch.randn(batch, _KNOTS, device=device) * uniform(0, 7)[:, 0]
    low = uniform(0.5, 4.0) * _chance(batch, 0.15, device)  # octaves above 30 Hz: up to 480 Hz
    high = 8.4 - uniform(0, 4.5) * _chance(batch, 0.2, device)  # down to 450 Hz, mostly far above

    def filtered(power: Tensor, places: Tensor) -> Tensor:
        gain_db = _curve(knots, places)[:, None]
        gain_db = gain_db - 30 * (low - places).clamp(min=0) - 40 * (places - high).clamp(min=0)
        return power * 10 ** (gain_db.clamp(min=-80) / 10)

    mel, pitch = filtered(mel, mel_places), filtered(pitch, pitch_places)
    # slow changes of level, and gaps
    ramp = torch.linspace(-0.5, 0.5, mel.shape[1], device=device)[None, :, None]
    level = ramp * uniform(-18, 18) * _chance(batch, 0.25, device)
    clock = torch.arange(mel.shape[1], device=device)[None, :, None]
    for _ in range(2):
        start, length = uniform(0, mel.shape[1]), uniform(15, 180)
        inside = (clock >= start) & (clock < start + length)
        level = level - inside * uniform(5, 60) * _chance(batch, 0.15, device)
    mel = mel * 10 ** (level / 10)
    pitch = pitch * 10 ** (level[:, ::FRAMES_PER_SLOW_FRAME] / 10)
    # noise with a slope, steady or swelling; crackle
    slope = torch.linspace(-1, 1, MEL_BANDS, device=device) * uniform(-12, 12)
    swell = torch.sin(clock / uniform(10, 400) + uniform(0, 6)) * uniform(0, 10)
    swell = swell * _chance(batch, 0.3, device)
    noisy = _chance(batch, 0.4, device)
    loud = 10 ** ((uniform(-45, 2) + slope + swell) / 10) * noisy
    mel = mel + loud * (torch.empty_like(mel).exponential_() * 0.5 + 0.5)
    steady = loud.mean(2, keepdim=True)[:, ::FRAMES_PER_SLOW_FRAME]
    pitch = pitch + steady * torch.empty_like(pitch).exponential_()
    ticks = (torch.rand_like(mel[..., :1]) < uniform(0, 0.05)) * _chance(batch, 0.08, device)
    mel = mel + ticks * 10 ** ((uniform(-15, 8) + slope) / 10)
    # dynamics and reference level: spectra are divided by their mean after all this
    bend = 1 + uniform(-0.2, 0.2) * _chance(batch, 0.3, device)
    shift = 10 ** (torch.randn(batch, 1, 1, device=device) * 3 / 10)
    scales = [
        shift * mean / power.mean((1, 2), keepdim=True).clamp(min=1e-4)
        for mean, power in zip(means, (mel, pitch), strict=True)
    ]
    mel = (mel * scales[0] + 1e-9) ** bend
    pitch = (pitch * scales[1] + 1e-9) ** bend
    return torch.log10(1 + mel / _FLOOR), torch.log10(1 + pitch / _FLOOR)
