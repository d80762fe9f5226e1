"""Each corner by name: what could be lost or go wrong in silence, tried by a real command.

``python -m proofs.corners [--only WORDS] [--quick]`` from ``tests``; docs/robustness.md has the
last table. ``bad_inputs`` draws inputs by the hundred; here each corner that was once found is
tried as it was found. A corner is a function that returns what was wrong, nothing where it holds.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from song_making import make_song

from proofs.bad_inputs import ready
from proofs.forked import become_command, is_review

__all__ = ["CORNERS", "Ran", "Scene", "corner", "main"]

LIMIT_S = 60.0
LONGEST_LINE = 1000  # characters that a message may take
SHEET = 'title = "Lanes"\ntempo_bpm = 126\nlength = "3:20"\nfirst_beat = 0.5\nphrases = [32, 32]\n'


@dataclass(frozen=True)
class Ran:
    """A command that has ended. changed: files that were there before and are not as before."""

    arguments: tuple[str, ...]
    code: int
    out: str
    err: str
    changed: tuple[str, ...]
    took_s: float

    @property
    def fault(self) -> str:
        """What is wrong with how it ended: "" where it is done, or refused in plain lines."""
        lines = [line for line in self.err.splitlines() if line.strip()]
        if self.code == 1 and is_review(self.arguments, self.out):
            return ""
        where = f"{' '.join(self.arguments)!r}"[:200]
        if "Traceback" in self.err or self.code not in (0, 1, 2, 130, 143):
            return f"{where}: code {self.code}, {lines[-1:]}"
        if self.code and not lines:
            return f"{where}: code {self.code} without a word"
        if self.code == 1 and not any(line.startswith("aquatempo: ") for line in lines):
            return f"{where}: code 1, {lines[-1:]}"
        if long := [line for line in lines if len(line) > LONGEST_LINE]:
            return f"{where}: a line of {len(long[0])} characters"
        return ""

    def refused(self, words: str = "") -> list[str]:
        """Return what is wrong unless it ended with code 1 or 2, these words, nothing changed."""
        wrong = [self.fault] if self.fault else []
        shown = f"{' '.join(self.arguments)!r}"[:200]
        if self.code not in (1, 2):
            wrong.append(f"{shown}: code {self.code}, not refused")
        if words not in self.err:
            wrong.append(f"{shown}: {words!r} is not said, but {self.err.strip()[-200:]!r}")
        if self.changed:
            wrong.append(f"{shown}: changed {self.changed}")
        return wrong

    def done(self, code: int = 0) -> list[str]:
        """Return what is wrong unless it ended with a code."""
        if self.fault or self.code != code:
            shown = f"{' '.join(self.arguments)!r}"[:200]
            return [self.fault or f"{shown}: code {self.code}, {self.err.strip()[-200:]!r}"]
        return []


@dataclass
class Scene:
    """A folder with a song, a class, a playlist; commands run in it, in forked children."""

    root: Path
    home: Path
    number: int = field(default=0)

    def run(
        self,
        *arguments: str,
        before: Callable[[], None] | None = None,
        limit_s: float = LIMIT_S,
    ) -> Ran:
        """Run a command in the folder; before: done first, in its process."""
        was = self._kept()
        said = (self.home.parent / "stdout", self.home.parent / "stderr")
        started = time.monotonic()
        child = os.fork()
        if not child:
            os.environ["COLUMNS"] = "500"  # so that a line of ours is one line
            become_command(arguments, self.root, self.home, said, before)
        while not (ended := os.waitpid(child, os.WNOHANG))[0]:
            if time.monotonic() > started + limit_s:
                os.kill(child, signal.SIGKILL)
            time.sleep(0.005)
        took_s = time.monotonic() - started
        texts = [path.read_text(errors="replace") for path in said]
        now = self._kept()
        changed = tuple(sorted(name for name, data in was.items() if now.get(name) != data))
        code = os.waitstatus_to_exitcode(ended[1])
        return Ran(arguments, code, texts[0], texts[1], changed, took_s)

    def json(self, *arguments: str) -> Any:
        """Return what a command tells in JSON."""
        return json.loads(self.run(*arguments, "--json").out)

    def _kept(self) -> dict[str, bytes | None]:
        return {
            str(path.relative_to(self.root)): path.read_bytes()
            if path.is_file() and path.stat().st_size < 20 << 20
            else None
            for path in self.root.rglob("*")
            if not path.is_symlink() and not path.is_fifo()
        }


Corner = Callable[[Scene], list[str]]
CORNERS: dict[str, tuple[Corner, bool]] = {}


def corner(name: str, *, quick: bool = True) -> Callable[[Corner], Corner]:
    """Put a function down as a corner; quick: whether the suite tries it too."""

    def put(made: Corner) -> Corner:
        CORNERS[name] = (made, quick)
        return made

    return put


@contextmanager
def a_scene() -> Any:
    """Give the folder from which each corner gets its own copy."""
    with tempfile.TemporaryDirectory() as scratch:
        root = Path(scratch) / "scene"
        (root / "music").mkdir(parents=True)
        make_song(root / "music" / "lanes.wav", 72.0)  # over a minute: a class
        (root / "brief.toml").write_text('title = "Tuesday"\n', encoding="utf-8")
        (root / "sheet.toml").write_text(SHEET, encoding="utf-8")
        (root / "list.m3u").write_text("music/lanes.wav\n", encoding="utf-8")
        (root / "words.txt").write_text("mine\n", encoding="utf-8")
        scene = Scene(root, Path(scratch) / "home")
        made = scene.run("plan", "music", "--all", "--brief", "brief.toml", "--out", "plan.toml")
        assert made.code == 0, made.err
        yield scene


def tried(scene: Scene, name: str) -> list[str]:
    """Try one corner in a copy of the scene; return what was wrong."""
    with tempfile.TemporaryDirectory() as scratch:
        copy = Scene(Path(scratch) / "scene", Path(scratch) / "home")
        shutil.copytree(scene.root, copy.root)
        shutil.copytree(scene.home, copy.home)
        try:
            return CORNERS[name][0](copy)
        except Exception as exc:  # the trial itself went wrong: told as such
            return [f"the trial: {type(exc).__name__}: {exc}"[:500]]


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a table; exit with 1 where a corner does not hold."""
    from proofs import corners_long, corners_places, corners_plain, corners_serious, corners_written

    # What they hold is put down by importing them.
    assert all((corners_long, corners_places, corners_plain, corners_serious, corners_written))
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="corners with one of these words; parted by ;")
    parser.add_argument("--quick", action="store_true", help="those that the suite tries")
    given = parser.parse_args(arguments)
    ready()
    failed = tried_all = 0
    print("| corner | holds | took [s] |\n| --- | --- | --- |", flush=True)
    with a_scene() as scene:
        for name, (_, quick) in CORNERS.items():
            if not any(words in name for words in given.only.split(";")) or (
                given.quick and not quick
            ):
                continue
            started = time.monotonic()
            wrong = tried(scene, name)
            took_s = time.monotonic() - started
            tried_all += 1
            failed += bool(wrong)
            print(f"| {name} | {'no' if wrong else 'yes'} | {took_s:.1f} |", flush=True)
            for line in wrong[:20]:
                print(f"{name}: {line}", file=sys.stderr, flush=True)
    print(f"| all {tried_all} | {tried_all - failed} hold | |")
    raise SystemExit(bool(failed))


if __name__ == "__main__":
    from proofs.corners import main as run_as_module  # one table of corners, not two

    run_as_module()
