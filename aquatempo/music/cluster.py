"""Hearing on several machines: files by path on shared storage or by address, through Dask.

Workers get an address and give back what was heard; they know nothing of the library, which
one process writes. Each file is asked for once; what a lost worker had is given to another by
the scheduler, up to twice, and where the scheduler is lost everything that was not heard yet
still waits in the library.
"""

from __future__ import annotations

import contextlib
import tempfile
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError
from pathlib import Path
from typing import Any

from aquatempo.errors import AquatempoError, InputError, MissingExtraError
from aquatempo.music.hearing import HeardFile, Hearing, hear_file, method_name
from aquatempo.records.track import Failure

__all__ = ["hear_address", "on_cluster"]

AHEAD = 4  # files given out for each thread, so that none has to wait for work
CONNECT_S = 30


def on_cluster(address: str) -> Callable[[Sequence[str]], Iterator[HeardFile | Failure]]:
    """Return what hears files on the workers of the Dask scheduler at an address.

    Raises MissingExtraError without the extra "cluster", InputError where nothing answers.
    """
    distributed = _library()

    def hear(files: Sequence[str]) -> Iterator[HeardFile | Failure]:
        try:
            client = distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as exc:
            raise InputError(
                f"no Dask scheduler answers at {address!r} (is it running, and the port right?)"
            ) from exc
        try:
            yield from _through(client, files)
        except (OSError, TimeoutError, CancelledError) as exc:
            raise InputError(_LOST) from exc
        finally:
            with contextlib.suppress(OSError, TimeoutError):
                client.close(timeout=5)

    return hear


def _through(client: Any, files: Sequence[str]) -> Iterator[HeardFile | Failure]:  # noqa: ANN401
    """Yield results as they come; a moving window of files is given out at a time."""
    distributed = _library()
    waiting = deque(files)
    given: dict[Any, str] = {}
    done = distributed.as_completed(loop=client.loop)

    def give() -> None:
        room = max(2, AHEAD * sum(client.nthreads().values())) - len(given)
        for _ in range(min(room, len(waiting))):
            file = waiting.popleft()
            future = client.submit(
                hear_address, file, method_name(), key=f"hear-{file}", retries=0, pure=False
            )
            given[future] = file
            done.add(future)

    give()
    while given:
        try:
            future = next(done)
        except StopIteration as exc:
            raise InputError(_LOST) from exc
        file = given.pop(future)
        if future.status == "finished":
            yield future.result()
        elif future.status == "error":
            yield Failure(file, f"cannot hear {file!r} on the cluster: {_why(future)}")
        else:  # cancelled or lost: the scheduler is gone
            raise InputError(_LOST)
        future.release()
        give()


_LOST = "the Dask scheduler is gone: what is heard is kept; give the same command to go on"


def _library() -> Any:  # noqa: ANN401 - it has no types
    try:
        import distributed
    except ImportError as exc:
        raise MissingExtraError("a cluster", "cluster") from exc
    return distributed


def _why(future: Any) -> str:  # noqa: ANN401
    exc = future.exception()
    if isinstance(exc, _library().KilledWorker):
        return "each worker that tried it died (out of memory, or a fault in a decoder?)"
    return " ".join(str(exc).split()) or type(exc).__name__


def hear_address(file: str, method: str) -> HeardFile | Failure:
    """Return what is heard in a file by path or fsspec address: what runs on a worker.

    method: that of whoever asks; a worker with other code would give other records.
    """
    if method_name() != method:
        return Failure(file, f"cannot hear {file!r}: the worker has another aquatempo than you")
    try:
        if "://" not in file:
            return hear_file(file, Hearing(use_cache=False))
        return _fetched(file)
    except AquatempoError as exc:
        return Failure(file, str(exc))


def _fetched(address: str) -> HeardFile | Failure:
    """Hear a copy of what lies at an address: decoders move about in a file."""
    from dataclasses import replace

    try:
        import fsspec
    except ImportError as exc:
        raise MissingExtraError("a file at an address", "cluster") from exc
    with tempfile.TemporaryDirectory(prefix="aquatempo-") as folder:
        name = Path(address.rpartition("/")[2]).name or "song"
        copy = Path(folder) / name[-100:]
        try:
            with fsspec.open(address, "rb") as source, copy.open("wb") as target:
                while chunk := source.read(1 << 20):
                    target.write(chunk)
        except Exception as exc:  # each storage raises its own kinds
            return Failure(address, f"cannot fetch {address!r}: {' '.join(str(exc).split())}")
        heard = hear_file(str(copy), Hearing(use_cache=False))
    return replace(heard, file=address)
