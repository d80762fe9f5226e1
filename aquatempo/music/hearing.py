"""Paths to analysed tracks: decode, analyse, remember, apply the user's corrections."""

from __future__ import annotations

import hashlib
import os
import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from multiprocessing import get_context
from pathlib import Path

from aquatempo.documents.track_sheet import read_track_sheet
from aquatempo.errors import AquatempoError
from aquatempo.music.gathering import SHEET_SUFFIXES, gather
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Failure, Track
from aquatempo.store.files import read_text

__all__ = ["AS_USUAL", "Hearing", "each_track", "open_track", "usable_cores"]

_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@dataclass(frozen=True, slots=True)
class Hearing:
    """How tracks are heard. expect_bpm: range [beats/min] that narrows the metrical level."""

    expect_bpm: tuple[float, float] | None = None
    use_cache: bool = True
    use_corrections: bool = True


AS_USUAL = Hearing()


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
    workers = min(jobs or usable_cores(), len(files))
    heard = _heard_at_once(files, hearing, workers) if workers > 1 else _heard(files, hearing)
    with closing(heard):  # so that processes end here and not while the interpreter does
        for done, item in enumerate(items, 1):
            result = item if isinstance(item, Failure) else next(heard)
            if progress is not None:
                progress(done, len(items))
            yield result


def _heard(files: Sequence[str], hearing: Hearing) -> Generator[Track | Failure, None, None]:
    for file in files:
        yield _attempt(file, hearing)


def _heard_at_once(
    files: Sequence[str], hearing: Hearing, workers: int
) -> Generator[Track | Failure, None, None]:
    context = get_context("spawn")
    with ProcessPoolExecutor(workers, context, initializer=_start_worker) as pool:
        try:
            yield from pool.map(_attempt, files, [hearing] * len(files))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _start_worker() -> None:
    """Keep the matrix library to one thread, as the processes share the cores; leave Ctrl-C.

    The process that started the workers ends them, after the songs at hand: caught inside a
    decoder the interruption would be lost, and half a song be remembered as a whole one.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in _ONE_THREAD:
        os.environ.setdefault(name, "1")


def _attempt(file: str, hearing: Hearing) -> Track | Failure:
    try:
        return open_track(file, hearing)
    except AquatempoError as exc:
        return Failure(file, str(exc))


def _hear(path: str, hearing: Hearing) -> Track:
    from aquatempo import audio, rhythm
    from aquatempo.store import analyses, correction_files

    key = audio.content_key(path)
    title = audio.probe(path).title or _title_of(path)
    method = f"{_method()}, expected {hearing.expect_bpm}"
    analysis = analyses.load_analysis(key, method) if hearing.use_cache else None
    if analysis is None:
        analysis = _analyse(path, hearing)
        if hearing.use_cache:
            analyses.save_analysis(key, method, analysis)
    stored = correction_files.load_corrections(key) if hearing.use_corrections else None
    if stored is None or stored.empty:
        return Track(path, title, analysis, key)
    return Track(path, title, rhythm.apply_corrections(analysis, stored), key, corrected=True)


def _title_of(path: str) -> str:
    return Path(path).stem.replace("_", " ")


def _analyse(path: str, hearing: Hearing) -> RhythmAnalysis:
    from aquatempo import audio, rhythm

    stream = audio.mono_blocks(path)
    analysis = rhythm.analyse_blocks(stream, stream.sample_rate_hz, expect_bpm=hearing.expect_bpm)
    return replace(analysis, notes=(*stream.notes, *analysis.notes))


@cache
def _method() -> str:
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
