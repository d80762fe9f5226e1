"""Turn MIDI files and tracker modules into samples, with the time of every beat."""

from __future__ import annotations

import ctypes
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import mido
import numpy as np
import pretty_midi
import soundfile as sf
from numpy.typing import NDArray

RATE_HZ = 44100
BLOCK = 64
"""Samples that the module player is asked for at a time: row times are exact to 1.5 ms."""

Times = NDArray[np.float64]


def render_midi(
    path: Path, font: Path, limit_s: float, tempo_bpm: float | None = None
) -> tuple[Times, Any, float]:
    """Render a MIDI file with fluidsynth; return (samples, PrettyMIDI object, tempo [bpm]).

    ``tempo_bpm`` re-times the song by scaling every tempo event, so the truth stays exact.
    """
    song = mido.MidiFile(path, clip=True)
    original = float(pretty_midi.PrettyMIDI(str(path)).get_tempo_changes()[1][-1])
    if tempo_bpm is not None:
        _scale_tempo(song, original / tempo_bpm)
    samples, midi = play_midi(song, font, limit_s)
    return samples, midi, float(midi.get_tempo_changes()[1][-1])


def play_midi(song: Any, font: Path, limit_s: float) -> tuple[Times, Any]:
    """Render an open MIDI file with fluidsynth; return (samples, PrettyMIDI object).

    The song is changed: its tempo events move to the first track.
    """
    if not font.exists():  # the program would play its default bank instead
        raise SystemExit(f"no sound bank {font}: run build.sh or build_second.sh first")
    _merge_tempi(song)
    with tempfile.TemporaryDirectory() as folder:
        midi_file, wave_file = Path(folder, "song.mid"), Path(folder, "song.wav")
        song.save(midi_file)
        midi = pretty_midi.PrettyMIDI(str(midi_file))
        command = ["fluidsynth", "-ni", "-q", "-g", "0.5", "-r", str(RATE_HZ)]
        subprocess.run(
            [*command, "-F", str(wave_file), str(font), str(midi_file)],
            check=True,
            capture_output=True,
        )
        samples, _ = sf.read(wave_file, always_2d=True, stop=int(limit_s * RATE_HZ))
    return samples, midi


def _merge_tempi(song: Any) -> None:
    """Move tempo and time signature events of all tracks into a new first one.

    fluidsynth obeys them wherever they stand; pretty_midi reads those of the first track only.
    """
    events = []
    for track in song.tracks:
        others, tick, last = [], 0, 0
        for event in track:
            tick += event.time
            if event.type in ("set_tempo", "time_signature"):
                events.append((tick, event))
            else:
                others.append(event.copy(time=tick - last))
                last = tick
        track[:] = others
    head, last = mido.MidiTrack(), 0
    for tick, event in sorted(events, key=lambda pair: pair[0]):
        head.append(event.copy(time=tick - last))
        last = tick
    song.tracks.insert(0, head)
    song.type = 1


def _scale_tempo(song: Any, factor: float) -> None:
    """Multiply every tempo event by ``factor``; add one if the file has none."""
    events = [event for track in song.tracks for event in track if event.type == "set_tempo"]
    for event in events:
        event.tempo = round(event.tempo * factor)
    if not events:
        first = mido.MetaMessage("set_tempo", tempo=round(500000 * factor), time=0)
        song.tracks[0].insert(0, first)


def render_module(path: Path, limit_s: float) -> tuple[Times, Times, NDArray[np.int_]]:
    """Render a tracker module with libopenmpt and note when each row starts.

    Returns (samples, row times [s], row numbers inside their pattern). In floating point,
    because the player's 16-bit output is dithered.
    """
    library = _open_library()
    data = path.read_bytes()
    module = library.openmpt_module_create_from_memory2(data, len(data), *[None] * 7)
    if not module:
        raise SystemExit(f"{path}: libopenmpt cannot read this module")
    buffer = (ctypes.c_float * (BLOCK * 2))()
    pieces: list[NDArray[np.float32]] = []
    times: list[float] = []
    rows: list[int] = []
    done, last = 0, None
    while done < limit_s * RATE_HZ:
        count = library.openmpt_module_read_interleaved_float_stereo(module, RATE_HZ, BLOCK, buffer)
        if count == 0:
            break
        position = (
            library.openmpt_module_get_current_order(module),
            library.openmpt_module_get_current_row(module),
        )
        if position != last:
            times.append(done / RATE_HZ)
            rows.append(position[1])
            last = position
        pieces.append(np.array(buffer[: count * 2], dtype=np.float32))
        done += count
    library.openmpt_module_destroy(module)
    samples = np.concatenate(pieces).reshape(-1, 2).astype(float)
    return samples, np.array(times), np.array(rows)


def _open_library() -> Any:
    """Load libopenmpt and declare the few functions that are called."""
    library = ctypes.CDLL("libopenmpt.so.0")
    create = library.openmpt_module_create_from_memory2
    create.restype = ctypes.c_void_p
    create.argtypes = [ctypes.c_char_p, ctypes.c_size_t, *[ctypes.c_void_p] * 7]
    for name in ("order", "row"):
        function = getattr(library, f"openmpt_module_get_current_{name}")
        function.restype, function.argtypes = ctypes.c_int32, [ctypes.c_void_p]
    read = library.openmpt_module_read_interleaved_float_stereo
    read.restype = ctypes.c_size_t
    read.argtypes = [ctypes.c_void_p, ctypes.c_int32, ctypes.c_size_t, ctypes.c_void_p]
    library.openmpt_module_destroy.argtypes = [ctypes.c_void_p]
    return library
