"""Tracks into the library: noted, heard one after the other, kept as soon as they are."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path

from aquatempo.errors import AquatempoError
from aquatempo.music.gathering import SHEET_SUFFIXES, gather
from aquatempo.music.hearing import HeardFile, Hearing, hear_file, method_name, usable_cores
from aquatempo.music.workers import Died, in_processes
from aquatempo.records.library import LibraryProgress
from aquatempo.records.track import Failure
from aquatempo.store.database import recomputable
from aquatempo.store.library import places, tracks, verdicts
from aquatempo.store.library.tables import Books
from aquatempo.workflow.library.judging import (
    Stated,
    corrected,
    facts_of,
    pools_of,
    verdicts_of,
)
from aquatempo.workflow.library.opening import open_books

__all__ = ["Hearer", "add_tracks", "hear_waiting", "progress_of"]

Hearer = Callable[[Sequence[str]], Iterator[HeardFile | Failure]]
"""What hears files, in any order: processes here, or a cluster."""


def add_tracks(
    paths: Sequence[str], *, again: bool = False, library: str | None = None
) -> tuple[int, tuple[Failure, ...]]:
    """Note the files that paths name as waiting; return how many, and what names no file.

    paths: files, folders and playlists, and addresses of storage that fsspec knows. A file
    that is known waits again only where it changed since, failed before, or with again.
    library: its file, None for the user's own. Raises InputError, OutputError.
    """
    addresses = [path for path in paths if "://" in path]
    found = gather(path for path in paths if "://" not in path)
    failures = [item for item in found if isinstance(item, Failure)]
    files = []
    for item in found:
        if isinstance(item, Failure):
            continue
        if item.lower().endswith(SHEET_SUFFIXES):
            failures.append(Failure(item, f"{item!r} is a track sheet: the library takes audio"))
        elif not Path(item).is_file():
            failures.append(Failure(item, f"cannot read {item!r}: there is no such file"))
        else:
            files.append(str(Path(item).absolute()))
    with open_books(library) as books:
        return places.add(books, [*files, *addresses], again), tuple(failures)


def hear_waiting(
    *,
    jobs: int | None = None,
    hearer: Hearer | None = None,
    library: str | None = None,
    go_on: Callable[[LibraryProgress], bool] | None = None,
) -> LibraryProgress:
    """Hear what waits, and keep each track as soon as it is heard; return how far it is.

    jobs: processes, by default one a core. hearer: what hears files in place of processes
    here. go_on: told how far it is after each file; where it returns False the work stops,
    and the next call goes on with what still waits. library: its file, None for the user's
    own. Raises InputError, OutputError.
    """
    with open_books(library) as books:
        state = places.progress(books, 0)
        stated = pools_of(verdicts.pools(books))
        hear = hearer or partial(_hear_here, jobs=jobs or usable_cores())
        with recomputable(books), closing(_each(hear, places.waiting(books))) as heard:
            for one in heard:
                failed = _keep(books, one, stated)
                state = replace(
                    state,
                    waiting=state.waiting - 1,
                    heard=state.heard + (not failed),
                    failed=state.failed + failed,
                )
                if go_on is not None and not go_on(state):
                    break
        return places.progress(books)


def progress_of(library: str | None = None) -> LibraryProgress:
    """Return how many files of a library (None: the user's own) wait, are heard and failed."""
    with open_books(library) as books:
        return places.progress(books)


def _each(hear: Hearer, files: Sequence[str]) -> Generator[HeardFile | Failure, None, None]:
    yield from hear(files)


def _hear_here(files: Sequence[str], jobs: int) -> Iterator[HeardFile | Failure]:
    with closing(in_processes(_attempt, files, max(1, min(jobs, len(files))))) as heard:
        for file, one in zip(files, heard, strict=True):
            if isinstance(one, Died):
                yield Failure(file, f"the process that heard {file!r} died twice: {one.how}")
            else:
                yield one


def _attempt(file: str) -> HeardFile | Failure:
    if "://" in file:
        from aquatempo.music.cluster import hear_address

        return hear_address(file, method_name())
    try:
        return hear_file(file, Hearing(), remember=False)
    except AquatempoError as exc:
        return Failure(file, str(exc))


def _keep(books: Books, one: HeardFile | Failure, stated: Stated) -> bool:
    """Keep what was heard, or why nothing was; return whether it failed."""
    if isinstance(one, Failure):
        places.put_failed(books, one.file, one.reason)
        return True
    try:
        analysis, is_corrected = corrected(one.content_key, one.analysis)
    except AquatempoError as exc:  # somebody's corrections cannot be read
        places.put_failed(books, one.file, str(exc))
        return True
    facts = facts_of(one.title, one.artist, analysis, is_corrected, one.method)
    judged = verdicts_of(facts.tempo_bpm, facts.beats_per_bar, facts.steady, facts.phrases, stated)
    tracks.put_heard(books, one.file, one.content_key, facts, one.analysis, judged)
    return False
