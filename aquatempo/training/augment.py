"""Changes made to spectra while training, so that no two looks at a song are the same."""

from __future__ import annotations

import torch
from torch import Tensor

from aquatempo.rhythm.features import FRAMES_PER_SLOW_FRAME, MEL_BANDS, PITCHES

__all__ = ["augment", "compress", "splice"]

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


def augment(mel: Tensor, pitch: Tensor) -> tuple[Tensor, Tensor]:
    """Return changed and compressed spectra of a batch.

    mel: (batch, frames, 80), pitch: (batch, frames / 4, 64), amplitudes relative to the
    mean of their song.
    """
    batch, device = len(mel), mel.device
    mel, pitch = mel.float() ** 2, pitch.float() ** 2

    def uniform(low: float, high: float) -> Tensor:
        return low + (high - low) * torch.rand(batch, 1, 1, device=device)

    # another song, softly, above the bass: what the generator lacks in voices and layers
    gain = 10 ** (uniform(-25, -7) / 10) * _chance(batch, 0.3, device)
    other = torch.randperm(batch, device=device)
    high = (torch.arange(MEL_BANDS, device=device) >= 16).float()
    mel = mel + gain * mel[other] * high
    pitch = pitch + gain * pitch[other]
    # equaliser, then low and high cuts
    mel_places, pitch_places = _places(device)
    knots = torch.randn(batch, _KNOTS, device=device) * uniform(0, 7)[:, 0]
    knots[:, 0] -= 25 * _chance(batch, 0.12, device)[:, 0, 0]
    knots[:, -2:] -= 40 * _chance(batch, 0.12, device)[:, 0]
    mel = mel * 10 ** (_curve(knots, mel_places) / 10)[:, None]
    pitch = pitch * 10 ** (_curve(knots, pitch_places) / 10)[:, None]
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
    # steady noise with a slope
    slope = torch.linspace(-1, 1, MEL_BANDS, device=device) * uniform(-12, 12)
    loud = 10 ** ((uniform(-45, -8) + slope) / 10) * _chance(batch, 0.4, device)
    mel = mel + loud * (torch.empty_like(mel).exponential_() * 0.5 + 0.5)
    pitch = pitch + loud.mean(2, keepdim=True) * torch.empty_like(pitch).exponential_()
    # dynamics and reference level
    bend = 1 + uniform(-0.2, 0.2) * _chance(batch, 0.3, device)
    shift = 10 ** (torch.randn(batch, 1, 1, device=device) * 3 / 10)
    mel = (mel * shift + 1e-9) ** bend
    pitch = (pitch * shift + 1e-9) ** bend
    return torch.log10(1 + mel / _FLOOR), torch.log10(1 + pitch / _FLOOR)
