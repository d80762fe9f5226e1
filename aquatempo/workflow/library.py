"""The library: tracks added, found, marked, judged for stated pools and exported.

One function for each thing that a command or a page shows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from statistics import fmean

from aquatempo.errors import AquatempoError, InputError
from aquatempo.music.gathering import SHEET_SUFFIXES, gather
from aquatempo.music.hearing import Heard, Hearing, hear_file, method_name, usable_cores
from aquatempo.music.workers import Died, in_processes
from aquatempo.records.library import (
    LibraryPage,
    LibraryProgress,
    LibraryTrack,
    Mark,
    StoredVerdict,
)
from aquatempo.records.people import Group, Pool
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.records.track import Failure, Track
from aquatempo.store.library import Facts, Library, library_path, open_library
from aquatempo.store.library_query import condition_of, likely_slip
from aquatempo.workflow.checking import USUAL_POOLS

__all__ = [
    "add_tracks",
    "backup_library",
    "find_tracks",
    "hear_waiting",
    "library_tracks",
    "look_over",
    "mark_tracks",
    "open_books",
    "progress_of",
    "state_pool",
    "stated_pools",
    "whole_track",
]

Hearer = Callable[[Sequence[str]], Iterator[Heard | Failure]]
TOLD_EVERY = 1  # tracks


@contextmanager
def open_books(library: str | None = None) -> Iterator[Library]:
    """Give a library, or the user's own, in which the usual pools are stated."""
    with open_library(library_path(library)) as books:
        stated = books.pools()
        for pool in USUAL_POOLS:
            if pool.kind.value not in stated:
                plain = {"pool": to_plain(pool), "group": to_plain(Group())}
                books.put_pool(pool.kind.value, plain)
        yield books


def add_tracks(
    paths: Sequence[str], *, again: bool = False, library: str | None = None
) -> tuple[int, tuple[Failure, ...]]:
    """Note the files that paths name as waiting; return how many, and what names no file.

    Files, folders and playlists are accepted, and addresses of storage that fsspec knows,
    which workers of a cluster fetch. A file that is known waits again only where
    it changed since, failed before, or with again. Raises OutputError.
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
        return books.add([*files, *addresses], again), tuple(failures)


def hear_waiting(
    *,
    jobs: int | None = None,
    hearer: Hearer | None = None,
    library: str | None = None,
    go_on: Callable[[LibraryProgress], bool] | None = None,
) -> LibraryProgress:
    """Hear what waits, and keep each track as soon as it is heard; return how far it is.

    jobs: processes, by default one a core. hearer: what hears files in place of processes
    here, such as a cluster. go_on: told how far it is after each file; where it returns
    False the work stops, and the next call goes on with what still waits.
    """
    with open_books(library) as books:
        waiting = books.waiting()
        state = books.progress(0)
        heard = (hearer or partial(_hear_here, jobs=jobs or usable_cores()))(waiting)
        try:
            for one in heard:
                _keep(books, one)
                failed = isinstance(one, Failure)
                state = replace(
                    state,
                    waiting=state.waiting - 1,
                    heard=state.heard + (not failed),
                    failed=state.failed + failed,
                )
                if go_on is not None and not go_on(state):
                    break
        finally:
            close = getattr(heard, "close", None)
            if close is not None:
                close()
        _judge(books)
        return books.progress()


def progress_of(library: str | None = None) -> LibraryProgress:
    """Return how many files wait, are heard and failed."""
    with open_books(library) as books:
        return books.progress()


def find_tracks(
    query: str = "",
    *,
    order: str = "title",
    first: int = 0,
    most: int = 50,
    library: str | None = None,
) -> LibraryPage:
    """Return a page of the tracks that a query names; an empty one names all.

    order: "title", "tempo", "length", "confidence" or "newest". first: the row from 0 with
    which the page starts. Raises InputError for a term that is not understood.
    """
    if not (0 <= first <= 10**9 and 0 <= most <= 10**6):
        raise InputError(f"rows {first} and {most} more: needs 0 or more, a million at most")
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(books.pools()))
        page = books.find(condition, values, order, first, most)
    return page if page.total else replace(page, hint=likely_slip(query))


def library_tracks(
    query: str = "",
    *,
    most: int = 1_000_000,
    order: str = "title",
    library: str | None = None,
) -> Iterator[Track | Failure]:
    """Yield the tracks that a query names as heard and corrected, without opening their files.

    A track whose analysis is damaged, or whose file is gone, is a Failure.
    """
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(books.pools()))
        for row in books.find(condition, values, order, 0, most).tracks:
            yield whole_track(books, row)


def mark_tracks(
    query: str, marks: Sequence[Mark], *, drop: bool = False, library: str | None = None
) -> int:
    """Put marks on the tracks that a query names, or take them off; return how many tracks."""
    for mark in marks:
        if mark.kind not in ("tag", "rights", "approval") or not mark.value.strip():
            raise InputError(f"mark {mark.kind} {mark.value!r}: needs a tag, rights or a name")
        if len(mark.value) > 200 or not mark.value.isprintable():
            raise InputError("a mark: needs 200 printable characters at most")
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(books.pools()))
        numbers = books.numbers(condition, values)
        books.mark(numbers, marks, drop)
        return len(numbers)


def state_pool(
    name: str, pool: Pool, group: Group | None = None, *, library: str | None = None
) -> int:
    """State a pool and its group under a name, and judge all tracks for it; return how many."""
    if not name.isprintable() or not 0 < len(name) <= 60 or "," in name:
        raise InputError(f"pool name {name[:60]!r}: needs 1 to 60 characters without commas")
    with open_books(library) as books:
        books.put_pool(name, {"pool": to_plain(pool), "group": to_plain(group or Group())})
        return _judge(books)


def stated_pools(library: str | None = None) -> Mapping[str, tuple[Pool, Group]]:
    """Return the stated pools with their groups by name."""
    with open_books(library) as books:
        return {name: _pool_of(stated) for name, stated in books.pools().items()}


def look_over(library: str | None = None, *, mend: bool = False) -> tuple[str, ...]:
    """Return what is wrong in the library, one line each; empty where nothing is.

    mend: let tracks whose analysis is damaged wait to be heard again.
    """
    with open_books(library) as books:
        found = books.faults()
        if mend and found:
            books.hear_damaged_again()
        return found


def backup_library(target: str, *, library: str | None = None) -> None:
    """Write a whole copy of the library, also while it is written. Raises OutputError."""
    from aquatempo.store.results import refuse_target

    refuse_target(target, "backup", (".sqlite",), force=False)
    with open_books(library) as books:
        books.copy_to(Path(target))


def _hear_here(files: Sequence[str], jobs: int) -> Iterator[Heard | Failure]:
    heard = in_processes(_attempt, files, min(jobs, max(1, len(files))))
    try:
        for file, one in zip(files, heard, strict=True):
            if isinstance(one, Died):
                yield Failure(file, f"the process that heard it died twice: {one.how}")
            else:
                yield one
    finally:
        heard.close()


def _attempt(file: str) -> Heard | Failure:
    if "://" in file:
        from aquatempo.music.cluster import hear_address

        return hear_address(file, method_name())
    try:
        return hear_file(file, Hearing(), remember=False)
    except AquatempoError as exc:
        return Failure(file, str(exc))


def _keep(books: Library, one: Heard | Failure) -> None:
    if isinstance(one, Failure):
        books.put_failed(one.file, one.reason)
    else:
        books.put_heard(one.file, one.content_key, _facts(one), one.analysis)


def _facts(heard: Heard) -> Facts:
    analysis, corrected = _corrected(heard.content_key, heard.analysis)
    kinds = [phrase.kind for phrase in analysis.phrases]
    return Facts(
        title=heard.title,
        artist=heard.artist,
        duration_s=analysis.duration_s,
        tempo_bpm=analysis.tempo_bpm,
        confidence=analysis.confidence,
        beats_per_bar=analysis.beats_per_bar,
        steady=analysis.steady,
        phrases=kinds.count(PhraseKind.PHRASE),
        bridges=kinds.count(PhraseKind.BRIDGE),
        breaks=kinds.count(PhraseKind.BREAK),
        energy=fmean(phrase.energy for phrase in analysis.phrases) if kinds else 0.0,
        corrected=corrected,
        method=heard.method,
    )


def _corrected(content_key: str, analysis: RhythmAnalysis) -> tuple[RhythmAnalysis, bool]:
    from aquatempo import rhythm
    from aquatempo.store.correction_files import load_corrections

    stored = load_corrections(content_key)
    if stored is None or stored.empty:
        return analysis, False
    return rhythm.apply_corrections(analysis, stored), True


def whole_track(books: Library, row: LibraryTrack) -> Track | Failure:
    """Return a track of an open library as heard and corrected, or why there is none."""
    file = next((one for one in row.files if "://" in one or Path(one).exists()), "")
    if not file:
        shown = row.files[0] if row.files else row.title
        return Failure(shown, f"{shown!r} is gone: add it again from where it is now")
    kept = books.analysis_of(row.content_key)
    if kept is None:
        return Failure(file, f"what was heard in {file!r} is damaged: add it again")
    analysis, corrected = _corrected(row.content_key, kept[0])
    return Track(file, row.title, analysis, row.content_key, corrected)


def _pool_of(stated: Mapping[str, object]) -> tuple[Pool, Group]:
    return from_plain(Pool, stated["pool"]), from_plain(Group, stated["group"])


def _judge(books: Library) -> int:
    """Judge tracks that have no verdict for a stated pool yet; return how many were judged."""
    judged = 0
    for name, stated in books.pools().items():
        pool, group = _pool_of(stated)
        verdicts = []
        for number, tempo_bpm, beats_per_bar, steady, phrases in books.unjudged(name):
            rounded = None if tempo_bpm is None else round(tempo_bpm, 1)
            fit, speed, reason = _fit(rounded, pool, group)
            whole = beats_per_bar in (None, 4) and steady and phrases
            if fit == "suits" and not whole:
                fit, reason = "suits with changes", f"{reason}; not all in steady 32s of 4"
            verdicts.append((number, StoredVerdict(name, fit, speed, reason)))
        books.put_verdicts(verdicts)
        judged += len(verdicts)
    return judged


@cache
def _fit(tempo_bpm: float | None, pool: Pool, group: Group) -> tuple[str, float, str]:
    from aquatempo.feasibility import fit_track

    found = fit_track(tempo_bpm, pool, group)
    return str(found.fit), round(found.speed, 4), found.reason
