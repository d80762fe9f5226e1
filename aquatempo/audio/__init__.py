"""Audio files to samples and back; stretching, clicks, mixing, loudness, speech.

Names are loaded when first used, so that importing this package loads no numpy.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from aquatempo.audio.clicks import Click, call_tone, click_track, clicks_over
    from aquatempo.audio.decoding import (
        LONGEST_S,
        SHORTEST_S,
        SampleStream,
        load_mono,
        load_stereo,
        mono_blocks,
        probe,
        stereo_blocks,
    )
    from aquatempo.audio.identity import content_key
    from aquatempo.audio.joining import join_tracks
    from aquatempo.audio.loudness import LoudnessMeter, loudness_lufs
    from aquatempo.audio.mixing import crossfade, ducking_gain, fade, place_sounds
    from aquatempo.audio.peaks import limit, limit_blocks, true_peak_dbtp
    from aquatempo.audio.speech import can_speak, speak
    from aquatempo.audio.stems import RehearsalStems, level_to, rehearsal_stems
    from aquatempo.audio.stretching import stretch, stretched_frames
    from aquatempo.audio.writing import FORMATS, ceiling_before_coding, write_audio, write_blocks

__all__ = [
    "Click",
    "FORMATS",
    "LONGEST_S",
    "LoudnessMeter",
    "RehearsalStems",
    "SHORTEST_S",
    "SampleStream",
    "call_tone",
    "can_speak",
    "ceiling_before_coding",
    "click_track",
    "clicks_over",
    "content_key",
    "crossfade",
    "ducking_gain",
    "fade",
    "join_tracks",
    "level_to",
    "limit",
    "limit_blocks",
    "load_mono",
    "load_stereo",
    "loudness_lufs",
    "mono_blocks",
    "place_sounds",
    "probe",
    "rehearsal_stems",
    "speak",
    "stereo_blocks",
    "stretch",
    "stretched_frames",
    "true_peak_dbtp",
    "write_audio",
    "write_blocks",
]

_HOME = {
    "Click": "clicks",
    "FORMATS": "writing",
    "LONGEST_S": "decoding",
    "LoudnessMeter": "loudness",
    "RehearsalStems": "stems",
    "SHORTEST_S": "decoding",
    "SampleStream": "decoding",
    "call_tone": "clicks",
    "can_speak": "speech",
    "ceiling_before_coding": "writing",
    "click_track": "clicks",
    "clicks_over": "clicks",
    "content_key": "identity",
    "crossfade": "mixing",
    "ducking_gain": "mixing",
    "fade": "mixing",
    "join_tracks": "joining",
    "level_to": "stems",
    "limit": "peaks",
    "limit_blocks": "peaks",
    "load_mono": "decoding",
    "load_stereo": "decoding",
    "loudness_lufs": "loudness",
    "mono_blocks": "decoding",
    "place_sounds": "mixing",
    "probe": "decoding",
    "rehearsal_stems": "stems",
    "speak": "speech",
    "stereo_blocks": "decoding",
    "stretch": "stretching",
    "stretched_frames": "stretching",
    "true_peak_dbtp": "peaks",
    "write_audio": "writing",
    "write_blocks": "writing",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - any public name of the package
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
