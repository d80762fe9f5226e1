"""Set sung: pop songs by the second writer, a voice in front, mastered loud and coded.

The band plays from sound banks that training did not have, without a melody; the lead is
``singing``: speech synthesis, syllables of no language. The docs say how, and when it was heard.
"""

from __future__ import annotations

import subprocess
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import soundfile as sf
from scipy import signal
from studio.drums import RATE_HZ
from studio.mix import Stereo, k_weighted, limit, loudness_lufs, room
from studio.players import Chord

from ..arrangement import Piece, Pulse, Render, Stretch, moved, notes_of
from ..building import save
from ..layout import TRACKS
from ..rendering import with_bank
from ..singing import Singer, Sung, sing, words
from ..styles import load_styles
from ..timing import Performance, Times, at, perform, truth_of

FIRST_SEEDS = {"sung": 11_900, "sung_fresh": 12_900}
"""By draw. The fresh one has other seeds, tempi and banks, to prove a repair on."""
STYLES = load_styles("sung_styles.toml")
LENGTH_S = 88.0
SINGERS = (
    Singer("en-us+f2", 65, 67),
    Singer("en-us+m3", 45, 55),
    Singer("en-gb+f3", 62, 65),
    Singer("en-us+m7", 50, 57),
    Singer("en-gb-scotland+f1", 62, 66),
    Singer("en-gb-x-rp+m1", 48, 58),
)
CODERS = (("libmp3lame", "mp3", 128), ("libmp3lame", "mp3", 192), ("libvorbis", "ogg", 112))
PLAYED = Pulse(drift=0.01, sway_ms=3.0, scatter_ms=6.0)
PLAN: tuple[tuple[str, float, str, str], ...] = (
    ("four_floor", 122.0, "csound", "dance"),
    ("even_pop", 104.0, "fluid+pearl", "pop"),
    ("drive_rock", 152.0, "csound+rust", "rock"),
    ("shuffle_pop", 126.0, "patches+pearl", "swing"),
    ("slow_song", 92.0, "fluid", "ballad"),
    ("pulse_pop", 134.5, "fm", "pop"),
    ("offbeat_pop", 98.0, "fm", "off-beat snare"),
    ("funk_pop", 108.0, "csound+pearl", "pop"),
    ("four_floor", 128.0, "patches", "alone"),
    ("even_pop", 118.0, "csound", "alone"),
    ("drive_rock", 166.0, "fluid+rust", "rock"),
    ("shuffle_pop", 138.0, "csound", "swing"),
    ("slow_song", 100.0, "csound+pearl", "ballad"),
    ("pulse_pop", 146.0, "csound", "alone"),
    ("offbeat_pop", 103.3, "csound", "off-beat snare"),
    ("funk_pop", 115.2, "fm", "pop"),
    ("even_pop", 126.0, "patches+rust", "played"),
    ("drive_rock", 131.0, "patches+pearl", "played"),
    ("four_floor", 117.4, "fluid", "alone"),
    ("shuffle_pop", 110.0, "fluid+pearl", "swing"),
    ("slow_song", 96.5, "fm", "alone"),
    ("pulse_pop", 125.0, "patches", "pop"),
    ("even_pop", 97.0, "fm", "pop"),
    ("drive_rock", 143.0, "csound+pearl", "alone"),
    ("four_floor", 125.8, "fm", "dance"),
    ("slow_song", 90.0, "patches+pearl", "ballad"),
    ("funk_pop", 100.6, "fluid+rust", "played"),
    ("offbeat_pop", 94.0, "patches", "alone"),
    ("shuffle_pop", 102.0, "csound+rust", "alone"),
    ("pulse_pop", 120.0, "fluid", "dance"),
)
"""Style, tempo [beats/min], sound bank and kit, kind: one song each."""


@dataclass(frozen=True)
class Song:
    """A piece, which part of the song each stretch sings ("" none), and how it is sung."""

    piece: Piece
    sung: tuple[str, ...]
    singer: Singer
    late_s: float
    loud_db: float
    doubled: bool


def make(draw: str = "sung") -> None:
    """Build all songs that are not there."""
    for number in range(len(PLAN)):
        made = song(number, draw)
        if not (TRACKS / draw / f"{made.piece.name}.json").exists():
            performance = perform(made.piece, notes_of(made.piece))
            samples = mastered(recorded(made, performance), made.piece.seed)
            coder = CODERS[number % len(CODERS)]
            save(
                TRACKS / draw,
                made.piece.name,
                coded(samples, *coder),
                truth_of(made.piece, performance),
            )


def song(number: int, draw: str = "sung") -> Song:
    """Return one song: its row of the plan, everything else from its seed."""
    style_name, tempo_bpm, banks, tag = PLAN[number]
    first_seed = FIRST_SEEDS[draw]
    if draw != "sung":
        shift = np.random.default_rng(first_seed - 1 - number).uniform(0.95, 1.04)
        tempo_bpm = round(float(shift) * tempo_bpm, 1)
        banks = PLAN[(number + 7) % len(PLAN)][2]
    rng = np.random.default_rng(first_seed + number)
    bank, _, kit = banks.partition("+")
    stretches, sung = form(rng, tempo_bpm, tag)
    singer = SINGERS[int(rng.integers(len(SINGERS)))]
    late_s = float(rng.uniform(0.02, 0.06)) if rng.random() < 0.75 else -0.015
    piece = Piece(
        name=f"{draw}_{number:02d}_{style_name}",
        tempo_bpm=tempo_bpm,
        seed=first_seed + 100 + number,
        style=STYLES[style_name],
        stretches=stretches,
        transpose=int(rng.integers(-3, 4)),
        pulse=PLAYED if tag == "played" else Pulse(scatter_ms=float(rng.uniform(1, 5))),
        render=Render(
            bank=bank,
            kit=kit,
            drums_db=float(rng.uniform(-3, 1)) - 4 * (tag == "ballad"),
            bass_db=float(rng.uniform(-1, 3)),
            comps_db=float(rng.uniform(-1, 3)),
            room=float(rng.uniform(0.05, 0.25)),
        ),
        silence_s=float(rng.choice([0.05, 0.4, 1.1])),
        tags=(tag,),
        notes=f"{style_name}, bank {banks}, voice {singer.name}, {1000 * late_s:.0f} ms late",
    )
    return Song(
        piece, sung, singer, late_s, float(rng.uniform(1, 5)), doubled=bool(rng.random() < 0.6)
    )


def form(
    rng: np.random.Generator, tempo_bpm: float, tag: str
) -> tuple[tuple[Stretch, ...], tuple[str, ...]]:
    """Return verses and choruses after an introduction, about 88 s, and what each sings."""
    soft = "low" if tag in ("ballad", "alone") else "medium"
    extra = ("arp",) if rng.random() < 0.5 else ("riff",)

    def phrase(level: str, comps: tuple[str, ...], **more: object) -> Stretch:
        ending = str(rng.choice(["fill", "fill", "none", "stop"]))
        plain = Stretch(32, "phrase", level, level, level, comps, False, ending, 2)
        return replace(plain, **more)  # type: ignore[arg-type]

    verse = phrase(soft, ("pad",) if tag == "alone" else ("pad", "comp"))
    again = phrase("medium", ("pad", "comp"), ending="fill")
    chorus = phrase("high", ("pad", "comp", *extra), crash=True, progression=1)
    quiet = Stretch(32, "break", "low", None, None, ("pad",), False, "roll", 4)
    between = Stretch(int(rng.choice([4, 8])), "bridge", "medium", "medium", "low", ("pad",),
                      False, "fill", 2)  # fmt: skip
    rows: list[tuple[Stretch, str]] = []
    if tag == "alone":  # the singer with a pad, nothing else
        counts = int(rng.choice([16, 32]))
        rows.append((Stretch(counts, "intro", "low", None, None, ("pad",)), "intro"))
    elif counts := int(rng.choice([0, 8, 16])):
        rows.append((Stretch(counts, "intro", "low", "low", "low", ("comp",)), ""))
    middle = [(quiet, "verse")] if rng.random() < 0.6 else [(between, "")]
    parts = [(verse, "verse"), (chorus, "chorus"), (again, "verse"), (chorus, "chorus"), *middle]
    parts += [(chorus, "chorus"), (again, "verse"), (chorus, "chorus")] * 2
    for stretch, sings in parts:
        if sum(row.counts for row, _ in rows) * 60 / tempo_bpm > LENGTH_S - 8:
            break
        rows.append((stretch, sings))
    if rows[-1][0].kind != "phrase":
        rows.append((chorus, "chorus"))
    return tuple(row for row, _ in rows), tuple(sings for _, sings in rows)


def tune(made: Song, beats_s: Times, rng: np.random.Generator) -> list[Sung]:
    """Return the melody in time: lines of eight counts, of which a part begins ahead of its bar."""
    piece = made.piece
    ideas = {name: (line(rng), line(rng)) for name in ("intro", "verse", "chorus")}
    lyrics = words(rng, 40)
    centre = made.singer.centre
    scale = {(Chord.named(name).root + piece.transpose) % 12 for name in piece.style.scale.split()}
    ladder = [pitch for pitch in range(centre - 9, centre + 11) if pitch % 12 in scale]
    grid = np.arange(len(beats_s))
    notes: list[Sung] = []
    start = 0
    for stretch, part in zip(piece.stretches, made.sung, strict=True):
        text = piece.style.progressions[stretch.progression % len(piece.style.progressions)]
        chords = [moved(Chord.named(name), piece.transpose) for name in text.split()]
        lift = 2 if part == "chorus" else 0
        fresh = lyrics if part == "chorus" else words(rng, 40)
        said = 0
        for block in range(stretch.counts // 8 if part else 0):
            onsets, moves = ideas[part][block % 4 == 2]
            place = len(ladder) // 2 - 1 + lift + int(rng.integers(-1, 2))
            for index, onset in enumerate(onsets):
                beat = start + 8 * block + onset
                if beat < 0.5:
                    continue
                place = int(np.clip(place + moves[index], 0, len(ladder) - 1))
                tones = chords[max(0, int(block * 2 + onset // 4)) % len(chords)].pitches()
                pitch = ladder[place]
                following = onsets[index + 1] if index + 1 < len(onsets) else onset + 2.5
                if following - onset > 0.9:
                    pitch = min(
                        (p for p in ladder if p % 12 in tones), key=lambda p: abs(p - pitch)
                    )
                begin_s = at(beat, piece.style.swing, grid, beats_s)
                end_s = at(start + 8 * block + min(following, onset + 3), 0.5, grid, beats_s)
                loud = float(rng.uniform(0.75, 1.0)) * (1.0 if part == "chorus" else 0.85)
                notes.append(
                    Sung(fresh[said % len(fresh)], begin_s + made.late_s,
                         max(0.1, 0.93 * (end_s - begin_s)), float(pitch), loud)
                )  # fmt: skip
                said += 1
        start += stretch.counts
    return notes


def line(rng: np.random.Generator) -> tuple[list[float], list[int]]:
    """Return onsets of a line over two bars [counts] and moves in steps of the scale.

    Counts are sung ahead by half a count in a third of the cases, as in syncopated pop; a line
    begins up to a count before its bar, on it, or after it.
    """
    weights = np.tile([1.0, 0.12, 0.75, 0.2], 6)
    count = int(rng.integers(6, 12))
    steps = np.sort(rng.choice(24, count, replace=False, p=weights / weights.sum()))
    onsets = steps / 4
    pushed = (onsets % 1 == 0) & (onsets > 0) & (rng.random(count) < 0.33)
    onsets = np.unique(onsets - 0.5 * pushed + float(rng.choice([-1.0, -0.5, 0.0, 0.0, 0.5])))
    moves = rng.choice([-2, -1, -1, 0, 0, 1, 1, 2], size=len(onsets))
    return onsets.tolist(), moves.tolist()


def recorded(made: Song, performance: Performance) -> Stereo:
    """Return band and voice, mixed: the voice is 1 to 5 dB above the whole band."""
    rng = np.random.default_rng(made.piece.seed + 5)
    band = with_bank(made.piece, performance.soundings, performance.end_s, rng)
    notes = tune(made, performance.beats_s, rng)
    takes = [sing(notes, made.singer, len(band), rng, 0.008)]
    if made.doubled:
        takes += [
            sing([replace(n, pitch=n.pitch + cents / 100) for n in notes], made.singer,
                 len(band), rng, 0.015)
            for cents in (-9, 8)
        ]  # fmt: skip
    sides = np.array([[1.0, 1.0], [0.55, 0.1], [0.1, 0.55]])[: len(takes)]
    voice = np.stack(takes, axis=1) @ sides
    sos = signal.butter(2, 110, "highpass", fs=RATE_HZ, output="sos")
    voice = squeezed(np.asarray(signal.sosfilt(sos, voice, axis=0)), 0.25)
    delay = round(0.75 * 60 / made.piece.tempo_bpm * RATE_HZ)
    echo = np.zeros_like(voice)
    echo[delay:] = 0.12 * voice[:-delay]
    wet = signal.oaconvolve(voice, room(rng, 1.8, 0.45), axes=0)[: len(voice)]
    voice = voice + echo + 0.18 * wet
    gain = loudness_of(band) / loudness_of(voice) * 10 ** (made.loud_db / 20)
    return np.asarray(band + gain * voice)


def loudness_of(samples: Stereo) -> float:
    """Return the root mean square of what sounds, K-weighted."""
    power = np.mean(k_weighted(samples) ** 2, axis=1)
    power = power[: len(power) // 4410 * 4410].reshape(-1, 4410).mean(axis=1)
    return float(np.sqrt(power[power > 0.03 * power.max()].mean()))


def squeezed(samples: Stereo, share: float, follow_s: float = 0.04) -> Stereo:
    """Return the samples compressed: of each dB above the usual level that share stays off."""
    step = np.exp(-1 / (follow_s * RATE_HZ))
    power = signal.lfilter([1 - step], [1, -step], np.mean(samples**2, axis=1))
    usual = np.percentile(power, 60) + 1e-9
    gain = np.maximum(power / usual, 0.5) ** (-share)
    return np.asarray(samples * signal.lfilter([1 - step], [1, -step], gain)[:, None])


def mastered(samples: Stereo, seed: int) -> Stereo:
    """Return the samples through a loud chain: bands, compression, soft clip, limiter, hard clip.

    Lows and highs are lifted by up to 4 dB; what comes out has about -9 to -6.5 LUFS.
    """
    rng = np.random.default_rng(seed + 7)
    low = signal.butter(1, 120, "lowpass", fs=RATE_HZ, output="sos")
    high = signal.butter(1, 7000, "highpass", fs=RATE_HZ, output="sos")
    bright = samples + rng.uniform(0.1, 0.6) * signal.sosfilt(high, samples, axis=0)
    bright = bright + rng.uniform(0, 0.5) * signal.sosfilt(low, samples, axis=0)
    dense = squeezed(bright, rng.uniform(0.25, 0.4))
    target = rng.uniform(-12.5, -9.5)
    for _ in range(2):  # clipping takes loudness off, so twice
        dense = np.tanh(dense * 10 ** ((target - loudness_lufs(dense)) / 20))
    limited = limit(dense, -0.8)
    edge = rng.uniform(0.8, 0.95) * np.abs(limited).max()
    return np.asarray(np.clip(limited, -edge, edge) * 0.93 / edge)


def coded(samples: Stereo, coder: str, ending: str, kbps: int) -> Stereo:
    """Return the samples as they come back from a coder, its delay measured and taken off."""
    with tempfile.TemporaryDirectory() as folder:
        plain, small, back = (Path(folder, name) for name in ("a.wav", f"b.{ending}", "c.wav"))
        sf.write(plain, samples, RATE_HZ, subtype="PCM_16")
        quiet = ["ffmpeg", "-v", "error", "-bitexact", "-i"]
        rate = ["-c:a", coder, "-b:a", f"{kbps}k"]
        subprocess.run([*quiet, str(plain), *rate, str(small)], check=True)
        subprocess.run([*quiet, str(small), "-ar", str(RATE_HZ), str(back)], check=True)
        decoded, _ = sf.read(back, always_2d=True)
    return placed(decoded, samples)


def placed(late: Stereo, samples: Stereo) -> Stereo:
    """Return a delayed copy of the samples moved to where they are, and as long as they."""
    span = 20 * RATE_HZ
    before, after = samples[:span].mean(axis=1), late[:span].mean(axis=1)
    overlap = signal.correlate(after, before, mode="full", method="fft")
    lag = int(np.argmax(overlap)) - (len(before) - 1)
    out = np.zeros_like(samples)
    source = late[max(0, lag) :][: len(samples) - max(0, -lag)]
    out[max(0, -lag) : max(0, -lag) + len(source)] = source
    return out
