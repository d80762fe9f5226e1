"""A track to rehearse with: the song at its planned speed under counts and calls."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.deck.track_files import timeline_clicks
from aquatempo.records.cues import Cue, CueKind, CueTimeline
from aquatempo.records.plan import PlannedTrack

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from aquatempo.audio import RehearsalStems

    Samples = NDArray[np.float32]

__all__ = ["SONG_RATE_HZ", "played_song", "track_stems", "write_rehearsal"]

SONG_RATE_HZ = 44_100
DUCK_DB = 9.0


def played_song(track: PlannedTrack) -> Samples:
    """Return the song at its planned speed, shape (frames, 2), at SONG_RATE_HZ."""
    from aquatempo import audio

    song = audio.load_stereo(track.file, SONG_RATE_HZ)
    return audio.stretch(song.samples, SONG_RATE_HZ, track.speed)


def track_stems(track: PlannedTrack, timeline: CueTimeline) -> RehearsalStems:
    """Return song, counts and calls; a call is spoken, or a tone where nothing can speak.

    track: as planned; timeline: changes and calls of the track.
    """
    from aquatempo import audio

    calls = [
        (cue.time_s, _call(cue, timeline.language))
        for cue in timeline.cues
        if cue.words and cue.kind is not CueKind.COUNT_ONE
    ]
    song = played_song(track)
    return audio.rehearsal_stems(song, SONG_RATE_HZ, timeline_clicks(timeline), calls, DUCK_DB)


def write_rehearsal(
    path: Path, track: PlannedTrack, timeline: CueTimeline, loudness_lufs: float, force: bool
) -> None:
    """Write the mix of a track's stems at a loudness [LUFS].

    path: of the file; timeline: changes and calls of the track; loudness_lufs: of the mix
    [LUFS]; force: replace a file that exists.
    """
    from aquatempo import audio

    stems = track_stems(track, timeline)
    ceiling = audio.ceiling_before_coding(path)
    mix = audio.level_to(stems.mix, SONG_RATE_HZ, loudness_lufs, ceiling)
    tags = {"title": f"{track.title}, rehearsal", "comment": "counts and calls by aquatempo"}
    audio.write_audio(path, mix, SONG_RATE_HZ, tags, force=force)


def _call(cue: Cue, language: str) -> Samples:
    from aquatempo import audio

    longest_s = cue.end_s - cue.time_s
    if audio.can_speak():
        return audio.speak(cue.words, SONG_RATE_HZ, language, longest_s)
    return audio.call_tone(cue.kind, SONG_RATE_HZ)[: int(longest_s * SONG_RATE_HZ)]
