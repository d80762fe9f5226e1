"""The list of music that is open: places, rows, hearing what waits.

Rows are a cache of the store: a list that is lost is read again from what was heard.
One list may be used by several threads at a time.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.music.gathering import gather
from aquatempo.music.hearing import usable_cores
from aquatempo.music.places import is_within, real_path
from aquatempo.music.rows import row_id, waiting_row
from aquatempo.music.sorting import matching
from aquatempo.records.music import MusicPage, MusicPlace, MusicQuery, MusicRow, RowState
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.track import Failure, Track
from aquatempo.store.dropped import dropped_folder
from aquatempo.store.settings import load_setting, save_setting
from aquatempo.workflow.listening import listen
from aquatempo.workflow.music_judging import heard_row

__all__ = ["MusicList"]

BATCH = 50  # tracks heard before the list is looked through again for new ones
MOST_ROWS = 1_000  # of one page


@dataclass(frozen=True, slots=True)
class _OpenPlaces:
    """What was open at last. stopped: whether hearing was stopped by hand."""

    places: tuple[str, ...] = ()
    stopped: bool = False


class MusicList:
    """The tracks of the opened places, how each suits a shallow and a deep class."""

    def __init__(self, pools: Sequence[Pool] = (), group: Group | None = None) -> None:
        self._lock = threading.RLock()
        self._pools, self._group = tuple(pools), group or Group()
        self._opened = load_setting("opened", _OpenPlaces())
        self._rows: dict[str, MusicRow] = {}
        self._missing: set[str] = set()
        self._hearing = False
        self._pace: list[float] = []
        self.version = 0

    # What is open

    def open(self, paths: Iterable[str]) -> int:
        """Open folders, songs or playlists; return how many tracks are new. InputError."""
        with self._lock:
            before = len(self._rows)
            for path in paths:
                real = real_path(path)
                if not Path(real).exists():
                    raise InputError(f"{path!r} does not exist (moved, renamed, or unplugged?)")
                if real not in self._opened.places:
                    self._remember(replace(self._opened, places=(*self._opened.places, real)))
                self._look_through(real)
            self._changed()
            return len(self._rows) - before

    def close(self, path: str) -> None:
        """Close a place; files and what was heard in them stay as they are."""
        with self._lock:
            kept = tuple(one for one in self._opened.places if one != path)
            self._remember(replace(self._opened, places=kept))
            self._rows = {key: row for key, row in self._rows.items() if row.place != path}
            self._missing.discard(path)
            for place in kept:  # a track may lie in two
                self._look_through(place)
            self._changed()

    def judge_for(self, pool: Pool, group: Group) -> None:
        """Judge all songs anew for a pool, in the place of the usual one of its kind, and a group.

        What was heard is read again from the store: no song is heard twice for it.
        """
        from aquatempo.workflow.water import pools_with

        with self._lock:
            pools = pools_with(pool)
            if (pools, group) == (self._pools, self._group):
                return
            self._pools, self._group = pools, group
            self._rows = {
                key: waiting_row(row.file, row.place) if row.state is RowState.HEARD else row
                for key, row in self._rows.items()
            }
            self._changed()

    def refresh(self) -> None:
        """Look through the opened places again: for new files, and for those that went."""
        with self._lock:
            for place in (*self._opened.places, str(dropped_folder())):
                self._look_through(place)
            self._changed()

    def add_dropped(self, path: str) -> str:
        """Add a song in the folder of dropped ones; return its id."""
        with self._lock:
            place = str(dropped_folder())
            self._rows.setdefault(row_id(path), waiting_row(path, place))
            self._changed()
            return row_id(path)

    # What is in it

    def page(self, query: MusicQuery) -> MusicPage:
        """Return the rows that a query asks for, and how the list stands."""
        with self._lock:
            rows = list(self._rows.values())
            hearing, version, places = self._hearing, self.version, self._places()
            left_s = self._left_s()
        found = matching(rows, query)
        first = max(query.offset, 0)
        states = [row.state for row in rows]
        return MusicPage(
            rows=tuple(found[first : first + min(max(query.limit, 0), MOST_ROWS)]),
            offset=first,
            matching=len(found),
            total=len(rows),
            heard=states.count(RowState.HEARD),
            waiting=states.count(RowState.WAITING),
            failed=states.count(RowState.FAILED),
            unsure=sum(row.state is RowState.HEARD and not row.is_sure for row in rows),
            hearing=hearing,
            left_s=left_s,
            version=version,
            places=places,
        )

    def row(self, key: str) -> MusicRow:
        """Return the row of an id, its file still in an opened place. Raises InputError."""
        with self._lock:
            row = self._rows.get(key)
            if row is None:
                raise InputError("this track is not in the list (was its folder closed?)")
            if not self._is_open(row.file, row.place):
                raise InputError(f"{row.title!r} lies outside the folders that are open")
            return row

    def key_of(self, file: str) -> str:
        """Return the id of a file, "" where it is not in the list."""
        with self._lock:
            row = self._rows.get(row_id(file))
            return row.id if row is not None and self._is_open(row.file, row.place) else ""

    def file_named(self, name: str) -> str:
        """Return the file of the list that has a name, "" where there is none."""
        with self._lock:
            files = [row.file for row in self._rows.values() if Path(row.file).name == name]
        return files[0] if files else ""

    def files_for(self, depth: ClassDepth, songs: Sequence[str], place: str) -> tuple[str, ...]:
        """Return the heard songs that a class of a depth may use, in the order of the list.

        songs: ids to choose from, none: all that suit. place: of one opened folder, "": any.
        """
        with self._lock:
            rows = [row for row in self._rows.values() if row.state is RowState.HEARD]
        if songs:
            return tuple(row.file for row in rows if row.id in set(songs))
        return tuple(
            row.file
            for row in rows
            if place in ("", row.place)
            and any(one.fit.depth is depth and one.fit.fit != "does not suit" for one in row.fits)
        )

    def heard(self, track: Track) -> MusicRow | None:
        """Put what is now heard in a track into its row."""
        with self._lock:
            row = self._rows.get(row_id(track.file))
            if row is None:
                return None
        judged = heard_row(track, row.place, self._pools, self._group)
        with self._lock:
            self._rows[row.id] = judged
            self._changed()
        return judged

    # Hearing

    @property
    def stopped(self) -> bool:
        """Whether hearing was stopped by hand, now or before a restart."""
        return self._opened.stopped

    def set_stopped(self, stopped: bool) -> None:
        """Remember whether what waits is to be heard."""
        with self._lock:
            self._remember(replace(self._opened, stopped=stopped))
            self._changed()

    def hear(self, wanted: Callable[[], bool]) -> None:
        """Hear what waits, as long as that is wanted; each track is kept once it is heard."""
        with self._lock:
            if self._hearing:
                return
            self._hearing = True
            self._pace = [time.monotonic()]
        try:
            while batch := self._next_batch(wanted):
                self._hear_batch(batch, wanted)
        except BaseException:
            with self._lock:
                self._hearing = False
                self._changed()
            raise

    def _next_batch(self, wanted: Callable[[], bool]) -> list[str]:
        """Return what to hear next; in the moment in which that is nothing, hearing has ended.

        Both under one lock: a song that is opened by another thread either is seen here or
        finds that nobody hears.
        """
        with self._lock:
            batch = self._waiting() if wanted() else []
            if not batch:
                self._hearing = False
                self._changed()
            return batch

    def _hear_batch(self, files: Sequence[str], wanted: Callable[[], bool]) -> None:
        with closing(listen(files, jobs=usable_cores())) as heard:  # type: ignore[type-var]
            for item in heard:
                if isinstance(item, Failure):
                    self._fail(item)
                else:
                    self.heard(item)
                self._pace = [self._pace[0], *self._pace[1:], time.monotonic()][-100:]
                if not wanted():
                    return

    def _fail(self, failure: Failure) -> None:
        with self._lock:
            row = self._rows.get(row_id(failure.file))
            if row is not None:
                self._rows[row.id] = replace(row, state=RowState.FAILED, failure=failure.reason)
                self._changed()

    def _waiting(self) -> list[str]:
        with self._lock:
            rows = self._rows.values()
            return [row.file for row in rows if row.state is RowState.WAITING][:BATCH]

    def _left_s(self) -> float | None:
        if not self._hearing or len(self._pace) < 4:
            return None
        each_s = (self._pace[-1] - self._pace[0]) / (len(self._pace) - 1)
        waiting = sum(row.state is RowState.WAITING for row in self._rows.values())
        return each_s * waiting

    # Places

    def _look_through(self, place: str) -> None:
        folder = Path(place)
        if not folder.exists():
            self._missing.add(place)
            return
        self._missing.discard(place)
        found: set[str] = set()
        for item in gather([place]):
            file = item if isinstance(item, str) else item.file
            if isinstance(item, Failure) and folder.is_dir():
                continue  # an empty folder is told by its number of tracks
            key = row_id(file)
            found.add(key)
            if key in self._rows and self._rows[key].state is not RowState.FAILED:
                continue
            row = waiting_row(file, place)
            if isinstance(item, Failure):
                row = replace(row, state=RowState.FAILED, failure=item.reason)
            elif not self._is_open(file, place):
                reason = "a link that leads out of the opened folder: open the folder it lies in"
                row = replace(row, state=RowState.FAILED, failure=reason)
            self._rows[key] = row
        gone = [key for key, row in self._rows.items() if row.place == place and key not in found]
        for key in gone:
            del self._rows[key]

    def _is_open(self, file: str, place: str) -> bool:
        """Whether a file, links followed, lies in its place (or is named by a list there)."""
        known = place in self._opened.places or place == str(dropped_folder())
        if not Path(place).is_dir():
            return known  # a song or a playlist that was itself opened
        return known and is_within(real_path(file), real_path(place))

    def _places(self) -> tuple[MusicPlace, ...]:
        tracks: dict[str, int] = {}
        for row in self._rows.values():
            tracks[row.place] = tracks.get(row.place, 0) + 1
        own = str(dropped_folder())
        shown = [
            MusicPlace(path, Path(path).name or path, tracks.get(path, 0), path in self._missing)
            for path in self._opened.places
        ]
        if tracks.get(own):
            shown.append(MusicPlace(own, "", tracks[own], dropped=True))
        return tuple(shown)

    def _remember(self, opened: _OpenPlaces) -> None:
        self._opened = opened
        save_setting("opened", opened)

    def _changed(self) -> None:
        self.version += 1
