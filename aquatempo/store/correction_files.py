"""The instructor's corrections: one readable TOML file a track, kept for good."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from aquatempo.errors import InputError, OutputError
from aquatempo.records.corrections import BridgeMark, Corrections
from aquatempo.records.plain import to_plain
from aquatempo.store.files import read_text, write_whole
from aquatempo.store.folders import data_folder
from aquatempo.tomltext import read_toml

__all__ = ["forget_corrections", "load_corrections", "merge_corrections", "save_corrections"]

KEY_IN_NAME = 12  # hexadecimal digits: enough to find the file, and the whole key is in it
TITLE_IN_NAME = 40
SONG_S = (0.0, 86_400.0)
SAME_MOMENT_S = 0.15  # less than half a beat at 190 bpm: two marks this near are one

_HEADING = (
    "What was corrected in the hearing of this track. It holds whenever the same audio",
    "is heard again, whatever its file is called. Edit it freely; your own notes stay.",
)
_MEANINGS = {
    "tempo_factor": "0.5: half of the tempo heard is meant; 2: the double",
    "shift_beats": "count 1 lies so many beats later than heard",
    "phrase_starts_s": "seconds at which a phrase starts",
    "bridges": "where a bridge starts, and its counts",
}


def load_corrections(content_key: str) -> Corrections | None:
    """Return the corrections of a track, or None where there are none.

    Raises TextFileError with the path for a file that is wrong: it is somebody's work.
    """
    path = _find(content_key)
    return None if path is None else _from_text(path, read_text(path))


def save_corrections(
    content_key: str, corrections: Corrections, title: str, duration_s: float
) -> Path:
    """Write the corrections of a track in place of earlier ones; return the file.

    What else the file holds (comments, keys of the user's own) stays. title and duration_s [s]
    help a person to find it. Raises OutputError, TextFileError. content_key: of the track's
    audio.
    """
    import tomlkit

    path = _find(content_key)
    if path is None:
        name = f"{_slug(title)}-{content_key[:KEY_IN_NAME]}.toml"
        path = data_folder() / "corrections" / name
        document = tomlkit.document()
        for line in _HEADING:
            document.add(tomlkit.comment(line))
        document.update(
            {"title": title, "duration_s": round(duration_s, 3), "content_key": content_key}
        )
        document["corrections"] = tomlkit.table()
    else:
        text = read_text(path)
        _from_text(path, text)  # what is wrong in it must not be written over
        document = tomlkit.parse(text)
    table: Any = document["corrections"]
    plain = to_plain(corrections)
    assert isinstance(plain, dict)
    for key, value in plain.items():
        is_new = key not in table
        table[key] = value
        if is_new and key in _MEANINGS:
            table[key].comment(_MEANINGS[key])
    write_whole(path, tomlkit.dumps(document).encode())
    return path


def forget_corrections(content_key: str) -> bool:
    """Delete the corrections of a track; return whether there were any."""
    path = _find(content_key)
    if path is None:
        return False
    try:
        path.unlink()
    except OSError as exc:
        raise OutputError(str(path), exc.strerror or str(exc)) from exc
    return True


def merge_corrections(earlier: Corrections, later: Corrections) -> Corrections:
    """Return what both say; later ones are meant on top of what the earlier ones show.

    Factors multiply, so half after double is as heard; shifts add, counted in the beats
    shown; of two marks at one moment the later holds. Raises InputError where the tempo
    would be a quarter or four times what was heard.
    """
    factor = earlier.tempo_factor * later.tempo_factor
    if not 0.5 <= factor <= 2.0:
        raise InputError(
            f"tempo {factor:g} times what was heard: needs 0.5, 1 or 2 "
            "(an earlier correction changes it already)"
        )
    marks = [*later.phrase_starts_s, *(bridge.start_s for bridge in later.bridges)]

    def stays(time_s: float) -> bool:
        return all(abs(time_s - mark) > SAME_MOMENT_S for mark in marks)

    starts_s = [*filter(stays, earlier.phrase_starts_s), *later.phrase_starts_s]
    bridges = [*(b for b in earlier.bridges if stays(b.start_s)), *later.bridges]
    return Corrections(
        tempo_factor=factor,
        shift_beats=round(earlier.shift_beats * later.tempo_factor) + later.shift_beats,
        phrase_starts_s=tuple(sorted(starts_s)),
        bridges=tuple(sorted(bridges, key=lambda bridge: bridge.start_s)),
    )


def _from_text(path: Path, text: str) -> Corrections:
    """Return the corrections in the text of a file; raise TextFileError with its path."""
    table = read_toml(str(path), text).table("corrections")
    table.know(_MEANINGS)
    bridges = []
    for one in table.tables("bridges"):
        one.know(("start_s", "counts"))
        counts = one.whole("counts", 1, 4096, "counts", BridgeMark(0.0).counts)
        bridges.append(BridgeMark(one.number("start_s", *SONG_S, "s"), counts))
    return Corrections(
        tempo_factor=table.number("tempo_factor", 0.5, 2.0, "times the tempo", 1.0),
        shift_beats=table.whole("shift_beats", -4096, 4096, "beats", 0),
        phrase_starts_s=table.numbers("phrase_starts_s", *SONG_S, "s"),
        bridges=tuple(bridges),
    )


def _find(content_key: str) -> Path | None:
    """Return the file of a track, whatever title its name starts with."""
    folder = data_folder() / "corrections"
    found = sorted(folder.glob(f"*-{content_key[:KEY_IN_NAME]}.toml"))
    return found[0] if found else None


def _slug(title: str) -> str:
    """Return a title as part of a file name: letters and digits of any script, dashes."""
    words = re.sub(r"[\W_]+", "-", title.casefold()).strip("-")
    return words[:TITLE_IN_NAME].strip("-") or "track"
