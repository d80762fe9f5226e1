"""Results and what stands in their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from aquatempo.errors import OutputError
from aquatempo.store.results import refuse_target, write_result

SONG = Path(__file__).parent.parent / "sample_audio" / "odd_lane.ogg"


@pytest.mark.parametrize("suffix", [".svg", ".jams", ".m3u", ".toml", ".csv", ".parquet", ".pdf"])
def test_a_song_of_a_result_s_name_is_never_replaced(tmp_path: Path, suffix: str) -> None:
    """Audio that somebody named as a result is named stays to the byte, forced or not."""
    target = tmp_path / f"fourth{suffix}"
    target.write_bytes(SONG.read_bytes())
    for force in (True, False):
        with pytest.raises(OutputError):
            refuse_target(str(target), "result", (suffix,), force)
        with pytest.raises(OutputError):
            write_result(target, "text", force)
    assert target.read_bytes() == SONG.read_bytes()


@pytest.mark.parametrize(
    ("suffix", "begins"),
    [(".svg", b"<svg/>"), (".parquet", b"PAR1\x00"), (".pdf", b"%PDF-1.7\n\x00")],
)
def test_a_result_of_its_kind_is_replaced_when_told(
    tmp_path: Path, suffix: str, begins: bytes
) -> None:
    """A picture, a table, a PDF give way to the next one, if and only if forced."""
    target = tmp_path / f"there{suffix}"
    target.write_bytes(begins)
    with pytest.raises(OutputError, match="force"):
        write_result(target, b"new")
    write_result(target, b"new", force=True)
    assert target.read_bytes() == b"new"
