"""The training loop: songs stream in while the network learns from those at hand."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from multiprocessing import Process
from pathlib import Path

import numpy as np
import torch
from torch import Tensor, distributed
from torch.nn import functional

from aquatempo.rhythm.features import FRAMES_PER_SLOW_FRAME, MEL_BANDS, PITCHES
from aquatempo.rhythm.network import SLOW_FRAMES_A_ROW, TEMPO_CLASSES_BPM
from aquatempo.training.augment import augment, compress, late_start, splice
from aquatempo.training.data import (
    FRAMES,
    Example,
    read_example,
    read_song,
    song_path,
    write_songs,
)
from aquatempo.training.net import HEADS, Net, export, restore

__all__ = ["Settings", "train"]

_FIRST_TEST_SEED = 1_000_000_000
_POSITIVE_WEIGHTS = (3.0, 5.0, 8.0)
_TEMPO_WEIGHT = 0.05


@dataclass(frozen=True)
class Settings:
    """Everything that decides the outcome of a training, but for rounding on the device."""

    fonts: list[Path]
    out: Path
    folder: Path
    start: Path | None = None
    music: Path | None = None
    music_share: float = 0.4
    songs: int = 15_000
    first_songs: int = 1_000
    test_songs: int = 160
    steps: int = 17_000
    batch: int = 40
    crop: int = 6_400
    rate: float = 2e-3
    seed: int = 1
    fast: int = 40
    slow: int = 56
    slow_blocks: int = 16
    workers: int = 16
    seconds: float = 1e9
    devices: int = 1
    averaging: float = 0.999
    keep_songs: bool = True


class Store:
    """The songs at hand, on the device that trains."""

    def __init__(self, size: int, device: torch.device) -> None:
        slow = FRAMES // FRAMES_PER_SLOW_FRAME
        self.mel = torch.zeros(size, FRAMES, MEL_BANDS, dtype=torch.float16, device=device)
        self.pitch = torch.zeros(size, slow, PITCHES, dtype=torch.float16, device=device)
        self.target = torch.zeros(size, FRAMES, len(HEADS), dtype=torch.uint8, device=device)
        self.tempo = torch.zeros(size, slow, dtype=torch.float16, device=device)
        self.known = torch.ones(size, 1, len(HEADS), dtype=torch.bool, device=device)
        self.loss = torch.ones(size, device=device)
        self.styles: list[str] = []

    def add(self, example: Example) -> None:
        """Put in one more song."""
        place = len(self.styles)
        self.mel[place] = torch.from_numpy(example.mel)
        self.pitch[place] = torch.from_numpy(example.pitch)
        self.target[place] = torch.from_numpy(example.target)
        self.tempo[place] = torch.from_numpy(example.tempo_bpm)
        self.known[place, 0] = torch.from_numpy(example.known > 0)
        self.styles.append(example.style)

    def draw(
        self, batch: int, crop: int, generator: torch.Generator
    ) -> tuple[Tensor, tuple[Tensor, Tensor, Tensor, Tensor]]:
        """Return random songs and a stretch of ``crop`` frames of each.

        A song is drawn the more often the worse it went: half to three times the mean. Targets
        are -1 where the truth is not known.
        """
        device = self.mel.device
        loss = self.loss[: len(self.styles)]
        odds = (loss / loss.mean()).clamp(0.5, 3.0)
        which = torch.multinomial(odds, batch, replacement=True, generator=generator)
        slow = crop // FRAMES_PER_SLOW_FRAME
        last = FRAMES // FRAMES_PER_SLOW_FRAME - slow
        start = torch.randint(last + 1, (batch,), generator=generator, device=device)
        rows = start[:, None] + torch.arange(slow, device=device)
        fine = FRAMES_PER_SLOW_FRAME * start[:, None] + torch.arange(crop, device=device)
        songs = which[:, None]
        return which, (
            self.mel[songs, fine],
            self.pitch[songs, rows],
            (self.target[songs, fine].float() / 255).where(self.known[which], -1),
            self.tempo[songs, rows].float(),
        )

    def went(self, which: Tensor, loss: Tensor) -> None:
        """Keep in mind how badly each song of a batch went."""
        self.loss[which] = 0.7 * self.loss[which] + 0.3 * loss


def losses(heads: Tensor, tempi: Tensor, target: Tensor, tempo_bpm: Tensor) -> Tensor:
    """Return the losses of beat, downbeat, phrase and tempo by song, (batch, 4).

    A target of -1 is not known and costs nothing.
    """
    positive = torch.tensor(_POSITIVE_WEIGHTS, device=heads.device)
    known, target = target >= 0, target.clamp(min=0)
    weight = (1 + (positive - 1) * target) * known
    parts = functional.binary_cross_entropy_with_logits(
        heads.float(), target, weight=weight, reduction="none"
    ).mean(1)
    rows = tempo_bpm.shape[1] // SLOW_FRAMES_A_ROW
    cut = rows * SLOW_FRAMES_A_ROW
    logits = tempi[:, :cut].float().unflatten(1, (rows, SLOW_FRAMES_A_ROW)).mean(2)
    true_bpm = tempo_bpm[:, SLOW_FRAMES_A_ROW // 2 : cut : SLOW_FRAMES_A_ROW]
    centres = torch.tensor(TEMPO_CLASSES_BPM, device=heads.device).float()
    width = torch.log(centres[1] / centres[0])
    distance = torch.log(true_bpm.clamp(min=1)[..., None] / centres) / width
    wanted = torch.softmax(-0.5 * distance**2, -1)
    music = (true_bpm > 0).float()
    entropy = -(wanted * torch.log_softmax(logits, -1)).sum(-1)
    tempo = (entropy * music).sum(1) / music.sum(1).clamp(min=1)
    return torch.cat([parts, _TEMPO_WEIGHT * tempo[:, None]], 1)


def train(settings: Settings) -> None:
    """Train, report on songs never trained on, and write the weights.

    Each of several devices has songs of its own; gradients are averaged over all.
    """
    seeds = _seeds(settings)
    writer = Process(
        target=write_songs, args=(seeds, settings.fonts, settings.folder, settings.workers)
    )
    if settings.workers:  # started before a device is touched
        writer.start()
    if settings.devices > 1:
        torch.multiprocessing.spawn(_learn, (settings,), nprocs=settings.devices)
    else:
        _learn(0, settings)
    if settings.workers:
        writer.join(timeout=5)  # done, unless the clock ended the training early
        writer.terminate()


def _learn(rank: int, settings: Settings) -> None:
    """Train on one of the devices; the first one reports and writes."""
    begun = time.monotonic()
    first = rank == 0
    tests = settings.test_songs
    seeds = _seeds(settings)
    mine = [*seeds[: tests if first else 0], *seeds[tests + rank :: settings.devices]]
    source = (read_song(settings.folder, seed, settings.keep_songs) for seed in mine)
    device = torch.device("cuda", rank) if torch.cuda.is_available() else torch.device("cpu")
    if settings.devices > 1:
        os.environ |= {"MASTER_ADDR": "127.0.0.1", "MASTER_PORT": "29500"}
        if device.type == "cuda":
            torch.cuda.set_device(device)
        backend = "nccl" if device.type == "cuda" else "gloo"
        distributed.init_process_group(backend, rank=rank, world_size=settings.devices)
    torch.backends.cudnn.benchmark = True
    torch.manual_seed(settings.seed)
    net = Net(settings.fast, settings.slow, settings.slow_blocks)
    if settings.start:
        restore(net, settings.start)
    net = net.to(device)
    torch.manual_seed(settings.seed + 1000 * rank)
    generator = torch.Generator(device).manual_seed(settings.seed + rank)
    test = Store(tests if first else 0, device)
    store = Store(-(-settings.songs // settings.devices), device)
    for _ in range(tests if first else 0):
        test.add(next(source))
    by_others = round(settings.batch * settings.music_share) if settings.music else 0
    shelves = [(store, settings.batch - by_others)]
    if settings.music and by_others:
        shelves.append((_shelf(settings.music, device), by_others))
    averaged = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(settings.averaging)
    )
    optimizer = torch.optim.AdamW(net.parameters(), settings.rate, weight_decay=0.01)
    running = torch.zeros(4, device=device)
    trained_from, past = time.monotonic(), 0.0
    for step in range(settings.steps):
        _fill(store, source, settings, past, mine[tests if first else 0 :])
        looks = [shelf.draw(count, settings.crop, generator) for shelf, count in shelves]
        with torch.no_grad():
            drawn = [torch.cat(parts) for parts in zip(*(look for _, look in looks), strict=True)]
            mel, pitch, target, tempo = late_start(*splice(*drawn))
            mel, pitch = augment(mel, pitch)
        with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
            heads, tempi = net(mel, pitch)
        by_song = losses(heads, tempi, target, tempo)
        went = by_song.detach().sum(1).split([count for _, count in shelves])
        for (shelf, _), (which, _), loss in zip(shelves, looks, went, strict=True):
            shelf.went(which, loss)
        parts = by_song.mean(0)
        for group in optimizer.param_groups:
            group["lr"] = settings.rate * _schedule(past)
        optimizer.zero_grad(set_to_none=True)
        parts.sum().backward()
        clock = (time.monotonic() - trained_from) / settings.seconds
        past = max((step + 1) / settings.steps, _shared(net, clock, settings.devices))
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimizer.step()
        averaged.update_parameters(net)
        running += parts.detach()
        late = past >= 1
        if first and (step % 500 == 499 or late):
            shown = " ".join(f"{value:.4f}" for value in (running / (step % 500 + 1)).tolist())
            elapsed, songs = time.monotonic() - begun, len(store.styles) * settings.devices
            print(f"{elapsed:6.0f} s step {step + 1} songs {songs} loss {shown}", flush=True)
            running.zero_()
        if first and step % 1000 == 999:
            export(averaged.module, settings.out)
        if late:
            break
    if first:
        export(averaged.module, settings.out)
        report(averaged.module, test)
    if settings.devices > 1:
        distributed.destroy_process_group()


def _shelf(folder: Path, device: torch.device) -> Store:
    """Return the examples of music by others that lie in a folder."""
    files = sorted(folder.glob("*.npz"))
    shelf = Store(len(files), device)
    for file in files:
        shelf.add(read_example(file))
    return shelf


def _shared(net: Net, clock: float, devices: int) -> float:
    """Average the gradients over all devices, and what their clocks say; return the latter."""
    if devices == 1:
        return clock
    slopes = [weight.grad for weight in net.parameters() if weight.grad is not None]
    flat = torch.cat([slope.flatten() for slope in slopes])
    flat = torch.cat([flat, torch.tensor([clock], device=flat.device)])
    distributed.all_reduce(flat)
    flat /= devices
    place = 0
    for slope in slopes:
        slope.copy_(flat[place : place + slope.numel()].view_as(slope))
        place += slope.numel()
    return float(flat[-1])


def _schedule(past: float) -> float:
    """Return the share of the full learning rate: a short rise, then half a cosine."""
    rise = 0.04
    if past < rise:
        return past / rise
    return 0.5 + 0.5 * math.cos(math.pi * min(1.0, (past - rise) / (1 - rise)))


def _seeds(settings: Settings) -> list[int]:
    """Return the seeds of the test songs, then of the training songs."""
    tests = range(_FIRST_TEST_SEED, _FIRST_TEST_SEED + settings.test_songs)
    return [*tests, *(_seed(settings, number) for number in range(settings.songs))]


def _seed(settings: Settings, number: int) -> int:
    """Return the seed of a training song."""
    return settings.seed * 10_000_000 + number


def _fill(
    store: Store, source: Iterator[Example], settings: Settings, past: float, seeds: list[int]
) -> None:
    """Take in the songs that are due by now: all of them by 0.9 of the training.

    A training against the clock does not wait for songs that are not yet written.
    """
    begin = -(-settings.first_songs // settings.devices)
    due = begin + int(max(len(seeds) - begin, 0) * min(1.0, past / 0.9))
    while (here := len(store.styles)) < min(due, len(seeds)):
        waits = settings.seconds == Settings.seconds or here < begin
        if not waits and not song_path(settings.folder, seeds[here]).exists():
            break
        store.add(next(source))


@torch.no_grad()
def report(net: Net, test: Store) -> None:
    """Print losses on the test songs and, by style, how often bar phase and level are right."""
    net.eval()
    total = torch.zeros(4, device=test.mel.device)
    scores: dict[str, list[tuple[bool, bool, float]]] = {}
    centres = np.log2(TEMPO_CLASSES_BPM)
    for place, style in enumerate(test.styles):
        one = slice(place, place + 1)
        target = test.target[one].float() / 255
        heads, tempi = net(compress(test.mel[one]), compress(test.pitch[one]))
        total += losses(heads, tempi, target, test.tempo[one].float())[0]
        beats = (target[0, :, 0] > 0.6).nonzero()[:, 0]
        down = torch.sigmoid(heads[0, beats, 1]).cpu().numpy()
        is_down = (target[0, beats, 1] > 0.6).cpu().numpy()
        bar = 3 if style == "waltz" else 4
        phase = np.cumsum(is_down)  # a bar number, so that odd bars do not shift the phase
        places = np.zeros(len(beats), int)
        for index in range(1, len(beats)):
            places[index] = 0 if phase[index] != phase[index - 1] else places[index - 1] + 1
        by_phase = [down[places == k].mean() if (places == k).any() else 0 for k in range(bar)]
        class_ = centres[int(torch.softmax(tempi[0].float(), -1).mean(0).argmax())]
        true = torch.median(test.tempo[place][test.tempo[place] > 0]).item()
        hit = torch.sigmoid(heads[0, beats, 0]).mean().item()
        scores.setdefault(style, []).append(
            (int(np.argmax(by_phase)) == 0, abs(class_ - np.log2(true)) < 0.07, hit)
        )
    print("test loss", " ".join(f"{value:.4f}" for value in (total / len(test.styles)).tolist()))
    for style, rows in sorted(scores.items()):
        phase, level, hit = np.mean(np.array(rows, float), axis=0)
        print(f"{style:12} {len(rows):3} bar {phase:.2f} level {level:.2f} beat {hit:.2f}")
    phase, level, hit = np.mean(
        np.array([row for rows in scores.values() for row in rows], float), axis=0
    )
    print(f"{'all':12} {len(test.styles):3} bar {phase:.3f} level {level:.3f} beat {hit:.3f}")
