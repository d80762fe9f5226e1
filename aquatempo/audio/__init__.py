"""Audio files to samples and back; stretching, clicks, mixing, loudness, speech.

Names are loaded when first used, so that importing this package loads no numpy.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from aquatempo.audio.decoding import (
        SHORTEST_S,
        SampleStream,
        load_mono,
        load_stereo,
        mono_blocks,
        probe,
        stereo_blocks,
    )
    from aquatempo.audio.identity import content_key

__all__ = [
    "SHORTEST_S",
    "SampleStream",
    "content_key",
    "load_mono",
    "load_stereo",
    "mono_blocks",
    "probe",
    "stereo_blocks",
]

_HOME = {
    "SHORTEST_S": "decoding",
    "SampleStream": "decoding",
    "content_key": "identity",
    "load_mono": "decoding",
    "load_stereo": "decoding",
    "mono_blocks": "decoding",
    "probe": "decoding",
    "stereo_blocks": "decoding",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - any public name of the package
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
