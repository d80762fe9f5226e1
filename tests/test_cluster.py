"""A real scheduler and workers, each a process of its own: the same records, each track once."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from aquatempo.errors import InputError
from aquatempo.music.cluster import hear_address, on_cluster
from aquatempo.music.hearing import HeardFile, method_name
from aquatempo.records.track import Failure
from aquatempo.workflow import library

SAMPLES = Path(__file__).parents[1] / "sample_audio"

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="processes end otherwise there")


class Machines:
    """A scheduler and its workers."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"tcp://127.0.0.1:{self.port}"
        self.started: list[subprocess.Popen[bytes]] = []
        self.scheduler = self._start("scheduler", f"--port={self.port}", "--no-dashboard")

    def worker(self) -> subprocess.Popen[bytes]:
        """Start a worker with one thread, and nobody who would start it anew."""
        return self._start(
            *("worker", self.address, "--nthreads=1", "--no-nanny", "--no-dashboard"),
            f"--local-directory={self.folder}",
        )

    def _start(self, *arguments: str) -> subprocess.Popen[bytes]:
        log = (self.folder / f"{arguments[0]}-{len(self.started)}.log").open("wb")
        with log:
            process = subprocess.Popen(
                [sys.executable, "-m", "dask", *arguments],
                stdout=log,
                stderr=log,
                env={**os.environ, "DASK_DISTRIBUTED__WORKER__DAEMON": "False"},
            )
        self.started.append(process)
        return process

    def end(self) -> None:
        """End all of them."""
        for process in self.started:
            process.kill()
            process.wait()


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Machines]:
    """Give a scheduler that listens, in a home of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    pytest.importorskip("distributed")
    found = Machines(tmp_path)
    try:
        until = time.monotonic() + 60
        while time.monotonic() < until:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", found.port)):
                break
            time.sleep(0.1)
        yield found
    finally:
        found.end()


def rows(path: str | None = None) -> list[tuple[object, ...]]:
    """Return what the library knows of each track, but for when it was added."""
    tracks = library.find_tracks(most=100, library=path).tracks
    return [(t.content_key, t.title, t.tempo_bpm, t.phrases, t.energy) for t in tracks]


@pytest.mark.long
def test_results_are_those_of_one_machine_whoever_dies(tmp_path: Path, machines: Machines) -> None:
    """A worker killed and one added in the middle, then the scheduler lost: nothing differs."""
    music = tmp_path / "music"
    music.mkdir()
    for song in sorted(SAMPLES.glob("*.ogg")):
        shutil.copy(song, music)
    (music / "no_song.mp3").write_text("text")
    library.add_tracks([str(music)])
    first = machines.worker()

    def kill_and_add(now: object) -> bool:
        if getattr(now, "heard", 0) == 2 and first.poll() is None:
            machines.worker()
            first.send_signal(signal.SIGKILL)
        return getattr(now, "heard", 0) < 4

    state = library.hear_waiting(hearer=on_cluster(machines.address), go_on=kill_and_add)
    assert state.heard == 4

    def lose_the_scheduler(now: object) -> bool:
        machines.scheduler.kill()
        return True

    with pytest.raises(InputError, match="the Dask scheduler is gone: what is heard is kept"):
        library.hear_waiting(hearer=on_cluster(machines.address), go_on=lose_the_scheduler)
    state = library.progress_of()
    assert 4 <= state.heard < 7
    state = library.hear_waiting(jobs=1)  # what still waits, on this machine
    assert (state.heard, state.failed, state.waiting) == (7, 1, 0)
    local = str(tmp_path / "local.sqlite")
    library.add_tracks([str(music)], library=local)
    library.hear_waiting(jobs=1, library=local)
    assert rows() == rows(local)
    assert library.look_over() == ()


def test_nobody_answers() -> None:
    """An address where no scheduler is gives one line."""
    pytest.importorskip("distributed")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("aquatempo.music.cluster.CONNECT_S", 1)
        with pytest.raises(
            InputError, match=r"no Dask scheduler answers at 'tcp://127\.0\.0\.1:9'"
        ):
            next(iter(on_cluster("tcp://127.0.0.1:9")(["a.mp3"])))


def test_worker_with_other_code_is_told() -> None:
    """A worker whose code differs refuses: its records would not be the same."""
    found = hear_address("a.mp3", "another")
    assert isinstance(found, Failure)
    assert "the worker has another aquatempo than you" in found.reason


def test_file_at_an_address(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A file in a store that fsspec knows is heard as the file itself; a missing one is said."""
    fsspec = pytest.importorskip("fsspec")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    song = SAMPLES / "odd_lane.ogg"
    with fsspec.open("memory://songs/odd_lane.ogg", "wb") as store:
        store.write(song.read_bytes())
    there = hear_address("memory://songs/odd_lane.ogg", method_name())
    here = hear_address(str(song), method_name())
    assert isinstance(there, HeardFile)
    assert isinstance(here, HeardFile)
    assert there.file == "memory://songs/odd_lane.ogg"
    assert (there.content_key, there.analysis) == (here.content_key, here.analysis)
    gone = hear_address("memory://songs/gone.ogg", method_name())
    assert isinstance(gone, Failure)
    assert gone.reason.startswith("cannot fetch 'memory://songs/gone.ogg': ")
