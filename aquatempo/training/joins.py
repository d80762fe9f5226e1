"""Train the network that hears the joins of mixes (``aquatempo.rhythm.join_network``).

``python -m aquatempo.training.joins --fonts A.sf2 B.sf3 --mixes 486 --jobs 16 --out joins.npz``

Mixes are written by ``aquatempo.training.mix``, with their true beats; every fourth has four long
songs, the others nine short ones. Kept is the averaged network that does best on every twelfth mix,
from which nothing is learned: after that, training learns the mixes by heart.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch
from torch import Tensor, nn
from torch.nn import functional

from aquatempo.rhythm.evidence import MIX, score, start_inputs
from aquatempo.rhythm.features import SAMPLE_RATE_HZ, extract
from aquatempo.rhythm.frames import from_features
from aquatempo.rhythm.join_network import DILATIONS, FAR, HEADS, network_rows
from aquatempo.rhythm.perbeat import cues_of
from aquatempo.training import form, mix, render
from aquatempo.training.render import Fonts

FIRST = 600_000_000  # seeds of mixes
LONG = (4, 150.0, 165.0)  # songs of every fourth mix, their length at most, that planned [s]
SHORT = (9, 64.0, 67.0)
HELD = 12  # every so many mixes are held out
TAPS = 5
WIDTH = 32
STRETCH = 512  # beats learned from at once
BATCH = 64
RATE = 2e-3
JOIN_WEIGHT = 2.0  # of a join in the loss, beside a phrase or a bridge
LOOK = 200  # steps between looks at the mixes held out

Example = tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]
"""Rows of a mix and what is true, each (beats, values)."""


class JoinNet(nn.Module):
    """The layers of the run-time network, under names of their own."""

    def __init__(self, values: int) -> None:
        super().__init__()
        self.begin = nn.Conv1d(values, WIDTH, TAPS, padding=TAPS // 2)
        self.blocks = nn.ModuleList(
            nn.Conv1d(WIDTH, WIDTH, TAPS, padding=step * (TAPS // 2), dilation=step)
            for step in DILATIONS
        )
        self.mixers = nn.ModuleList(nn.Conv1d(WIDTH, WIDTH, 1) for _ in DILATIONS)
        self.end = nn.Conv1d(WIDTH, len(HEADS), 1)
        self.drop = nn.Dropout(0.2)

    def forward(self, rows: Tensor) -> Tensor:
        """Map standardised rows (batch, values, beats) to log-odds (batch, heads, beats)."""
        x = functional.relu(self.begin(self.drop(rows)))
        for block, mixer in zip(self.blocks, self.mixers, strict=True):
            x = x + mixer(self.drop(functional.relu(block(functional.relu(x)))))
        out: Tensor = self.end(functional.relu(x))
        return out


def make(seed: int, fonts: Fonts) -> Example:
    """Return the mix of a seed: its rows at the true beats, and what begins at each."""
    songs, length_s, planned_s = SHORT if seed % 4 else LONG
    form.LONG_ENOUGH_S = planned_s
    for module in (render, mix):
        vars(module)["LENGTH_S"] = length_s
    made = mix.play_songs(seed, fonts, songs)
    frames = from_features(extract([made.samples]), len(made.samples) / SAMPLE_RATE_HZ)
    cues = cues_of(frames, made.beats_s)
    rows = network_rows(cues, start_inputs(cues, MIX), score(cues.level))
    true = np.zeros((len(rows), len(HEADS)), np.float32)
    for first, _, whole in made.sections:
        true[first, 0 if whole else 1] = 1
    true[made.joins, 2] = 1
    return rows, true


def train(examples: Sequence[Example], steps: int, seed: int) -> dict[str, npt.NDArray[np.float32]]:
    """Return the arrays of the run-time network that did best on the mixes held out."""
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    learned = [example for place, example in enumerate(examples) if place % HELD]
    every = np.concatenate([rows for rows, _ in learned])
    mean, std = every.mean(axis=0), every.std(axis=0) + 1e-3

    def on_device(example: Example) -> tuple[Tensor, Tensor]:
        rows = np.clip((example[0] - mean) / std, -FAR, FAR)
        return torch.tensor(rows.T, device=device), torch.tensor(example[1].T, device=device)

    shown, held = [[on_device(one) for one in some] for some in (learned, examples[::HELD])]
    torch.manual_seed(seed)
    random = np.random.default_rng(seed)
    net = JoinNet(len(mean)).to(device)
    averaged = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.99)
    )
    optimizer = torch.optim.AdamW(net.parameters(), RATE, weight_decay=0.05)
    weight = torch.tensor([1.0, 1.0, JOIN_WEIGHT], device=device)[:, None]
    best, kept = float("inf"), arrays(net)
    for step in range(steps):
        warm = min(1.0, (step + 1) / 100)
        optimizer.param_groups[0]["lr"] = RATE * warm * 0.5 * (1 + np.cos(np.pi * step / steps))
        rows, true, known = _drawn(shown, random)
        rows = rows * (1 + 0.15 * torch.randn_like(rows[:, :, :1])) + 0.2 * torch.randn_like(rows)
        rows = rows * (torch.rand_like(rows[:, :, :1]) > 0.1)
        each = functional.binary_cross_entropy_with_logits(net(rows), true, reduction="none")
        loss = (each * known * weight).sum() / known.sum()
        optimizer.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimizer.step()
        averaged.update_parameters(net)
        if step % LOOK == LOOK - 1 or step == steps - 1:
            now = _loss(averaged.module, held)
            print(f"step {step + 1} learned {loss.item():.4f} held out {now:.5f}", flush=True)
            if now < best:
                best, kept = now, arrays(averaged.module)
    return {"mean": mean, "std": std, **kept}


def arrays(net: JoinNet) -> dict[str, npt.NDArray[np.float32]]:
    """Return the weights as the run-time network names and lays them out."""
    out = {}
    for name, value in net.state_dict().items():
        layer, kind = name.rsplit(".", 1)
        for own, theirs in (
            ("begin", "in"),
            ("end", "out"),
            ("blocks.", "block"),
            ("mixers.", "mix"),
        ):
            layer = layer.replace(own, theirs)
        array = value.detach().float().cpu().numpy()
        out[f"{layer}.{kind[0]}"] = array.transpose(2, 1, 0) if kind == "weight" else array
    return out


def _drawn(
    shown: Sequence[tuple[Tensor, Tensor]], random: np.random.Generator
) -> tuple[Tensor, Tensor, Tensor]:
    """Return stretches of mixes: rows, what is true, and 1 where the mix sounds, else 0."""
    batch = []
    for place in random.integers(0, len(shown), BATCH):
        rows, true = shown[place]
        first = int(random.integers(-64, max(rows.shape[1] - STRETCH + 64, -63)))
        low, high = max(first, 0), min(first + STRETCH, rows.shape[1])
        edges = (low - first, first + STRETCH - high)
        sounding = torch.ones_like(true[:1, low:high])
        batch.append(
            [
                functional.pad(part, edges)
                for part in (rows[:, low:high], true[:, low:high], sounding)
            ]
        )
    rows, true, known = (torch.stack(parts) for parts in zip(*batch, strict=True))
    return rows, true, known


def _loss(net: nn.Module, held: Sequence[tuple[Tensor, Tensor]]) -> float:
    """Return the cross-entropy per beat of all heads together."""
    net.eval()
    with torch.no_grad():
        total = sum(
            float(
                functional.binary_cross_entropy_with_logits(
                    net(rows[None])[0], true, reduction="sum"
                )
            )
            for rows, true in held
        )
    net.train()
    return total / sum(rows.shape[1] for rows, _ in held)


def main() -> None:
    """Make the mixes, train, and write the weights in half precision."""
    parser = argparse.ArgumentParser(prog="python -m aquatempo.training.joins")
    parser.add_argument("--fonts", type=Path, nargs="+", required=True)
    parser.add_argument("--mixes", type=int, default=486)
    parser.add_argument("--steps", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True)
    options = parser.parse_args()
    seeds = range(FIRST, FIRST + options.mixes)
    global _fonts
    _fonts = Fonts.load(options.fonts)  # before the fork: soundfonts cannot be sent
    with get_context("fork").Pool(options.jobs) as pool:
        examples = pool.map(_made, seeds, chunksize=1)
    trained = train(examples, options.steps, options.seed)
    halves = {name: array.astype(np.float16) for name, array in trained.items()}
    np.savez_compressed(options.out, allow_pickle=False, **halves)


_fonts: Fonts | None = None


def _made(seed: int) -> Example:
    assert _fonts is not None
    return make(seed, _fonts)


if __name__ == "__main__":
    main()
