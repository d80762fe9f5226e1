"""From notes in time to audio: sound banks through a synthesiser program, or our own instruments.

Banks (Debian packages, unpacked outside the repository by build.sh): csound
(csound-soundfont, LGPL-2.1+), fm (opl3-soundfont), fluid (fluid-soundfont-gm, MIT), patches
(freepats, GPL-2+ with exception, played by timidity), kits pearl and rust
(avldrums.lv2-soundfont). Attacks of a bank's kick and snare come ``late_ms`` after the event
(measured at a quarter of the peak, rendered dry); the stem is moved back by that much.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import mido
import numpy as np
import soundfile as sf
from scipy import ndimage, signal
from studio.drums import RATE_HZ
from studio.mix import Channel, Sounding, Stereo, limit, loudness_lufs, mix, room
from studio.session import part_of

from .arrangement import Piece
from .layout import CONTENT, FONTS

TICKS_PER_SECOND = 19200
DRUM_NOTES = {
    "kick": 36, "kick_soft": 36, "snare": 38, "snare_tight": 40, "brush": 38, "clap": 39,
    "rim": 37, "hat": 42, "hat_open": 46, "ride": 51, "crash": 49, "tom_high": 48, "tom_mid": 45,
    "tom_low": 41, "conga_high": 63, "conga_low": 64, "shaker": 70, "tambourine": 54,
    "cowbell": 56, "timbale": 65, "agogo_high": 67, "agogo_low": 68, "claves": 75, "guiro": 73,
    "triangle": 81, "bongo_high": 60, "bongo_low": 61,
}  # fmt: skip
SYNTH_VOICES = {"bass": "bass_synth", "lead": "saw_lead"}
PANS = {"bass": 64, "pad": 64, "comp": 40, "arp": 92, "lead": 68, "riff": 84}


@dataclass(frozen=True)
class Bank:
    """A sound bank: file, channel its drums are played on, lateness of its drums [ms]."""

    file: str
    drum_channel: int = 9
    late_ms: float = 2.0


BANKS = {
    "csound": Bank("sf_GMbank.sf2", 9, 2.5),
    "fm": Bank("OPL-3_FM_128M.sf2", 9, 8.0),
    "fluid": Bank("FluidR3_GM.sf2", 9, 4.2),
    "pearl": Bank("Black_Pearl_4_LV2.sf2", 0, 3.0),
    "rust": Bank("Red_Zeppelin_4_LV2.sf2", 0, 4.5),
    "patches": Bank("", 9, 0.8),
}


def render(piece: Piece, notes: Sequence[Sounding], end_s: float) -> Stereo:
    """Return the mixed track, not yet degraded, at about -14 LUFS."""
    rng = np.random.default_rng(piece.seed + 2)
    if piece.render.bank == "synth":
        total = with_our_instruments(piece, notes, end_s, rng)
    else:
        total = with_bank(piece, notes, end_s, rng)
    total = glue(total)
    total = total * 10 ** ((-14 - loudness_lufs(total)) / 20)
    return limit(total, -1.0)


def glue(samples: Stereo) -> Stereo:
    """Return the samples with the slow swings of level drawn together, as a mastered track has."""
    power = ndimage.gaussian_filter1d(np.mean(samples**2, axis=1)[:: RATE_HZ // 100], 80)
    level = np.sqrt(power + 1e-12)
    gain = np.clip((level / np.percentile(level, 80)) ** -0.45, 0.7, 2.8)
    times = np.arange(len(samples)) / (RATE_HZ // 100)
    followed: Stereo = np.interp(times, np.arange(len(gain)), gain)[:, None]
    return samples * followed


def with_our_instruments(
    piece: Piece, notes: Sequence[Sounding], end_s: float, rng: np.random.Generator
) -> Stereo:
    """Return the mix played by the sample tracks' instruments."""
    voices = {"comp": "stab", "pad": "pad", "arp": "pluck", "riff": "power", **SYNTH_VOICES}
    voices.update({key: str(value) for key, value in piece.extra.items() if key in voices})
    parts: dict[str, list[Sounding]] = defaultdict(list)
    for note in notes:
        sound = voices.get(note.sound, note.sound)
        role = note.sound if note.sound in voices else part_of(sound)
        parts[role].append(Sounding(sound, note.time_s, note.held_s, note.pitch, note.velocity))
    gains = piece.render
    faders = {
        "drums": Channel(-3.5 + gains.drums_db, 0.0, 0.06),
        "tops": Channel(-11.5 + gains.drums_db, 0.2, 0.06),
        "bass": Channel(-8.0 + gains.bass_db, 0.0, 0.0, 0.2),
        "pad": Channel(-11.0 + gains.comps_db, 0.0, 0.25, 0.3),
        "comp": Channel(-10.5 + gains.comps_db, -0.3, 0.15),
        "arp": Channel(-10.0 + gains.comps_db, 0.35, 0.2),
        "riff": Channel(-10.0 + gains.comps_db, -0.25, 0.1),
        "lead": Channel(-9.0 + gains.lead_db, 0.05, 0.25),
    }
    return mix(dict(parts), {name: faders[name] for name in parts}, end_s, rng)


def with_bank(
    piece: Piece, notes: Sequence[Sounding], end_s: float, rng: np.random.Generator
) -> Stereo:
    """Return the mix played from sound banks: drums and the rest are rendered apart."""
    style, gains = piece.style, piece.render
    kit = gains.kit or gains.bank
    drums = [note for note in notes if note.pitch == 0]
    pitched = [note for note in notes if note.pitch > 0]
    low = [note for note in pitched if note.sound == "bass"]
    lead = [note for note in pitched if note.sound == "lead"]
    comps = [note for note in pitched if note.sound not in ("bass", "lead")]
    total = np.zeros((int(end_s * RATE_HZ) + 1, 2))
    for stem, gain_db, bank in (
        (drums, gains.drums_db, kit),
        (low, gains.bass_db - 1, gains.bank),
        (comps, gains.comps_db - 4, gains.bank),
        (lead, gains.lead_db - 2, gains.bank),
    ):
        if stem:
            played = play_stem(stem, bank, style.programs, len(total), drums=stem is drums)
            total += played * 10 ** (gain_db / 20)
    if gains.room:
        wet = signal.oaconvolve(total, room(rng), axes=0)[: len(total)]
        total = total + gains.room * wet
    return total


def play_stem(
    notes: Sequence[Sounding], bank: str, programs: dict[str, int], size: int, *, drums: bool
) -> Stereo:
    """Return one stem at a fixed level, rendered dry and moved back by the bank's lateness."""
    font = BANKS[bank]
    with tempfile.TemporaryDirectory() as folder:
        song, wave = Path(folder, "song.mid"), Path(folder, "song.wav")
        channel = font.drum_channel if drums else None
        midi_of(notes, programs, channel).save(song)
        subprocess.run(command(bank, font, song, wave), check=True, capture_output=True)
        samples, _ = sf.read(wave, always_2d=True)
    if bank == "patches":  # timidity leaves out the silence before the first note
        first_s = min(note.time_s for note in notes)
        samples = np.concatenate([np.zeros((round(first_s * RATE_HZ), 2)), samples])
    shift = round((font.late_ms if drums else 1.5) * RATE_HZ / 1000)
    samples = samples[shift : shift + size]
    stem = np.zeros((size, 2))
    stem[: len(samples)] = samples
    loud = np.sqrt(np.mean(stem**2, axis=1))
    loud = loud[loud > 0.05 * loud.max()]
    return np.asarray(stem * (0.1 / max(1e-9, float(np.sqrt(np.mean(loud**2))))))


def command(bank: str, font: Bank, song: Path, wave: Path) -> list[str]:
    """Return the command line that renders a MIDI file."""
    rate = str(RATE_HZ)
    if bank == "patches":
        dry = ["--reverb=0", "--chorus=0"]
        return [
            "timidity",
            "-c",
            str(patch_list()),
            "-Ow",
            "-s",
            rate,
            *dry,
            "-o",
            str(wave),
            str(song),
        ]
    if not (FONTS / font.file).exists():  # the program would play its default bank instead
        raise SystemExit(f"no sound bank {FONTS / font.file}: run build.sh first")
    dry = ["-R", "0", "-C", "0", "-g", "0.4", "-r", rate]
    return ["fluidsynth", "-ni", "-q", *dry, "-F", str(wave), str(FONTS / font.file), str(song)]


def patch_list() -> Path:
    """Return timidity's list of patches, pointed at where they were unpacked."""
    made = CONTENT / "patches.cfg"
    if not made.exists():
        listed = (CONTENT / "etc/timidity/freepats.cfg").read_text().splitlines()
        lines = [line for line in listed if not line.startswith("dir")]
        made.write_text("\n".join([f"dir {CONTENT / 'usr/share/midi/freepats'}", *lines]) + "\n")
    return made


def midi_of(
    notes: Sequence[Sounding], programs: dict[str, int], drum_channel: int | None
) -> mido.MidiFile:
    """Return a MIDI file whose ticks are 52 microseconds, so that rounding does not count."""
    roles = sorted({note.sound for note in notes}) if drum_channel is None else []
    channels = {role: index + (index >= 9) for index, role in enumerate(roles)}
    events: list[tuple[int, int, mido.Message]] = []
    for role, channel in channels.items():
        setup = mido.Message("program_change", channel=channel, program=programs[role])
        pan = mido.Message("control_change", channel=channel, control=10, value=PANS.get(role, 64))
        events += [(0, 0, setup), (0, 0, pan)]
    for note in notes:
        start = round(note.time_s * TICKS_PER_SECOND)
        stop = start + max(1, round(note.held_s * TICKS_PER_SECOND))
        channel = channels[note.sound] if drum_channel is None else drum_channel
        pitch = note.pitch if drum_channel is None else DRUM_NOTES[note.sound]
        velocity = int(np.clip(round(127 * note.velocity), 1, 127))
        on = mido.Message("note_on", channel=channel, note=pitch, velocity=velocity)
        off = mido.Message("note_off", channel=channel, note=pitch, velocity=0)
        events += [(start, 2, on), (stop, 1, off)]
    events.sort(key=lambda event: event[:2])
    file, track = mido.MidiFile(ticks_per_beat=TICKS_PER_SECOND // 2), mido.MidiTrack()
    file.tracks.append(track)
    now = 0
    for tick, _, message in events:
        track.append(message.copy(time=tick - now))
        now = tick
    return file
