"""What is heard in tracks: the job behind ``aquatempo listen``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from aquatempo.deck.track_files import write_clicks, write_jams, write_picture
from aquatempo.music.hearing import Hearing, each_track
from aquatempo.records.track import Failure, Track

__all__ = ["listen", "write_clicks", "write_jams", "write_picture"]


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
