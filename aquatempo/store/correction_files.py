"""The instructor's corrections: one readable TOML file a track, kept for good."""

from __future__ import annotations

import contextlib
import os
import re
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from aquatempo.errors import OutputError, TextFileError
from aquatempo.files import one_at_a_time, write_whole
from aquatempo.records.corrections import (
    MOST_COUNTS,
    BridgeMark,
    Corrections,
    CountOneMark,
    NoBeat,
    TempoMark,
)
from aquatempo.records.plain import to_plain
from aquatempo.store.files import read_text
from aquatempo.store.folders import data_folder
from aquatempo.tomltext import read_toml

__all__ = [
    "correcting",
    "corrections_by_key",
    "forget_corrections",
    "load_corrections",
    "merge_corrections",
    "save_corrections",
]

KEY_IN_NAME = 12  # hexadecimal digits: enough to find the file, and the whole key is in it
TITLE_IN_NAME = 40
SONG_S = (0.0, 86_400.0)
SAME_MOMENT_S = 0.15  # less than half a beat at 190 bpm: two marks this near are one

_HEADING = (
    "What was corrected in the hearing of this track. It holds whenever the same audio",
    "is heard again, whatever its file is called. Edit it freely; your own notes stay.",
)
_MEANINGS = {
    "tempi": "the tempo that is meant, from a time [s] on",
    "count_ones": "a moment [s] on which count 1 falls, for all from a time on",
    "phrase_starts_s": "seconds at which a phrase starts",
    "not_starts_s": "seconds at which neither a phrase nor a bridge starts",
    "bridges": "where a bridge starts, and its counts",
    "no_beat": "from when to when there is nothing to count",
}
_OLDER = {
    "tempo_factor": "aquatempo correct SONG --half (or --double, or --tempo with the tempo meant)",
    "shift_beats": "aquatempo correct SONG --shift, or --count-one with a time",
}
BPM = (20.0, 400.0)


def correcting() -> AbstractContextManager[None]:
    """Hold corrections for one writer: what is read in the block is still so when it writes.

    Raises OutputError where another process has held them for a minute.
    """
    return one_at_a_time(_folder() / ".lock")


def corrections_by_key() -> dict[str, str]:
    """Return, for the start of each content key that has corrections, a stamp of their file.

    The stamp is another when the file was written since. Raises TextFileError where the
    folder may not be read.
    """
    found = {}
    for entry in _entries():
        start = entry.name.removesuffix(".toml").rpartition("-")[2]
        if entry.name.endswith(".toml") and len(start) == KEY_IN_NAME:
            with contextlib.suppress(OSError):
                state = entry.stat()
                found[start] = f"{state.st_mtime_ns} {state.st_size} {state.st_ino}"
    return found


def load_corrections(content_key: str) -> Corrections | None:
    """Return the corrections of a track, or None where there are none.

    Raises TextFileError with the path for a file that is wrong or may not be read: it is
    somebody's work.
    """
    path = _find(content_key)
    return None if path is None else _from_text(path, read_text(path, as_input=False))


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
        path = _folder() / name
        document = tomlkit.document()
        for line in _HEADING:
            document.add(tomlkit.comment(line))
        document.update(
            {"title": title, "duration_s": round(duration_s, 3), "content_key": content_key}
        )
        document["corrections"] = tomlkit.table()
    else:
        text = read_text(path, as_input=False)
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
    """Return what both say; where they speak of the same, the later one holds.

    A level or a count 1 from a time on takes the place of all earlier ones from then on. Of
    two marks at one moment the later holds, whether it sets a border or takes one away.
    """
    tempo_from = min((mark.from_s for mark in later.tempi), default=float("inf"))
    ones_from = min((mark.from_s for mark in later.count_ones), default=float("inf"))
    marks = (
        *later.phrase_starts_s,
        *later.not_starts_s,
        *(bridge.start_s for bridge in later.bridges),
    )

    def stays(time_s: float) -> bool:
        return all(abs(time_s - mark) > SAME_MOMENT_S for mark in marks)

    return Corrections(
        tempi=(*(m for m in earlier.tempi if m.from_s < tempo_from), *later.tempi),
        count_ones=(*(m for m in earlier.count_ones if m.from_s < ones_from), *later.count_ones),
        phrase_starts_s=tuple(
            sorted([*filter(stays, earlier.phrase_starts_s), *later.phrase_starts_s])
        ),
        not_starts_s=tuple(sorted([*filter(stays, earlier.not_starts_s), *later.not_starts_s])),
        bridges=tuple(
            sorted(
                [*(one for one in earlier.bridges if stays(one.start_s)), *later.bridges],
                key=lambda bridge: bridge.start_s,
            )
        ),
        no_beat=tuple(
            sorted({*earlier.no_beat, *later.no_beat}, key=lambda span: (span.start_s, span.end_s))
        ),
    )


def _from_text(path: Path, text: str) -> Corrections:
    """Return the corrections in the text of a file; raise TextFileError with its path."""
    table = read_toml(str(path), text).table("corrections")
    for key, command in _OLDER.items():
        if key in table:
            raise table.error(key, f"{key} said how far from what was heard; now use {command}")
    table.know(_MEANINGS)
    tempi, ones, bridges, silent = [], [], [], []
    for one in table.tables("tempi"):
        one.know(("tempo_bpm", "from_s"))
        from_s = one.number("from_s", *SONG_S, "s", 0.0)
        tempi.append(TempoMark(one.number("tempo_bpm", *BPM, "bpm"), from_s))
    for one in table.tables("count_ones"):
        one.know(("time_s", "from_s"))
        from_s = one.number("from_s", *SONG_S, "s", 0.0)
        ones.append(CountOneMark(one.number("time_s", *SONG_S, "s"), from_s))
    for one in table.tables("bridges"):
        one.know(("start_s", "counts"))
        counts = one.whole("counts", 1, MOST_COUNTS, "counts", BridgeMark(0.0).counts)
        bridges.append(BridgeMark(one.number("start_s", *SONG_S, "s"), counts))
    for one in table.tables("no_beat"):
        one.know(("start_s", "end_s"))
        start_s = one.number("start_s", *SONG_S, "s")
        silent.append(NoBeat(start_s, one.number("end_s", *SONG_S, "s")))
    return Corrections(
        tuple(sorted(tempi, key=lambda mark: mark.from_s)),
        tuple(sorted(ones, key=lambda mark: mark.from_s)),
        table.numbers("phrase_starts_s", *SONG_S, "s"),
        table.numbers("not_starts_s", *SONG_S, "s"),
        tuple(bridges),
        tuple(silent),
    )


def _folder() -> Path:
    return data_folder() / "corrections"


def _entries() -> list[os.DirEntry[str]]:
    try:
        with os.scandir(_folder()) as entries:
            return list(entries)
    except FileNotFoundError:
        return []
    except OSError as exc:  # silence would drop somebody's work
        raise TextFileError(str(_folder()), None, exc.strerror or str(exc)) from exc


def _find(content_key: str) -> Path | None:
    """Return the file of a track, whatever title its name starts with."""
    ending = f"-{content_key[:KEY_IN_NAME]}.toml"
    found = sorted(entry.name for entry in _entries() if entry.name.endswith(ending))
    return _folder() / found[0] if found else None


def _slug(title: str) -> str:
    """Return a title as part of a file name: letters and digits of any script, dashes."""
    words = re.sub(r"[\W_]+", "-", title.casefold()).strip("-")
    return words[:TITLE_IN_NAME].strip("-") or "track"
