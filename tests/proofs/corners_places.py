"""Corners of places and processes: what may not be read, full, gone, special, killed."""

from __future__ import annotations

import ctypes
import os
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

from proofs.corners import Scene, corner
from proofs.corners_plain import ON_FILES, SONG, with_file

__all__: list[str] = []


def as_ordinary() -> None:
    """Give up, in this process, the right of root to read and write everything."""
    if os.geteuid() == 0:
        rights = (ctypes.c_uint32 * 6)()  # effective, permitted, inheritable; twice 32 bits
        head = (ctypes.c_uint32 * 2)(0x20080522, 0)
        library = ctypes.CDLL(None, use_errno=True)
        assert library.capget(head, rights) == 0
        for kind in (0, 1):
            rights[kind] &= ~0b110  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH
        assert library.capset(head, rights) == 0


@corner("places that may not be read or written are said, before anything is heard")
def _forbidden(scene: Scene) -> list[str]:
    shut = scene.root / "shut"
    (shut / "in").mkdir(parents=True)
    for name in ("song.wav", "plan.toml", "list.m3u"):
        shutil.copy(scene.root / {"song.wav": SONG}.get(name, name), shut / "in" / name)
    shut.chmod(0)
    readable = scene.root / "readable"
    readable.mkdir(mode=0o555)
    wrong = []
    for line in ("listen shut/in/song.wav", "listen shut", "check shut", "listen shut/in/list.m3u",
                 "review shut/in/plan.toml", "export shut/in/plan.toml --to deck", "bench shut",
                 "library add shut", "plan shut/in/song.wav", "plan music --after shut",
                 "plan music --brief shut/in/plan.toml", "judge 132 --own-moves shut/in/plan.toml",
                 "library list --library shut/l.sqlite"):  # fmt: skip
        wrong += scene.run(*line.split(), before=as_ordinary).refused("shut")
    for line in (f"listen {SONG} --fresh --plot readable/a.svg",
                 f"listen {SONG} --fresh --click readable/a.wav",
                 f"listen {SONG} --fresh --jams readable/a.jams",
                 "check music --save readable/a.m3u",
                 "plan music --all --out readable/p.toml", "review plan.toml --plot readable/e.svg",
                 "export plan.toml --to readable/deck", "demo --without-song --out readable/demo",
                 "judge 132 --move jack --figures readable/f", "library export readable/a.csv",
                 "shape plan.toml --out readable/p.toml", "page --starter readable/s"):  # fmt: skip
        ran = scene.run(*line.split(), before=as_ordinary)
        wrong += ran.refused("readable")
        if ran.took_s > 1.5:
            wrong.append(f"{line}: {ran.took_s:.1f} s of work before the place was refused")
    made = scene.run("correct", SONG, "--half", before=as_ordinary)
    wrong += made.done()
    folder = next(scene.home.rglob("corrections"))
    folder.chmod(0)
    for line in (f"listen {SONG}", "check music", f"correct {SONG} --double", "library list"):
        wrong += scene.run(*line.split(), before=as_ordinary).refused("corrections")
    folder.chmod(0o777)
    shut.chmod(0o777)
    return wrong


@corner("standard output full or closed, working folder deleted")
def _streams(scene: Scene) -> list[str]:
    wrong = []

    def full() -> None:
        os.dup2(os.open("/dev/full", os.O_WRONLY), 1)

    def shut() -> None:
        reading, writing = os.pipe()
        os.close(reading)
        os.dup2(writing, 1)

    def gone() -> None:
        (scene.home.parent / "gone").mkdir()
        os.chdir(scene.home.parent / "gone")
        (scene.home.parent / "gone").rmdir()

    lines = (
        "tempo 132", "judge 132 --json", "vary jack", f"listen {SONG} --json", "check music",
        "review plan.toml", "plan music --all", "library list", "library list --json", "--help",
        "judge --help", "cue music/lanes.wav --move jack", "shape plan.toml --alternatives 1.1",
    )  # fmt: skip
    for line in lines:
        ran = scene.run(*line.split(), before=full)
        wrong += ran.done(1)
        if "standard output" not in ran.err:
            wrong.append(f"{line} > full: {ran.err[-200:]!r}")
        ran = scene.run(*line.split(), before=shut)
        if ran.code not in (0, 1, 141) or len(ran.err.strip().splitlines()) > 1:
            wrong.append(f"{line} | closed: code {ran.code}, {ran.err[-200:]!r}")
    for line in (
        *lines,
        "demo --without-song --out d",
        "plan x --out p.toml",
        "check . --save a.m3u",
    ):
        ran = scene.run(*line.split(), before=gone)
        if (scene.home.parent / "gone").exists():
            wrong.append(f"{line}: the deleted folder is there again")
        wrong += [ran.fault] if ran.fault else []
    return wrong


@corner("fifo, device, socket, folder, link to itself, in the place of any file")
def _special(scene: Scene) -> list[str]:
    import socket

    wrong = []
    for suffix in (".wav", ".toml", ".m3u", ".jams"):
        os.mkfifo(scene.root / f"fifo{suffix}")
        (scene.root / f"loop{suffix}").symlink_to(f"loop{suffix}")
        (scene.root / f"zero{suffix}").symlink_to("/dev/zero")
        (scene.root / f"folder{suffix}").mkdir()
        with socket.socket(socket.AF_UNIX) as one:
            os.chdir(scene.root)
            one.bind(f"socket{suffix}")
        for kind in ("fifo", "loop", "zero", "folder", "socket"):
            for line in ON_FILES[:19]:
                if suffix != ".toml" and any(f"--{one} {{}}" in line for one in ("rules", "brief")):
                    continue
                ran = scene.run(*with_file(line, f"{kind}{suffix}"), limit_s=20)
                wrong += [ran.fault] if ran.fault else []
                if ran.code == 0 and kind != "folder":
                    wrong.append(f"{' '.join(ran.arguments)}: taken")
    return wrong


@corner("an audio file that cannot be written to its end is named, and not left")
def _audio_write(scene: Scene) -> list[str]:
    def little() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))

    wrong = []
    for name in ("a.wav", "a.ogg", "a.flac"):
        ran = scene.run("listen", SONG, "--click", name, before=little)
        if (
            (scene.root / name).exists()
            and ran.code == 0
            and (scene.root / name).stat().st_size < 300_000
        ):
            continue  # it was small enough
        wrong += ran.refused(name)
        wrong += [f"{name} is left"] if (scene.root / name).exists() else []
    left = [one.name for one in scene.root.glob(".writing-*")]
    return wrong + left


@corner("what a killed writer left is removed by the next run")
def _left(scene: Scene) -> list[str]:
    places = [scene.root, scene.root / "deck", scene.root / "demo",
              *(one.parent for one in scene.home.rglob("*.sqlite"))]  # fmt: skip
    wrong = scene.run("correct", SONG, "--half").done()
    places += [one.parent for one in scene.home.rglob("corrections/*.toml")]
    for place in places:
        place.mkdir(exist_ok=True)
        (place / ".writing-0123456789abcdef").write_bytes(b"half")
    for line in ("plan music --all --out new.toml", "export new.toml --to deck --only card",
                 "demo --without-song --out demo", f"correct {SONG} --shift 1",
                 f"listen {SONG} --fresh"):  # fmt: skip
        wrong += scene.run(*line.split()).done()
    left = [str(one) for top in (scene.root, scene.home) for one in top.rglob(".writing-*")]
    return wrong + [f"{one} is left" for one in left]


def ended(
    scene: Scene, kind: signal.Signals, after_s: float, *arguments: str
) -> tuple[int, str, list[int]]:
    """Signal a command in a session of its own after a while; return code, stderr, who is left."""
    from proofs.kills import orphans

    process = subprocess.Popen(
        [sys.executable, "-c", "from aquatempo.cli import main; main()", *arguments],
        cwd=scene.root, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
        env={**os.environ, "XDG_CACHE_HOME": str(scene.home), "XDG_DATA_HOME": str(scene.home)},
    )  # fmt: skip
    time.sleep(after_s)
    process.send_signal(kind)
    err = process.communicate(timeout=60)[1]
    return process.returncode, err, orphans(process.pid, 15.0)


@corner("Ctrl-C, SIGTERM and SIGKILL at any moment: one line, nobody left", quick=False)
def _signals(scene: Scene) -> list[str]:
    wrong = []
    for number in range(4):
        shutil.copy(scene.root / SONG, scene.root / "music" / f"more{number}.wav")
        with (scene.root / "music" / f"more{number}.wav").open("r+b") as file:
            file.seek(5000 + number)
            file.write(bytes([number] * 8))
    for number in range(14):
        after_s = 0.15 + 0.33 * number
        for kind in (signal.SIGINT, signal.SIGTERM, signal.SIGKILL):
            code, err, left = ended(
                scene, kind, after_s, "listen", "music", "--fresh", "--jobs", "2"
            )
            lines = [one for one in err.splitlines() if one.strip()]
            if left:
                wrong.append(f"{kind.name} after {after_s:.2f} s: {left} are left")
            if code not in (0, 128 + kind, -kind) or "Traceback" in err:
                wrong.append(f"{kind.name} after {after_s:.2f} s: code {code}, {lines[-1:]}")
            if code == 128 + kind and (len(lines) != 1 or "stopped" not in lines[0]):
                wrong.append(f"{kind.name} after {after_s:.2f} s: {lines}")
            if code == -signal.SIGINT:
                wrong.append(f"SIGINT after {after_s:.2f} s: no line, as the import had not begun")
    return wrong


@corner("Ctrl-C while a class is planned: one line, soon", quick=False)
def _planning(scene: Scene) -> list[str]:
    wrong = []
    for number in range(8):
        started = time.monotonic()
        after_s = 1.0 + 0.7 * number
        code, err, left = ended(scene, signal.SIGINT, after_s, "plan", "music", "--all")
        took_s = time.monotonic() - started - after_s
        lines = [one for one in err.splitlines() if one.strip()]
        if code not in (0, 130) or left or took_s > 5 or (code == 130 and len(lines) != 1):
            wrong.append(
                f"after {after_s:.1f} s: code {code}, {lines[-2:]}, {took_s:.1f} s, {left}"
            )
    return wrong


@corner("a worker that is killed costs its track, which is tried once more", quick=False)
def _worker(scene: Scene) -> list[str]:
    from proofs.kills import members

    for number in range(3):
        shutil.copy(scene.root / SONG, scene.root / "music" / f"more{number}.wav")
        with (scene.root / "music" / f"more{number}.wav").open("r+b") as file:
            file.seek(5000 + number)
            file.write(bytes([number] * 8))
    process = subprocess.Popen(
        [sys.executable, "-m", "aquatempo", "listen", "music", "--fresh", "--json", "--jobs", "2"],
        cwd=scene.root, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
        env={**os.environ, "XDG_CACHE_HOME": str(scene.home), "XDG_DATA_HOME": str(scene.home)},
    )  # fmt: skip
    killed = threading.Event()

    def kill_one() -> None:
        until = time.monotonic() + 30
        while time.monotonic() < until and not killed.is_set():
            for pid in members(process.pid):
                line = Path(f"/proc/{pid}/cmdline").read_bytes()
                if pid != process.pid and b"spawn_main" in line:
                    os.kill(pid, signal.SIGKILL)
                    killed.set()
                    return
            time.sleep(0.05)

    thread = threading.Thread(target=kill_one)
    thread.start()
    out, err = process.communicate(timeout=120)
    thread.join()
    wrong = [] if killed.is_set() else ["no worker was seen"]
    if len(out.splitlines()) != 4 or process.returncode or "Traceback" in err:
        wrong.append(f"{len(out.splitlines())} of 4 heard, code {process.returncode}: {err[-300:]}")
    return wrong
