"""What was heard, to look at and to listen to: a picture, and clicks over the track."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.errors import InputError
from aquatempo.exports.track_picture import track_picture
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.records.cues import CueTimeline
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.records.track import Track
from aquatempo.store.results import refuse_target, write_result
from aquatempo.units import COUNTS_PER_EIGHT

if TYPE_CHECKING:
    from aquatempo.audio.clicks import Click

__all__ = [
    "click_strengths",
    "timeline_clicks",
    "write_clicks",
    "write_count_click",
    "write_jams",
    "write_picture",
]

ENVELOPE_STEP_S = 0.1
QUIETEST = 1e-4  # -80 dB: where the loudness curve of a picture starts
SONG_UNDER_CLICKS = 0.5
CLICK_LEVEL = 0.7
CLICK_RATE_HZ = 44_100
SHOWN_DB = 36.0  # the range of the loudness curve


def write_picture(
    track: Track, path: str, timeline: CueTimeline | None = None, force: bool = False
) -> None:
    """Write an SVG picture of a track: energy, beats, phrases, bridges and, if given, calls.

    path: ends in .svg; timeline: calls to draw, or None; force: replace a file that exists.
    """
    refuse_target(path, "picture", (".svg",), force)
    envelope = _envelope(track)
    write_result(path, track_picture(track.title, track.analysis, envelope, timeline), force)


def write_jams(track: Track, path: str, force: bool = False) -> None:
    """Write what was heard in a track as JAMS, the open format for annotations of music.

    path: ends in .jams; force: replace a file that exists.
    """
    from aquatempo.exports.jams import to_jams

    refuse_target(path, "JAMS file", (".jams",), force)
    write_result(path, to_jams(track.analysis, track.title), force)


def write_clicks(track: Track, path: str, force: bool = False) -> None:
    """Write a track with a click on every beat, an accent on count 1; ogg, wav or flac.

    path: its suffix tells the format; force: replace a file that exists.
    """
    from aquatempo import audio

    if track.file.lower().endswith(SHEET_SUFFIXES):
        raise InputError(f"{track.file!r} is a track sheet: there is no sound to click over")
    refuse_target(path, "sound", tuple(audio.FORMATS), force)
    song = audio.stereo_blocks(track.file)
    quieter = (block * SONG_UNDER_CLICKS for block in song)
    strengths = click_strengths(track.analysis)
    clicked = audio.clicks_over(
        quieter, track.analysis.beats_s, strengths, song.sample_rate_hz, CLICK_LEVEL
    )
    blocks = audio.limit_blocks(clicked, song.sample_rate_hz, audio.ceiling_before_coding(path))
    tags = {"title": f"{track.title} with clicks"}
    audio.write_blocks(path, blocks, song.sample_rate_hz, 2, tags, force=force)


def write_count_click(timeline: CueTimeline, path: str, force: bool = False) -> None:
    """Write the count click of a timeline alone, as long as its track.

    path: its suffix tells the format; force: replace a file that exists.
    """
    from aquatempo import audio

    frames = round(timeline.duration_s * CLICK_RATE_HZ)
    times_s, strengths = zip(*timeline_clicks(timeline), strict=True)
    clicks = audio.click_track(times_s, strengths, frames, CLICK_RATE_HZ)
    audio.write_audio(path, clicks, CLICK_RATE_HZ, {"title": timeline.title}, force=force)


def timeline_clicks(timeline: CueTimeline) -> list[tuple[float, Click]]:
    """Return (time [s], strength) of the click on each beat of a timeline."""
    return list(zip(timeline.beats_s, click_strengths(timeline), strict=True))


def click_strengths(counted: RhythmAnalysis | CueTimeline) -> list[Click]:
    """Return how strong the click of each beat is: phrase starts, eights, other beats."""
    from aquatempo.audio import Click

    strengths = [Click.BEAT] * len(counted.beats_s)
    for phrase in counted.phrases:
        for beat in range(phrase.start_beat, phrase.start_beat + phrase.counts, COUNTS_PER_EIGHT):
            if beat < len(strengths):
                strengths[beat] = Click.EIGHT
        if phrase.kind is PhraseKind.PHRASE and phrase.start_beat < len(strengths):
            strengths[phrase.start_beat] = Click.PHRASE
    return strengths


def _envelope(track: Track) -> list[float]:
    """Return loudness, 0 to 1, each ENVELOPE_STEP_S; empty for a sheet."""
    if track.file.lower().endswith(SHEET_SUFFIXES) or not Path(track.file).is_file():
        return []
    import numpy as np

    from aquatempo import audio

    stream = audio.mono_blocks(track.file)
    step = round(stream.sample_rate_hz * ENVELOPE_STEP_S)
    powers = []
    rest = np.zeros(0, dtype=np.float32)
    for block in stream:
        samples = np.concatenate([rest, block])
        whole = len(samples) // step * step
        powers.append((samples[:whole].reshape(-1, step) ** 2).mean(axis=1))
        rest = samples[whole:]
    levels = 10 * np.log10(np.concatenate(powers) + QUIETEST**2)
    top = float(np.percentile(levels, 99))
    return [float(level) for level in np.clip((levels - top) / SHOWN_DB + 1.0, 0.0, 1.0)]
