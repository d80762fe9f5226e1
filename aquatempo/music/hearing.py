"""Paths to analysed tracks: decode, analyse, remember, apply the user's corrections."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from functools import cache, partial
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from aquatempo.documents.track_sheet import read_track_sheet
from aquatempo.errors import AquatempoError
from aquatempo.music.gathering import SHEET_SUFFIXES, gather
from aquatempo.music.workers import Died, in_processes
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Failure, Track
from aquatempo.store.files import read_text
from aquatempo.units import as_words

__all__ = [
    "AS_USUAL",
    "HeardFile",
    "Hearing",
    "each_track",
    "hear_file",
    "method_name",
    "open_track",
    "usable_cores",
]


@dataclass(frozen=True, slots=True)
class Hearing:
    """How tracks are heard. expect_bpm: range [beats/min] that narrows the metrical level."""

    expect_bpm: tuple[float, float] | None = None
    use_cache: bool = True
    use_corrections: bool = True


AS_USUAL = Hearing()


@dataclass(frozen=True, slots=True)
class HeardFile:
    """What was heard in a file as it came. method names all that shaped the analysis."""

    file: str
    title: str
    artist: str
    content_key: str
    method: str
    analysis: RhythmAnalysis


def usable_cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def open_track(path: str, hearing: Hearing = AS_USUAL) -> Track:
    """Return the track in an audio file, a track sheet or a JAMS file.

    Raises AudioError and InputError with the line to show. path: of the audio, sheet or JAMS
    file; hearing: how tracks are heard.
    """
    sheet, jams = SHEET_SUFFIXES
    suffix = Path(path).suffix.lower()
    if suffix == sheet:
        title, analysis = read_track_sheet(path, read_text(path))
        return Track(path, title, analysis)
    if suffix == jams:
        from aquatempo.exports.jams import from_jams

        return Track(path, _title_of(path), from_jams(read_text(path), path))
    return _hear(path, hearing)


def each_track(
    paths: Sequence[str],
    hearing: Hearing = AS_USUAL,
    jobs: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[Track | Failure]:
    """Yield each track that paths name, in order, or the reason why there is none.

    Files, folders, playlists and sheets are accepted. jobs: processes, by default one a core.
    progress is told (done, of all) after each. hearing: how tracks are heard.
    """
    items = gather(paths)
    files = [item for item in items if isinstance(item, str)]
    heard = _heard(files, hearing, min(jobs or usable_cores(), len(files)))
    with closing(heard):  # so that processes end here and not while the interpreter does
        for done, item in enumerate(items, 1):
            result = item if isinstance(item, Failure) else next(heard)
            if progress is not None:
                progress(done, len(items))
            yield result


def _heard(
    files: Sequence[str], hearing: Hearing, workers: int
) -> Generator[Track | Failure, None, None]:
    if len(files) < 2:
        yield from (_attempt(file, hearing) for file in files)
        return
    with closing(in_processes(partial(_attempt, hearing=hearing), files, workers)) as heard:
        for file, one in zip(files, heard, strict=True):
            yield Failure(file, _death(file, one)) if isinstance(one, Died) else one


def _death(file: str, died: Died) -> str:
    return (
        f"cannot hear {file!r}: the process that heard it died twice, the second time alone: "
        f"{died.how} (the other tracks are not affected; convert this one to wav and try that)"
    )


def _attempt(file: str, hearing: Hearing) -> Track | Failure:
    try:
        return open_track(file, hearing)
    except AquatempoError as exc:
        return Failure(file, str(exc))


def hear_file(path: str, hearing: Hearing = AS_USUAL, remember: bool = True) -> HeardFile:
    """Return what is heard in an audio file, before corrections. Raises AudioError.

    path: of the audio; hearing: how; remember: whether the cache gets what was not in it.
    """
    from aquatempo import audio
    from aquatempo.store import analyses

    key, info = audio.content_key(path), audio.probe(path)
    method = f"{method_name()}, expected {hearing.expect_bpm}"
    analysis = analyses.load_analysis(key, method) if hearing.use_cache else None
    if analysis is None:
        analysis = _analyse(path, hearing)
        if hearing.use_cache and remember:
            analyses.save_analysis(key, method, analysis)
    return HeardFile(path, info.title or _title_of(path), info.artist or "", key, method, analysis)


def _hear(path: str, hearing: Hearing) -> Track:
    from aquatempo import rhythm
    from aquatempo.store import correction_files

    heard = hear_file(path, hearing)
    key, title, analysis = heard.content_key, heard.title, heard.analysis
    stored = correction_files.load_corrections(key) if hearing.use_corrections else None
    if stored is None or stored.empty:
        return Track(path, title, analysis, key)
    return Track(path, title, rhythm.apply_corrections(analysis, stored), key, corrected=True)


def _title_of(path: str) -> str:
    """Return the words in a file's name; what is no text in it is a question mark each."""
    return as_words(Path(path).stem.replace("_", " "))


def _analyse(path: str, hearing: Hearing) -> RhythmAnalysis:
    from aquatempo import audio, rhythm

    stream = audio.mono_blocks(path)
    analysis = rhythm.analyse_blocks(stream, stream.sample_rate_hz, expect_bpm=hearing.expect_bpm)
    return replace(analysis, notes=(*stream.notes, *analysis.notes))


@cache
def method_name() -> str:
    """Name the code and weights that analyse: a change in them makes the cache start anew."""
    digest = hashlib.blake2b(digest_size=8)
    for part in ("audio", "rhythm", "records"):
        for file in sorted(_files_below(resources.files("aquatempo") / part), key=str):
            digest.update(file.read_bytes())
    return digest.hexdigest()


def _files_below(folder: Traversable) -> Iterator[Traversable]:
    for item in folder.iterdir():
        if item.is_dir():
            yield from _files_below(item)
        elif not item.name.endswith(".pyc"):
            yield item
