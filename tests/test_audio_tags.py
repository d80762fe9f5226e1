"""Tags as other programs leave them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

from aquatempo.audio.readers import PyavReader


def test_tags_that_are_not_utf8_are_replaced(tmp_path: Path) -> None:
    """Bytes that are no UTF-8 in a title become replacement marks, with every PyAV version."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros(6 * 8000), 8000)
    data = bytearray(path.read_bytes())
    tags = b"INFOINAM" + (4).to_bytes(4, "little") + b"\xe9au\0"  # "eau" with an accent, Latin-1
    data += b"LIST" + len(tags).to_bytes(4, "little") + tags
    data[4:8] = (len(data) - 8).to_bytes(4, "little")
    path.write_bytes(data)
    assert PyavReader(str(path)).info.title == "\ufffdau"
