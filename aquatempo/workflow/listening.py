"""What is heard in tracks: the job behind ``aquatempo listen``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from aquatempo.deck.track_files import write_clicks, write_jams, write_picture
from aquatempo.music.hearing import Hearing, each_track
from aquatempo.records.track import Failure, Track
from aquatempo.store.results import refuse_folder, refuse_target

__all__ = ["listen", "refuse_places", "write_clicks", "write_jams", "write_picture"]


def listen(
    paths: Sequence[str],
    *,
    jobs: int | None = None,
    expect_bpm: tuple[float, float] | None = None,
    use_cache: bool = True,
    use_corrections: bool = True,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[Track | Failure]:
    """Yield each track that paths name with what is heard in it, or why nothing is.

    expect_bpm: range [beats/min] in which the tempo is expected. progress(done, of all). jobs:
    processes at a time, None for one a core; use_cache: take what was heard before;
    use_corrections: apply the user's own.
    """
    hearing = Hearing(expect_bpm, use_cache, use_corrections)
    return each_track(paths, hearing, jobs, progress)


def refuse_places(
    *,
    picture: str | None = None,
    jams: str | None = None,
    clicks: str | None = None,
    folder: str | None = None,
    force: bool = False,
) -> None:
    """Raise, before anything is heard, where a result could not be written afterwards.

    picture, jams, clicks: files that are to be written, or None; folder: into which, or None;
    force: replace what is there. Raises InputError, OutputError.
    """
    for path, kind, suffixes in ((picture, "picture", (".svg",)), (jams, "JAMS file", (".jams",))):
        if path is not None:
            refuse_target(path, kind, suffixes, force)
    if clicks is not None:
        from aquatempo import audio

        refuse_target(clicks, "sound", tuple(audio.FORMATS), force)
    if folder is not None:
        refuse_folder(folder, Path(folder))
