"""The network of ``aquatempo.rhythm.network``, written for training.

The same layers under the same names: ``export`` turns trained weights into the arrays
that the run-time network reads, and a test holds the outputs of the two together.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

from aquatempo.rhythm.features import FRAMES_PER_SLOW_FRAME, MEL_BANDS, PITCHES
from aquatempo.rhythm.network import (
    FAST_DILATIONS,
    LAST_DILATIONS,
    MEL_STRIDE,
    PITCH_DILATION,
    REGISTERS,
    SLOW_CYCLE,
    TEMPO_CLASSES_BPM,
)

__all__ = ["HEADS", "Net", "arrays", "export", "restore"]

HEADS = ("beat", "downbeat", "phrase")

_PATCH_BANDS = 10
_PATCHES = 16
_CHANGES = 12
_CHANGE_TAPS = 25
_TAPS = 5


class Block(nn.Module):
    """A dilated convolution over time, then a mixing of channels, added to the input."""

    def __init__(self, channels: int, dilation: int) -> None:
        super().__init__()
        pad = dilation * (_TAPS - 1) // 2
        self.conv = nn.Conv1d(channels, channels, _TAPS, padding=pad, dilation=dilation)
        self.mix = nn.Conv1d(channels, channels, 1)
        nn.init.zeros_(self.mix.weight)
        nn.init.zeros_(self.mix.bias)

    def forward(self, x: Tensor) -> Tensor:
        """Map (batch, channels, time) to the same shape."""
        return x + self.mix(functional.relu(self.conv(x)))


class Net(nn.Module):
    """Spectra in, logits out; fast and slow are the channels at either rate."""

    def __init__(self, fast: int = 40, slow: int = 56, slow_blocks: int = 16) -> None:
        super().__init__()
        positions = (MEL_BANDS - _PATCH_BANDS) // MEL_STRIDE + 1
        self.patch = nn.Conv2d(
            1, _PATCHES, (3, _PATCH_BANDS), stride=(1, MEL_STRIDE), padding=(1, 0)
        )
        self.fold = nn.Conv1d(_PATCHES * positions, fast, 1)
        self.fast = nn.ModuleList(Block(fast, d) for d in FAST_DILATIONS)
        self.down = nn.Conv1d(FRAMES_PER_SLOW_FRAME * fast, slow, 1)
        self.change = nn.Conv2d(
            1,
            _CHANGES,
            (_CHANGE_TAPS, 1),
            padding=(PITCH_DILATION * (_CHANGE_TAPS - 1) // 2, 0),
            dilation=(PITCH_DILATION, 1),
        )
        self.pitch = nn.Conv1d(REGISTERS * _CHANGES + PITCHES, slow, 1)
        self.slow = nn.ModuleList(
            Block(slow, 2 ** (index % SLOW_CYCLE)) for index in range(slow_blocks)
        )
        self.up = nn.Conv1d(slow, FRAMES_PER_SLOW_FRAME * fast, 1)
        self.last = nn.ModuleList(Block(fast, d) for d in LAST_DILATIONS)
        self.head = nn.Conv1d(fast, len(HEADS), 1)
        self.tempo = nn.Conv1d(slow, len(TEMPO_CLASSES_BPM), 1)
        nn.init.constant_(self.head.bias, -4.0)

    def forward(self, mel: Tensor, pitch: Tensor) -> tuple[Tensor, Tensor]:
        """Map mel (batch, frames, 80) and pitch (batch, frames / 4, 64) to logits.

        Returns (batch, frames, 3) of the heads and (batch, frames / 4, 49) of the tempo.
        """
        x = functional.relu(self.patch(mel[:, None]))  # batch, patches, frames, positions
        x = x.permute(0, 3, 1, 2).flatten(1, 2)
        x = functional.relu(self.fold(x))
        for block in self.fast:
            x = block(x)
        batch, channels, frames = x.shape
        four = x.view(batch, channels, frames // FRAMES_PER_SLOW_FRAME, FRAMES_PER_SLOW_FRAME)
        slow = functional.relu(self.down(four.permute(0, 3, 1, 2).flatten(1, 2)))
        slow = slow + self._notes(pitch)
        for block in self.slow:
            slow = block(slow)
        slow = functional.relu(slow)
        fine = self.up(slow).view(batch, FRAMES_PER_SLOW_FRAME, channels, -1)
        x = x + fine.permute(0, 2, 3, 1).reshape(batch, channels, frames)
        for block in self.last:
            x = block(x)
        return (
            self.head(functional.relu(x)).transpose(1, 2),
            self.tempo(slow).transpose(1, 2),
        )

    def _notes(self, pitch: Tensor) -> Tensor:
        change = functional.relu(self.change(pitch[:, None]))  # batch, changes, frames, pitches
        batch, changes, frames, _ = change.shape
        by_register = change.view(batch, changes, frames, REGISTERS, -1).mean(-1)
        by_register = by_register.permute(0, 3, 1, 2).flatten(1, 2)
        return functional.relu(self.pitch(torch.cat([by_register, pitch.transpose(1, 2)], 1)))


def arrays(net: Net) -> dict[str, np.ndarray]:
    """Return the weights as the run-time network names and lays them out (inputs, outputs)."""
    out = {}
    for name, value in net.state_dict().items():
        layer, kind = name.rsplit(".", 1)
        array = value.detach().float().cpu().numpy()
        if kind == "weight":
            # torch: outputs, inputs, taps; or outputs, 1, time, band
            order = (2, 1, 0) if array.ndim == 3 else (2, 3, 1, 0)
            array = array.transpose(order).reshape(-1, len(array))
        out[_run_time_name(layer, kind)] = np.ascontiguousarray(array)
    return out


def restore(net: Net, path: Path) -> None:
    """Take over weights that ``export`` wrote."""
    state = {}
    with np.load(path) as stored:
        for name, value in net.state_dict().items():
            layer, kind = name.rsplit(".", 1)
            array = torch.from_numpy(stored[_run_time_name(layer, kind)].astype(np.float32))
            if kind == "weight" and value.ndim == 3:  # outputs, inputs, taps
                outputs, inputs, taps = value.shape
                array = array.view(taps, inputs, outputs).permute(2, 1, 0)
            elif kind == "weight":  # outputs, 1, time, band
                outputs, _, times, bands = value.shape
                array = array.view(times, bands, 1, outputs).permute(3, 2, 0, 1)
            state[name] = array
    net.load_state_dict(state)


def _run_time_name(layer: str, kind: str) -> str:
    for stage in ("fast", "slow", "last"):
        if layer.startswith(stage):
            layer = layer.replace(".", "", 1)
    return f"{layer}.{'w' if kind == 'weight' else 'b'}"


def export(net: Net, path: Path) -> None:
    """Write the weights in half precision, as they are packaged."""
    halves = {name: array.astype(np.float16) for name, array in arrays(net).items()}
    np.savez_compressed(path, allow_pickle=False, **halves)
