"""A session: song in, mastered samples and truth out."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from . import players
from .drums import RATE_HZ
from .mix import Channel, Sounding, Stereo, master, mix
from .song import Section, Song

BEATS_PER_BAR = 4
TAIL_S = 2.6
TARGET_LUFS = -15.0
FADE_END_DB = -34.0
LEVELS = {"low": 0.78, "medium": 0.88, "high": 1.0}
CENTRE = Channel()
FADERS = {
    "drums": Channel(-3.5, 0.0, 0.05),
    "tops": Channel(-11.5, 0.22, 0.05),
    "bass": Channel(-8.5, 0.0, 0.0, 0.25),
    "pad": Channel(-10.0, 0.0, 0.25, 0.35),
    "stab": Channel(-11.0, -0.25, 0.15),
    "pluck": Channel(-10.0, 0.35, 0.25),
    "organ": Channel(-8.5, -0.35, 0.12),
    "string": Channel(-7.5, 0.3, 0.15),
    "power": Channel(-9.5, -0.3, 0.08),
    "electric_piano": Channel(-9.5, -0.3, 0.15),
    "saw_lead": Channel(-9.5, 0.08, 0.22),
    "flute": Channel(-8.0, 0.1, 0.28),
    "singer": Channel(-7.0, 0.0, 0.2),
    "bell": Channel(-9.0, 0.15, 0.35),
}
TOPS = {
    "hat",
    "hat_open",
    "ride",
    "crash",
    "shaker",
    "tambourine",
    "cowbell",
    "conga_high",
    "conga_low",
    "rim",
}


Stretch = dict[str, float | int | str]


@dataclass(frozen=True)
class Truth:
    """What the session knows exactly; the truth file holds these fields."""

    title: str
    tempo_bpm: float
    beats_per_bar: int
    duration_s: float
    beats_s: list[float]
    downbeats_s: list[float]
    phrases: list[Stretch]
    bridges: list[Stretch]
    notes: str


def write_notes(song: Song, rng: np.random.Generator) -> list[players.Note]:
    """Return all notes of the song; beat 0 is its first count 1."""
    scale = [players.Chord.named(name).root for name in song.scale.split()]
    harmony = {
        name: [players.Chord.named(chord) for chord in text.split()]
        for name, text in song.progressions.items()
    }
    ideas = (players.motif(rng), players.motif(rng))
    notes = pick_up(song, harmony["main"], rng)
    start = 0.0
    for section in song.sections:
        level = LEVELS[section.energy_level]
        chords = harmony[section.progression]
        notes += play_drums(song, section, start, level, rng)
        if section.bass:
            sound, pattern = song.basses[section.bass]
            notes += players.bass(sound, pattern, chords, start, section.counts, level)
        for name in section.chords:
            sound, pattern, centre = song.chords[name]
            notes += players.comping(sound, pattern, chords, start, section.counts, level, centre)
        if section.lead:
            sound, centre = song.leads[section.lead]
            notes += players.melody(
                sound, ideas, scale, chords, start, section.counts, level, centre, rng
            )
        start += section.counts
    if not song.fade_counts:
        notes += last_chord(song, harmony["main"][0], start)
    return notes


def play_drums(
    song: Song, section: Section, start: float, level: float, rng: np.random.Generator
) -> list[players.Note]:
    """Return the drums of one section: groove, turns, fill, crash."""
    if section.drums is None:
        return []
    notes = players.drums(song.grooves[section.drums], start, section.counts, level, rng)
    notes = players.variation(notes, start, section.counts, rng)
    if section.fill:
        notes = players.fill(notes, start + section.counts, section.fill, level, rng)
    if section.crash:
        notes.append(players.Note("crash", start, 4, 0, 0.8 * level))
    return notes


def pick_up(
    song: Song, chords: list[players.Chord], rng: np.random.Generator
) -> list[players.Note]:
    """Return drums and bass on the counts before the first count 1."""
    notes = []
    for count in range(-song.pickup_counts, 0):
        notes.append(players.Note("snare", count, 0.25, 0, 0.7))
        notes.append(players.Note("kick", count, 0.25, 0, 0.6))
        root = 40 + (chords[0].root - 40) % 12
        notes.append(players.Note("bass_finger", count, 0.9, root + count, 0.8))
    if song.pickup_counts:
        notes.append(players.Note("snare", -0.5, 0.25, 0, 0.5))
    return notes


def last_chord(song: Song, chord: players.Chord, beat: float) -> list[players.Note]:
    """Return the chord that ends the song, one count after its last."""
    sounds = [sound for sound, _, _ in song.chords.values()]
    notes = [
        players.Note(sound, beat, 3, pitch, 0.85) for sound in sounds for pitch in chord.near(62)
    ]
    bass_sound = next(iter(song.basses.values()))[0]
    notes.append(players.Note(bass_sound, beat, 3, 28 + (chord.root - 28) % 12, 0.9))
    if song.grooves:
        notes += [players.Note("crash", beat, 4, 0, 0.8), players.Note("kick", beat, 1, 0, 1.0)]
    return notes


def swung(beat: float, swing: float) -> float:
    """Return the position with the second eighth of each beat moved to ``swing``."""
    whole, part = divmod(beat, 1.0)
    return whole + (part * 2 * swing if part < 0.5 else swing + (part - 0.5) * 2 * (1 - swing))


def perform(song: Song) -> tuple[Stereo, Truth]:
    """Return the mastered track and its truth."""
    rng = np.random.default_rng(song.seed)
    beat_s = 60 / song.tempo_bpm
    first_s = song.silence_s + song.pickup_counts * beat_s
    parts: dict[str, list[Sounding]] = defaultdict(list)
    for note in write_notes(song, rng):
        late_s = float(np.clip(rng.normal(0, song.human_ms / 1000), -0.009, 0.009))
        part = part_of(note.sound)
        if part == "drums":
            late_s *= 0.5  # the drummer is the steadiest
        time_s = max(0.0, first_s + swung(note.beat, song.swing) * beat_s + late_s)
        parts[part].append(
            Sounding(note.sound, time_s, note.beats * beat_s, note.pitch, note.velocity)
        )
    counts = sum(section.counts for section in song.sections)
    end_s = first_s + counts * beat_s + (0.0 if song.fade_counts else TAIL_S)
    faders = {part: song.faders.get(part, FADERS.get(part, CENTRE)) for part in parts}
    samples = mix(dict(parts), faders, end_s, rng)
    heard_s = end_s
    if song.fade_counts:
        samples, heard_s = fade(samples, first_s + (counts - song.fade_counts) * beat_s, end_s)
    return master(samples, TARGET_LUFS, -1.6), truth_of(song, first_s, heard_s, end_s)


def part_of(sound: str) -> str:
    """Return the channel that a sound belongs to."""
    if sound in TOPS:
        return "tops"
    if sound.startswith("bass"):
        return "bass"
    return sound if sound in FADERS else "drums"


def fade(samples: Stereo, begin_s: float, end_s: float) -> tuple[Stereo, float]:
    """Return the samples faded to nothing and the time at which ``FADE_END_DB`` is reached."""
    t = np.arange(len(samples)) / RATE_HZ
    gain = np.clip((end_s - t) / (end_s - begin_s), 0, 1) ** 2
    reached_s = end_s - (end_s - begin_s) * 10 ** (FADE_END_DB / 40)
    return samples * gain[:, None], float(reached_s)


def truth_of(song: Song, first_s: float, heard_s: float, end_s: float) -> Truth:
    """Return beats, downbeats and stretches up to ``heard_s``.

    Where the song does not fade, the chord after the last count is one more beat and
    downbeat; it belongs to no stretch.
    """
    beat_s, lead_in = 60 / song.tempo_bpm, song.pickup_counts
    counts = sum(section.counts for section in song.sections)
    last = counts if not song.fade_counts else counts - 1
    beats = [first_s + beat * beat_s for beat in range(-lead_in, last + 1)]
    beats = [time_s for time_s in beats if time_s <= heard_s]
    phrases: list[Stretch] = []
    stretches = [(section.counts, section.kind, section.energy_level) for section in song.sections]
    if lead_in:
        stretches.insert(0, (lead_in, "intro", "low"))
    begin = 0
    for length, kind, level in stretches:
        inside = min(length, len(beats) - begin)
        stop_s = min(beats[begin] + length * beat_s, heard_s)
        phrases.append(
            {
                "start_s": round(beats[begin], 4),
                "end_s": round(stop_s, 4),
                "start_beat": begin,
                "counts": inside,
                "kind": kind,
                "energy_level": level,
            }
        )
        begin += length
    bridges = [
        {key: phrase[key] for key in ("start_s", "end_s", "start_beat", "counts")}
        for phrase in phrases
        if phrase["kind"] == "bridge"
    ]
    return Truth(
        title=song.title,
        tempo_bpm=song.tempo_bpm,
        beats_per_bar=BEATS_PER_BAR,
        duration_s=round(end_s, 3),
        beats_s=[round(time_s, 4) for time_s in beats],
        downbeats_s=[round(time_s, 4) for time_s in beats[lead_in::BEATS_PER_BAR]],
        phrases=phrases,
        bridges=bridges,
        notes=song.notes,
    )
