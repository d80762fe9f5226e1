"""From a song to sound: who plays what, mixed and mastered."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import tinysoundfont
from scipy import signal

from aquatempo.training import effects, mastering
from aquatempo.training.drums import GENERAL_MIDI, Stroke, play_drums
from aquatempo.training.form import Plan, Rng
from aquatempo.training.parts import Note, play_parts
from aquatempo.training.synth import RATE_HZ, Seconds, Sound, drum, line
from aquatempo.training.timing import wander
from aquatempo.training.voice import choir, sing, talk

__all__ = ["LENGTH_S", "Fonts", "render"]

LENGTH_S = 64.0

_FONT_RATE_HZ = 44_100
_PROGRAMS = {
    "bass": (32, 33, 34, 35, 36, 38, 39),
    "pad": (48, 49, 50, 51, 52, 88, 89, 90, 91, 92, 94, 95, 16, 18, 19, 61, 63, 44, 21),
    "keys": (0, 1, 2, 4, 5, 6, 7, 11, 12, 16, 17, 62, 61, 80, 81, 26, 27, 55),
    "arpeggio": (0, 4, 8, 11, 12, 24, 25, 46, 80, 81, 82, 84, 87, 98, 45, 107),
    "strum": (24, 25, 26, 27, 28, 15, 104, 105),
    "guitar": (29, 30, 29, 30, 28),
    "lead": (80, 81, 82, 83, 84, 85, 52, 53, 54, 56, 57, 59, 60, 64, 65, 66, 67, 68, 71, 73, 75,
             40, 41, 22, 21, 26, 29, 30, 0, 4, 11, 61, 79),
}  # fmt: skip
_KIND_PROGRAMS = {
    "pad": "pad", "arpeggio": "arpeggio", "arpeggio8": "arpeggio", "strum": "strum",
    "chug": "guitar", "gallopchug": "guitar", "power": "guitar", "tremolo": "guitar",
    "funk": "strum", "skank": "strum", "gated": "pad", "muted": "strum", "picked": "arpeggio",
}  # fmt: skip
_BRIGHT = ("hat", "open", "pedal", "ride", "bell", "shaker", "maracas", "tambourine")
_LIMBS = {"snare": "snare", "clap": "snare", "rim": "snare", "hat": "hats", "ride": "hats"}


@dataclass
class Fonts:
    """Loaded soundfonts; load before forking, so that workers share them."""

    synths: list[tuple[tinysoundfont.Synth, int]]

    @classmethod
    def load(cls, paths: list[Path]) -> Fonts:
        """Load the given soundfonts, sf2 or sf3."""
        synths = []
        for path in paths:
            synth = tinysoundfont.Synth(samplerate=_FONT_RATE_HZ, gain=-6)
            synths.append((synth, synth.sfload(str(path), max_voices=96)))
        return cls(synths)


def render(plan: Plan, fonts: Fonts) -> npt.NDArray[np.float32]:
    """Return ``LENGTH_S`` of the song, mono at ``RATE_HZ``."""
    rng = np.random.default_rng([plan.seed, 4])
    samples = int(LENGTH_S * RATE_HZ)
    strokes = _timed_strokes(rng, plan, play_drums(plan))
    parts = {role: _timed(rng, plan, role, notes) for role, notes in play_parts(plan).items()}
    drums = _drums(rng, plan, strokes, fonts, samples)
    own: dict[str, Sound] = {}
    loud_db: dict[str, float] = {}
    channels: list[tuple[int, Seconds]] = []
    for role, notes in parts.items():
        kind = _kind(plan, role)
        if not notes:
            continue
        if role in ("lead", "second") and rng.random() < plan.style.sung:
            voices = choir if rng.random() < 0.25 else sing
            own[role] = voices(notes, samples, rng)
            loud_db[role] = 4.0
        elif rng.random() < plan.style.synthetic and kind not in ("guitar", "strum"):
            own[role] = _own_part(rng, notes, kind, samples)
        else:
            chosen = plan.style.programs if role.startswith("chord") else ()
            programs = chosen or _PROGRAMS[kind]
            channels.append((int(programs[rng.integers(len(programs))]), notes))
    pitched = (
        effects.level(_play(rng, fonts, channels, samples))
        if channels
        else np.zeros(samples, np.float32)
    )
    if {"chug", "gallopchug", "power", "tremolo"} & _kinds(plan) and rng.random() < 0.5:
        pitched = np.tanh(pitched * rng.uniform(1, 8))  # guitars driven hard together
    music = effects.echo(rng, plan, pitched) if rng.random() < 0.15 else pitched
    for role, sound in own.items():
        gain_db = rng.normal(loud_db.get(role, 0.0), 4.5) + 1.5 * (role == "bass")
        if role != "bass" and rng.random() < 0.35:
            sound = effects.echo(rng, plan, sound)
        music = music + 10 ** (gain_db / 20) * effects.level(sound)
    if plan.style.synthetic > 0.4 and rng.random() < 0.5:
        music = music * effects.duck(rng, strokes, samples)
    music = music + effects.risers(rng, plan, samples)
    if rng.random() < 0.1:
        music = music + rng.uniform(0.2, 1.2) * effects.level(talk(rng, samples))
    mix = effects.level(music) + 10 ** (_drum_db(rng, plan) / 20) * effects.level(drums)
    return _mastered(rng, plan, mix)


def _drum_db(rng: Rng, plan: Plan) -> float:
    """Return how loud the drums are beside the music: mostly in front, at times far behind."""
    if rng.random() < plan.style.quiet:
        return float(rng.uniform(-18, -2))
    return float(rng.normal(2.8, 4.0))


def _mastered(rng: Rng, plan: Plan, mix: Sound) -> npt.NDArray[np.float32]:
    """Return a mix as it is published or recorded: in a room, pressed, filtered, coded."""
    if rng.random() < 0.08:
        mix = mastering.sweep(rng, plan, mix)
    if rng.random() < 0.5:
        mix = effects.room(rng, mix)
    if rng.random() < 0.3:
        mix = mastering.compress(rng, effects.level(mix))
    if rng.random() < 0.6:  # a limiter, from gentle to hard
        mix = np.tanh(effects.level(mix) * rng.uniform(0.3, 3.0))
    if rng.random() < 0.15:
        mix = mastering.comb(rng, mix)
    if rng.random() < (0.3 if plan.name in ("chip", "game") else 0.04):
        mix = mastering.crush(rng, mix)
    if rng.random() < 0.15:
        mix = mastering.coarse_code(rng, mix)
    peak = np.abs(mix).max()
    return (mix / max(peak, 1e-9) * 0.9).astype(np.float32)


def _kinds(plan: Plan) -> set[str]:
    return {kind for section in plan.sections for kind in section.material.chords}


def _kind(plan: Plan, role: str) -> str:
    """Return which family of instruments takes a role."""
    if role in ("bass",):
        return "bass"
    if role in ("lead", "second"):
        return "lead"
    layer = int(role[-1])
    for section in plan.sections:
        if layer < len(section.material.chords):
            return _KIND_PROGRAMS.get(section.material.chords[layer], "keys")
    return "keys"


def _timed_strokes(rng: Rng, plan: Plan, strokes: list[Stroke]) -> list[Stroke]:
    """Turn beats into seconds, with human spread, in order."""
    if not strokes:
        return []
    times = plan.time_s(np.array([stroke[0] for stroke in strokes]))
    late = np.array([plan.part_delay_s.get(_LIMBS.get(name, ""), 0.0) for _, name, _ in strokes])
    times = times + rng.normal(0, plan.jitter_s, len(times)) * 0.7 + late
    timed = [
        (float(max(time, 0)), name, float(strength * rng.uniform(0.9, 1.05)))
        for time, (_, name, strength) in zip(times, strokes, strict=True)
    ]
    return sorted(timed)


def _timed(rng: Rng, plan: Plan, role: str, notes: list[Note]) -> Seconds:
    """Turn beats into seconds, with human spread and the delay of the part."""
    if not notes:
        return []
    starts = np.array([note[0] for note in notes])
    ends = starts + np.array([note[1] for note in notes])
    delay = plan.part_delay_s.get(role, 0.0)
    times = plan.time_s(starts) + delay + rng.normal(0, plan.jitter_s, len(notes))
    times += wander(rng, times, plan.jitter_s * (2.5 if role in ("lead", "second") else 1.0))
    lengths = plan.time_s(ends) - plan.time_s(starts)
    timed = [
        (float(max(time, 0.0)), float(max(length, 0.03)), note[2], note[3])
        for time, length, note in zip(times, lengths, notes, strict=True)
        if time < LENGTH_S - 0.1
    ]
    return sorted(timed)


def _drums(rng: Rng, plan: Plan, strokes: list[Stroke], fonts: Fonts, samples: int) -> Sound:
    """Render drums with own synthesis, a kit of a soundfont, or both layered."""
    out: Sound = np.zeros(samples, np.float32)
    own = rng.random() < plan.style.synthetic + 0.1
    thin, bright = _balance(rng)
    machines = ("chip", "fm") if plan.name in ("chip", "game") else ("", "", "", "chip", "fm")
    machine = str(machines[rng.integers(len(machines))])
    speed = float(np.exp(rng.uniform(-0.45, 0.45))) if rng.random() < 0.25 else 1.0
    if own:
        for name in sorted({stroke[1] for stroke in strokes}):
            count = 1 if machine or rng.random() < 0.7 else 3
            takes = [_at_speed(drum(name, rng, machine), speed) for _ in range(count)]
            gain = 10 ** (rng.normal(-1, 4) / 20) * (1.3 * thin if name == "kick" else 0.8)
            gain *= bright if name in _BRIGHT else 1.0
            for time, other, strength in strokes:
                start = int(time * RATE_HZ)
                if other == name and start < samples:
                    take = takes[int(rng.integers(len(takes)))]
                    stop = min(samples, start + len(take))
                    out[start:stop] += take[: stop - start] * (gain * strength)
        out = effects.level(out)
    if not own or rng.random() < 0.3:
        kit = int(plan.style.kits[rng.integers(len(plan.style.kits))])
        gains = {name: float(rng.uniform(0.5, 1.15)) for name in GENERAL_MIDI}
        gains["kick"] *= thin
        if bright > 1:  # a bank has no more than full strength: all else comes down
            gains = {n: g if n in _BRIGHT else g / bright for n, g in gains.items()}
        notes = [
            (time, 0.1, GENERAL_MIDI[name], min(1.0, max(0.03, strength * gains[name])))
            for time, name, strength in strokes
            if time < LENGTH_S - 0.1
        ]
        out = out + effects.level(_play(rng, fonts, [(-1 - kit, notes)], samples))
    return out


def _at_speed(take: Sound, speed: float) -> Sound:
    """Return a stroke played faster or slower, as sampled breaks are made to fit a tempo."""
    if speed == 1.0:
        return take
    return np.interp(np.arange(0, len(take) - 1, speed), np.arange(len(take)), take)


def _balance(rng: Rng) -> tuple[float, float]:
    """Return factors of the kick and of cymbals: at times the one is thin, the others in front."""
    thin = float(rng.uniform(0.05, 0.4)) if rng.random() < 0.12 else 1.0
    bright = float(rng.uniform(1.5, 3.5)) if rng.random() < 0.15 else 1.0
    return thin, bright


def _play(rng: Rng, fonts: Fonts, channels: list[tuple[int, Seconds]], samples: int) -> Sound:
    """Play parts, each on a channel, with a soundfont; a negative program is a drum kit."""
    synth, font = fonts.synths[int(rng.integers(len(fonts.synths)))]
    synth.sounds_off()
    synth.generate_simple(4_410)  # lets what still rings die away
    events: list[tuple[int, int, int, int, int]] = []
    for channel, (program, notes) in enumerate(channels):
        if program < 0:
            if synth.sfpreset_name(font, 128, -1 - program) is None:
                program = -1
            synth.program_select(channel, font, 128, -1 - program, True)
        else:
            synth.program_select(channel, font, 0, program, False)
        level = rng.uniform(0.4, 1.0)
        for start, length, pitch, strength in notes:
            at = int(start * _FONT_RATE_HZ)
            velocity = int(np.clip(127 * strength * level, 1, 127))
            events.append((at, 1, channel, pitch, velocity))
            events.append((at + int(length * _FONT_RATE_HZ), 0, channel, pitch, 0))
    events.sort()
    total = samples * 2
    buffer = bytearray(total * 8)
    view = memoryview(buffer)
    now = 0
    for at, on, channel, pitch, velocity in events:
        if at >= total:
            break
        if at > now:
            synth.generate_simple(at - now, view[8 * now : 8 * at])
            now = at
        if on:
            synth.noteon(channel, pitch, velocity)
        else:
            synth.noteoff(channel, pitch)
    if now < total:
        synth.generate_simple(total - now, view[8 * now :])
    synth.sounds_off()
    stereo = np.frombuffer(buffer, np.float32)
    mono = stereo[0::2] + stereo[1::2]
    return signal.resample_poly(mono, 1, 2)


def _own_part(rng: Rng, notes: Seconds, kind: str, samples: int) -> Sound:
    """Render a part with own oscillators, one voice for each tone of a chord."""
    sound = {"bass": "bass", "pad": "pad", "lead": "lead"}.get(kind, "pluck")
    seed = int(rng.integers(2**31))
    out = np.zeros(samples, np.float32)
    voices: list[Seconds] = []
    for note in notes:
        for voice in voices:
            if abs(voice[-1][0] - note[0]) > 0.025:
                voice.append(note)
                break
        else:
            if len(voices) < 4:
                voices.append([note])
    for voice in voices:  # the same sound for every voice of a part
        out += line(voice, samples, sound, np.random.default_rng(seed))
    return out
