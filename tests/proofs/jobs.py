"""The commands that proofs break off, each with what it finds and what it leaves.

A stage is a folder with a song, a home and results of an earlier, different run ("old"). A job
run to its end turns that into "new". Whatever happens to a job in between, each file has to
be the old one or the new one, whole.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from song_making import make_song

from aquatempo import files
from aquatempo.deck.export_options import Job as FileJob
from aquatempo.files import finish_together
from aquatempo.store.results import write_result

__all__ = ["JOBS", "SOUND", "Stage", "drawn_once", "run_here"]

SONG = "music/lanes.wav"
CARRIED = "card,sheet,captions,json,csv,midi,clicks"
JOBS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {  # the earlier run; the job
    "plan": (
        ("plan", SONG, "--all", "--brief", "music/old.toml", "--out", "work/plan.toml"),
        ("plan", SONG, "--all", "--brief", "music/new.toml", "--out", "work/plan.toml", "--force"),
    ),
    "both": (  # two plans of one command, for a shallow and a deep class
        ("plan", SONG, "--all", "--brief", "music/old.toml", "--out", "work/plan.toml"),
        ("plan", SONG, "--all", "--brief", "music/new.toml", "--out", "work/plan.toml", "--force"),
    ),
    "export": (
        ("export", "music/old_plan.toml", "--to", "work/deck", "--only", CARRIED),
        ("export", "music/new_plan.toml", "--to", "work/deck", "--only", CARRIED, "--force"),
    ),
    "correct": (
        ("correct", SONG, "--shift", "1"),
        ("correct", SONG, "--bridge", "0:17/8"),
    ),
    "check": ((), ("check", SONG, "--save", "work/fits.m3u", "--force")),
    "hear": ((), ("check", "music", "--save", "work/fits.m3u", "--force")),  # in processes
    "demo": (
        ("demo", "--out", "work/demo", "--without-song"),
        ("demo", "--out", "work/demo", "--without-song"),
    ),
}
DRAFT = re.compile(rb"\.(?:writing|together)-[0-9a-f]{16}")
BRIEF = 'title = "{title}"\n{more}[pool]\ndepth = "1.1-1.3"\n'


@dataclass(frozen=True)
class Stage:
    """A folder in which a job runs, kept as it was before the job in a folder beside it."""

    root: Path
    before: Path
    job: str

    @classmethod
    def made(cls, folder: Path, job: str, run: Callable[[Stage, tuple[str, ...]], int]) -> Stage:
        """Make the stage of a job; run: runs a command in it and returns its exit code."""
        stage = cls(folder / "stage", folder / "before", job)
        (stage.root / "music").mkdir(parents=True)
        (stage.root / "work").mkdir()
        make_song(stage.root / SONG, 68.0)  # over a minute: a class
        if job == "hear":
            make_song(stage.root / "music" / "tiles.wav", 126.0)
        for age in ("old", "new"):
            more = 'depth = "both"\n' if job == "both" else ""
            brief = BRIEF.format(title=f"Group of the {age} plan", more=more)
            (stage.root / "music" / f"{age}.toml").write_text(brief, encoding="utf-8")
            (stage.root / "music" / "brief.toml").write_text(brief, encoding="utf-8")
            if job == "export":
                plan = f"music/{age}_plan.toml"
                run(stage, ("plan", SONG, "--all", "--brief", f"music/{age}.toml", "--out", plan))
            if age == "old" and JOBS[job][0]:
                assert run(stage, JOBS[job][0]) == 0
        if job in ("check", "hear"):
            (stage.root / "work" / "fits.m3u").write_text("#EXTM3U\nold.wav\n", encoding="utf-8")
            shutil.rmtree(stage.root / "cache", ignore_errors=True)  # so that hearing is kept too
        shutil.copytree(stage.root, stage.before)
        return stage

    def reset(self) -> None:
        """Bring the folder back to what it was before the job."""
        for name in ("work", "cache", "data"):
            shutil.rmtree(self.root / name, ignore_errors=True)
            if (self.before / name).exists():
                shutil.copytree(self.before / name, self.root / name)

    def files(self) -> dict[str, bytes]:
        """Return what each file of results and of the user's words holds.

        Without locks, the list of our own results and the cache: those are looked at by
        whether the next run works with them (and ``faults``).
        """
        found = {}
        for top in ("music", "work", "data"):
            for path in sorted((self.root / top).rglob("*")):
                if path.is_file() and not path.name.startswith((".lock", ".aquatempo-results")):
                    found[str(path.relative_to(self.root))] = path.read_bytes()
        return found

    def fingerprint(self) -> str:
        """Return a hash of everything there: two of the same are gone on from in one way.

        Names of drafts are drawn at random, and told apart by order and content only.
        """
        found = hashlib.sha256()
        drawn: dict[bytes, bytes] = {}

        def alike(match: re.Match[bytes]) -> bytes:
            return drawn.setdefault(match[0], b"draft %d" % len(drawn))

        entries = []
        for path in self.root.rglob("*"):
            data = path.read_bytes() if path.is_file() else b"a folder"
            name = os.fsencode(path.relative_to(self.root))
            entries.append((DRAFT.sub(b"", name), hashlib.sha256(data).digest(), name, data))
        for _, _, name, data in sorted(entries):
            for part in (name, data):
                shown = DRAFT.sub(alike, part)
                found.update(len(shown).to_bytes(8, "big") + shown)
        return found.hexdigest()

    def mixed(self, old: dict[str, bytes], new: dict[str, bytes]) -> list[str]:
        """Return what is of two kinds after the next look, where files belong together."""
        if self.job != "both":
            return []
        finish_together(self.root / "work")  # as whatever reads a plan does
        now = {name: data for name, data in self.files().items() if name.endswith(".toml")}
        kinds = [{n: d for n, d in one.items() if n.endswith(".toml")} for one in (old, new)]
        return [] if now in kinds else ["one plan of two is the new one"]

    def damage(self) -> list[str]:
        """Return what is wrong with the databases of the home."""
        wrong = []
        for path in (self.root / "cache").rglob("*.sqlite"):
            with contextlib.closing(sqlite3.connect(path)) as database:
                wrong += [
                    f"{path.name}: {row[0]}"
                    for row in database.execute("PRAGMA integrity_check")
                    if row[0] != "ok"
                ]
        return wrong


def run_here(stage: Stage, arguments: tuple[str, ...]) -> int:
    """Run a command of ours in this process, in the stage; return its exit code."""
    from aquatempo.cli import main

    files._tidied.clear()  # a process of its own would not know them
    os.chdir(stage.root)
    os.environ.update(
        XDG_CACHE_HOME=str(stage.root / "cache"), XDG_DATA_HOME=str(stage.root / "data")
    )
    code = 0
    with (
        mock.patch("aquatempo.workflow.demo.sample_folder", return_value="music"),
        contextlib.redirect_stdout(io.StringIO()),
    ):
        try:
            main(arguments)
        except SystemExit as leaving:
            code = int(leaving.code or 0)
    return code


SOUND: dict[str, bytes] = {}  # what is written at a path instead of encoding sound again


@contextlib.contextmanager
def drawn_once() -> Iterator[None]:
    """Within the block, compute what takes long once for each input, and write it every time.

    Hearing, the plan, the sides of cards and the drawn pages; what writes them is all ours and
    runs as always.
    """
    from aquatempo.deck import songless_files
    from aquatempo.deck.cards import CardFile
    from aquatempo.music import hearing
    from aquatempo.planning import class_plan, twin
    from aquatempo.workflow import exporting

    known: dict[object, object] = {}

    def once(real: Callable[..., object]) -> Callable[..., object]:
        def called(*args: object, **kwargs: object) -> object:
            key = (real.__name__, repr(args)[:20_000], hash(repr(args)))
            if key not in known:
                known[key] = real(*args, **kwargs)
            return known[key]

        return called

    def replayed(real: Callable[..., Iterator[FileJob]]) -> Callable[..., Iterator[FileJob]]:
        def called(*args: object) -> Iterator[FileJob]:
            for path, make in real(*args):
                yield path, again(path, make, repr(args)[:20_000])

        return called

    def again(path: Path, make: Callable[[Path], object], given: str) -> Callable[[Path], None]:
        def write(target: Path) -> None:
            key = (str(path), given)
            if sound := SOUND.get(str(path)):
                write_result(target, sound, force=True)
            elif path.suffix == ".ogg" or key not in known:  # sound is written bit by bit
                make(target)
                known[key] = target.read_bytes()
            else:
                write_result(target, known[key], force=True)  # type: ignore[arg-type]

        return write

    with (
        mock.patch.object(hearing, "_analyse", once(hearing._analyse)),
        mock.patch.object(class_plan, "plan_class", once(class_plan.plan_class)),
        mock.patch.object(twin, "twin_plan", once(twin.twin_plan)),
        mock.patch.object(CardFile, "sides", property(once(vars(CardFile)["sides"].func))),
        mock.patch.object(exporting, "class_jobs", replayed(songless_files.class_jobs)),
        mock.patch.object(exporting, "track_jobs", replayed(songless_files.track_jobs)),
    ):
        yield
