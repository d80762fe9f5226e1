"""Files whole or not at all, leftovers removed, one writer at a time."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from aquatempo import files
from aquatempo.errors import OutputError
from aquatempo.files import inputs_kept, note_input, one_at_a_time, replacing, write_whole
from aquatempo.store.database import Schema, open_database
from aquatempo.store.dropped import DroppedFile, dropped_folder

WRITER = """
import sys, time
from pathlib import Path
from aquatempo.files import replacing
with replacing(Path(sys.argv[1])) as file:
    file.write(b"half")
    file.flush()
    print("writing", flush=True)
    time.sleep(60)
"""


def test_order_is_write_force_rename_force_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bytes are on the disk before the name is, and the name before writing counts as done."""
    path = tmp_path / "a"
    path.write_bytes(b"old")
    done: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def note_fsync(opened: int) -> None:
        name = str(Path(f"/proc/self/fd/{opened}").readlink()) if sys.platform == "linux" else ""
        done.append("force folder" if name == str(tmp_path) else "force file")
        fsync(opened)

    def note_replace(self: Path, target: Path) -> Path:
        assert path.read_bytes() == b"old"
        assert self.read_bytes() == b"new"
        done.append("rename")
        return replace(self, target)

    monkeypatch.setattr(os, "fsync", note_fsync)
    monkeypatch.setattr(Path, "replace", note_replace)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    if sys.platform == "linux":
        assert done == ["force file", "rename", "force folder"]


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_failure_keeps_the_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    """Where forcing or renaming fails the old file stays, nothing else does, the reason is said."""
    path = tmp_path / "a"
    path.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os if failing == "fsync" else Path, failing, fail)
    with pytest.raises(OutputError, match=r"^cannot write '.*a': Input/output error$"):
        write_whole(path, b"new")
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a", b"old")]


def test_mode_and_link_stay(tmp_path: Path) -> None:
    """A file that is replaced keeps its mode, and a link still leads to it."""
    path, link = tmp_path / "a", tmp_path / "link"
    path.write_bytes(b"old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="there are no device files here")
def test_device_and_folder_are_not_replaced(tmp_path: Path) -> None:
    """What is no file is never replaced by one: root could lose /dev/null."""
    with pytest.raises(OutputError, match="no file but a device or a pipe"):
        write_whole(Path("/dev/null"), b"x")
    with pytest.raises(OutputError, match="a folder is there"):
        write_whole(tmp_path, b"x")
    for name in ("a\0b", "a\udce9" if sys.platform == "win32" else "a" * 300):
        with pytest.raises(OutputError):
            write_whole(tmp_path / name, b"x")


@pytest.mark.skipif(sys.platform == "win32", reason="processes are killed otherwise there")
def test_leftovers_of_the_dead_go_those_of_the_living_stay(tmp_path: Path) -> None:
    """The next process that writes in a folder removes what a killed writer left, only that."""
    command = [sys.executable, "-c", WRITER]
    living = subprocess.Popen([*command, str(tmp_path / "a")], stdout=subprocess.PIPE)
    dying = subprocess.Popen([*command, str(tmp_path / "b")], stdout=subprocess.PIPE)
    try:
        for process in (living, dying):
            assert process.stdout is not None
            assert process.stdout.readline() == b"writing\n"
        dying.send_signal(signal.SIGKILL)
        dying.wait()
        assert len(list(tmp_path.iterdir())) == 2
        write_whole(tmp_path / "c", b"new")
        names = sorted(one.name for one in tmp_path.iterdir())
        assert len(names) == 2
        assert names[0].startswith(".writing-")
        assert names[1] == "c"
    finally:
        living.kill()
        for process in (living, dying):
            process.communicate()


def test_leftovers_go_where_databases_and_dropped_songs_lie(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reading a database, or dropping a song, removes what a killed writer left beside it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    left = [tmp_path / f".writing-{'0' * 16}", dropped_folder() / f".writing-{'0' * 16}"]
    dropped_folder().mkdir(parents=True)
    for one in left:
        one.write_bytes(b"half")
    with open_database(tmp_path / "a.sqlite", Schema("a", 1, ("CREATE TABLE a (b)",), True)):
        assert [one.exists() for one in left] == [False, True]
    with DroppedFile("song.wav") as file:
        file.write(b"song")
        assert not left[1].exists()
        with DroppedFile("other.wav"):  # whose writer lives
            assert len(list(dropped_folder().iterdir())) == 2
        assert file.finish().read_bytes() == b"song"
    assert [one.name for one in dropped_folder().iterdir()] == ["song.wav"]


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
def test_two_files_are_both_there_after_a_death_between_them(tmp_path: Path) -> None:
    """A process killed between two renames leaves what the next look turns into both new ones."""
    for name in ("a", "b"):
        (tmp_path / name).write_text("old")
    child = os.fork()
    if not child:  # the third rename is that of the second file, after the list and the first
        put, count = files._Draft.put, [0]

        def dying(draft: files._Draft) -> None:
            count[0] += 1
            if count[0] == 3:
                os._exit(9)
            put(draft)

        files._Draft.put = dying  # type: ignore[assignment, method-assign]
        files.write_together([(tmp_path / "a", b"new"), (tmp_path / "b", b"new")])
    os.waitpid(child, 0)
    assert [(tmp_path / name).read_text() for name in ("a", "b")] == ["new", "old"]
    files.finish_together(tmp_path)
    assert [(tmp_path / name).read_text() for name in ("a", "b")] == ["new", "new"]
    files._tidied.clear()
    files.write_whole(tmp_path / "c", b"c")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b", "c"]


@pytest.mark.parametrize("broken", [1, 2, 3])
def test_two_files_stay_old_where_one_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: int
) -> None:
    """Whichever rename fails, both files stay as they were, and nothing else is left."""
    (tmp_path / "a").write_text("old")
    put, count = files._Draft.put, [0]

    def failing(draft: files._Draft) -> None:
        count[0] += 1
        if count[0] == broken:
            raise OSError(errno.ENOSPC, "No space left on device")
        put(draft)

    monkeypatch.setattr(files._Draft, "put", failing)
    with pytest.raises(OutputError, match="No space left"):
        files.write_together([(tmp_path / "a", b"new"), (tmp_path / "b", b"new")])
    assert (tmp_path / "a").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_one_file_needs_no_list(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file written alone leaves nothing beside it, also where nothing can be removed."""

    def failing(path: Path, missing_ok: bool = False) -> None:
        raise OSError(errno.EACCES, f"no removing of {path}, {missing_ok}")

    monkeypatch.setattr(Path, "unlink", failing)
    files.write_together([(tmp_path / "a", b"new")])
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_second_waits_for_the_first(tmp_path: Path) -> None:
    """Two that hold one lock do so one after the other; who waits too long is told."""
    lock = tmp_path / ".lock"
    with one_at_a_time(lock):
        started = time.monotonic()
        with (
            pytest.raises(OutputError, match=r"another aquatempo has been writing there for 0\.1"),
            one_at_a_time(lock, wait_s=0.1),
        ):
            pytest.fail("the lock is held")
        assert time.monotonic() - started < 5
    with one_at_a_time(lock, wait_s=0.1):
        pass


def test_interruption_leaves_nothing(tmp_path: Path) -> None:
    """Ctrl-C while writing leaves the old file alone."""
    path = tmp_path / "a"
    path.write_bytes(b"old")
    half_done = replacing(path)
    half_done.__enter__().write(b"half")
    assert not half_done.__exit__(KeyboardInterrupt, KeyboardInterrupt(), None)
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a", b"old")]


def test_what_was_read_is_never_replaced(tmp_path: Path) -> None:
    """Within one job a file that was read is not written over, by whatever name it is called."""
    song, link = tmp_path / "song.mp3", tmp_path / "link.mp3"
    song.write_bytes(b"song")
    link.symlink_to(song)
    with inputs_kept():
        note_input(song)
        for name in (song, link, tmp_path / "x" / ".." / "song.mp3"):
            with pytest.raises(OutputError, match="it is read by this very command"):
                write_whole(name, b"new")
        write_whole(tmp_path / "other", b"new")
    assert song.read_bytes() == b"song"
    write_whole(song, b"new")  # what another job read is no concern of this one
