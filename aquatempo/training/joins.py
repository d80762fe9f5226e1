"""Train the network that hears the joins of mixes (``aquatempo.rhythm.join_network``).

``python -m aquatempo.training.joins --fonts A.sf2 B.sf3 --groups 16 --jobs 16 --out joins.npz``

Each group writes songs of its own and joins them many times over, as a class hears them
(``aquatempo.training.mix.play_class``), with their true beats. Kept is the averaged network that
does best on the first group, from which nothing is learned: after that, training learns the songs
by heart.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from functools import partial
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
from aquatempo.rhythm.join_network import DILATIONS, FAR, HEADS, SIGNS, network_rows
from aquatempo.rhythm.perbeat import BeatCues, cues_of
from aquatempo.training import form, mix, render
from aquatempo.training.render import Fonts

FIRST = 610_000_000  # seeds of songs and mixes
GROUP = 100_000  # seeds of a group
SONG_S, PLANNED_S = 150.0, 165.0  # length of a song at most, and planned [s]
TAPS = 5
WIDTH = 48
STRETCH = 512  # beats learned from at once
BATCH = 64
RATE = 2e-3
JOIN_WEIGHT = 2.0  # of a join in the loss, beside a phrase or a bridge
LOOK = 500  # steps between looks at the mixes held out
GAP = 64  # beats of silence between two mixes
SURE = slice(len(SIGNS), len(SIGNS) + 3)  # columns of the front end's log-odds
LEAST_SURE = 0.4  # of them: the front end is less sure of music that it was not trained on
SPREAD = 0.2  # of the gain of a column in an example, and of the noise on it
DROPPED = 0.1  # of the columns of an example

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


def make(group: int, fonts: Fonts, songs: int, mixes: int) -> list[Example]:
    """Return the mixes of a group, each of some of the songs that the group writes."""
    longer()
    first = FIRST + GROUP * group
    written = [mix.compose(first + number, fonts) for number in range(songs)]
    return [example_of(mix.play_class(first + number, written)) for number in range(mixes)]


def longer() -> None:
    """Let songs be as long as those of a class."""
    form.LONG_ENOUGH_S = PLANNED_S
    for module in (render, mix):
        vars(module)["LENGTH_S"] = SONG_S


def example_of(made: mix.Mix) -> Example:
    """Return what the network is shown of a mix at its true beats, and what is true there."""
    frames = from_features(extract([made.samples]), len(made.samples) / SAMPLE_RATE_HZ)
    rows = rows_of_cues(cues_of(frames, made.beats_s))
    true = np.zeros((len(rows), len(HEADS)), np.float32)
    for first, _, whole in made.sections:
        true[first, 0 if whole else 1] = 1
    true[made.joins, 2] = 1
    return rows, true


def rows_of_cues(cues: BeatCues) -> npt.NDArray[np.float32]:
    """Return what the network is shown at some beats, shape (beats, values)."""
    return network_rows(cues, start_inputs(cues, MIX), score(cues.level))


def train(
    learned: Sequence[Example], held: Sequence[Example], steps: int, seed: int
) -> dict[str, npt.NDArray[np.float32]]:
    """Return the arrays of the run-time network that did best on the mixes held out."""
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    every = np.concatenate([rows for rows, _ in learned])
    mean, std = every.mean(axis=0), every.std(axis=0) + 1e-3

    def on_device(example: Example) -> tuple[Tensor, Tensor]:
        rows = np.clip((example[0] - mean) / std, -FAR, FAR)
        return torch.tensor(rows.T, device=device), torch.tensor(example[1].T, device=device)

    kept_out = [on_device(one) for one in held]
    line = _Reel(learned, mean, std, device)
    torch.manual_seed(seed)
    random = np.random.default_rng(seed)
    net = JoinNet(len(mean)).to(device)
    averaged = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.995)
    )
    optimizer = torch.optim.AdamW(net.parameters(), RATE, weight_decay=0.05)
    weight = torch.tensor([1.0, 1.0, JOIN_WEIGHT], device=device)[:, None]
    best, kept = float("inf"), arrays(net)
    for step in range(steps):
        warm = min(1.0, (step + 1) / 100)
        optimizer.param_groups[0]["lr"] = RATE * warm * 0.5 * (1 + np.cos(np.pi * step / steps))
        rows, true, known = line.drawn(random)
        each = functional.binary_cross_entropy_with_logits(
            net(_blurred(rows)), true, reduction="none"
        )
        loss = (each * known * weight).sum() / known.sum()
        optimizer.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimizer.step()
        averaged.update_parameters(net)
        if step % LOOK == LOOK - 1 or step == steps - 1:
            now = _loss(averaged.module, kept_out)
            print(f"step {step + 1} learned {loss.item():.4f} held out {now:.5f}", flush=True)
            if now < best:
                best, kept = now, arrays(averaged.module)
    return {"mean": mean, "std": std, **kept}


def _blurred(rows: Tensor) -> Tensor:
    """Return standardised rows (batch, values, beats) as other music might show them."""
    one = rows[:, :, :1]
    rows = rows * (1 + SPREAD * torch.randn_like(one)) + SPREAD * torch.randn_like(rows)
    sure = torch.ones_like(one)
    sure[:, SURE] = LEAST_SURE + (1.1 - LEAST_SURE) * torch.rand_like(one[:, :1])
    return rows * sure * (torch.rand_like(one) > DROPPED)


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


class _Reel:
    """All mixes behind each other on the device, with silence between them."""

    def __init__(
        self,
        examples: Sequence[Example],
        mean: npt.NDArray[np.float32],
        std: npt.NDArray[np.float32],
        device: torch.device,
    ) -> None:
        parts: list[tuple[npt.NDArray[np.float32], ...]] = []
        lengths = [len(rows) for rows, _ in examples]
        silence = STRETCH  # behind each mix: a stretch reaches into no second one
        for rows, true in examples:
            shown = np.clip((rows - mean) / std, -FAR, FAR)
            marked = np.concatenate([true, np.ones((len(true), 1), np.float32)], axis=1)
            parts.append(tuple(np.pad(part, ((GAP, silence), (0, 0))) for part in (shown, marked)))
        shown, marked = (np.concatenate(part).T for part in zip(*parts, strict=True))
        self.shown = torch.tensor(np.ascontiguousarray(shown, np.float32), device=device)
        self.marked = torch.tensor(np.ascontiguousarray(marked, np.float32), device=device)
        self.lengths = np.array(lengths)
        self.firsts = np.cumsum([0, *(np.array(lengths[:-1]) + GAP + silence)])
        self.steps = torch.arange(STRETCH, device=device)

    def drawn(self, random: np.random.Generator) -> tuple[Tensor, Tensor, Tensor]:
        """Return stretches of mixes: rows, what is true, and 1 where the mix sounds, else 0."""
        places = random.integers(0, len(self.lengths), BATCH)
        most = np.maximum(self.lengths[places] - STRETCH + 2 * GAP, 1)
        begin = self.firsts[places] + (random.random(BATCH) * most).astype(np.int64)
        at = torch.tensor(begin, device=self.steps.device)[:, None] + self.steps
        rows, marked = (part[:, at].transpose(0, 1) for part in (self.shown, self.marked))
        return rows, marked[:, :-1], marked[:, -1:]


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
    parser.add_argument("--groups", type=int, default=16)
    parser.add_argument("--songs", type=int, default=120, help="songs of a group")
    parser.add_argument("--mixes", type=int, default=130, help="mixes of a group")
    parser.add_argument("--steps", type=int, default=2_200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True)
    options = parser.parse_args()
    global _make
    fonts = Fonts.load(options.fonts)  # before the fork: soundfonts cannot be sent
    _make = partial(make, fonts=fonts, songs=options.songs, mixes=options.mixes)
    with get_context("fork").Pool(options.jobs) as pool:
        groups = pool.map(_made, range(options.groups), chunksize=1)
    learned = [example for group in groups[1:] for example in group]
    save(options.out, train(learned, groups[0], options.steps, options.seed))


def save(out: Path, trained: dict[str, npt.NDArray[np.float32]]) -> None:
    """Write weights in half precision."""
    halves = {name: array.astype(np.float16) for name, array in trained.items()}
    np.savez_compressed(out, allow_pickle=False, **halves)


_make: partial[list[Example]] | None = None


def _made(group: int) -> list[Example]:
    assert _make is not None
    return _make(group)


if __name__ == "__main__":
    main()
