"""Corners that ended in a traceback, a hang or silence: each is a plain line now."""

from __future__ import annotations

import csv
import ctypes
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
import xml.etree.ElementTree as ET
from pathlib import Path

import soundfile

from proofs.corners import SHEET, Scene, corner

__all__: list[str] = []
SONG = "music/lanes.wav"
ON_FILES = (  # every command that takes a file, {} being that file
    *("listen {}", "check {}", "judge {}", "cue {} --move jack", "correct {} --half"),
    *("bench {}", "plan {}", f"plan {SONG} --brief {{}}", f"plan {SONG} --rules {{}}"),
    *(f"plan {SONG} --favourites {{}}", f"plan {SONG} --after {{}}", "plan {} --late 5"),
    *("review {}", "review plan.toml --rules {}", "shape {} again", "export {} --to deck"),
    *("judge 132 --own-moves {}", "vary jack --own-moves {}", "library add {}"),
    *("library list --library {}", "library export {}", "library backup {}", "page --starter {}"),
    *(f"listen {SONG} --{one} {{}}" for one in ("plot", "click", "jams")),
    *("judge 132 --move jack --plot {}", "judge 132 --move jack --figures {}"),
    *("check music --save {}", "plan music --all --out {}", "review plan.toml --plot {}"),
    *("export plan.toml --only card --to {}", "demo --without-song --out {}"),
)


def with_file(line: str, name: str) -> tuple[str, ...]:
    """Return the words of a command on a file."""
    return tuple(word.replace("{}", name) for word in line.split(" "))


@corner("names that are no UTF-8, too long, with control characters, in every command")
def _names(scene: Scene) -> list[str]:
    names = [os.fsdecode(one) for one in (b"\xff\xfe.wav", b"\n\x1b[31m.toml", b"a" * 300 + b".svg",
                                          b"a/" * 2500 + b"b.m3u")]  # fmt: skip
    wrong = []
    for name in names:
        for line in ON_FILES:
            ran = scene.run(*with_file(line, name))
            if ran.fault or ran.changed:
                wrong.append(ran.fault or f"{line}: changed {ran.changed}")
    return wrong


@corner("names that are no UTF-8 of files that are there")
def _odd_files(scene: Scene) -> list[str]:
    wrong = []
    for name, source in (
        (b"\xff.wav", SONG),
        (b"\xff.toml", "plan.toml"),
        (b"\xfe.toml", "brief.toml"),
    ):
        shutil.copy(scene.root / source, os.fsencode(scene.root) + b"/" + name)
    song, plan, brief = (os.fsdecode(one) for one in (b"\xff.wav", b"\xff.toml", b"\xfe.toml"))
    for words in (
        ("listen", song), ("listen", song, "--json"), ("check", song), ("check", song, "--json"),
        ("judge", song, "--json"), ("cue", song, "--move", "jack"), ("correct", song, "--half"),
        ("correct", song, "--forget"), ("plan", song, "--all", "--brief", brief, "--json"),
        ("plan", song, "--all", "--out", os.fsdecode(b"\xfd.toml")), ("review", plan),
        ("export", plan, "--to", os.fsdecode(b"deck\xff"), "--only", "card,sheet,page,csv,json"),
        ("library", "add", song), ("library", "list"), ("library", "list", "--json"),
        ("library", "export", "l.csv"), ("library", "export", "l.m3u"), ("shape", plan, "lock 1"),
        ("listen", song, "--plot", os.fsdecode(b"\xff.svg")),
    ):  # fmt: skip
        ran = scene.run(*words)
        if ran.fault or ran.code:
            wrong.append(ran.fault or f"{words}: code {ran.code}: {ran.err[-200:]}")
    return wrong


TEXTS = {
    "deep lists": "a = " + "[" * 100_000,
    "deep tables": "a = " + "{a=" * 50_000,
    "dotted key of 40 KB": ".".join(["a"] * 20_000) + " = 1",
    "dotted table of 40 KB": "[" + ".".join(["a"] * 20_000) + "]",
    "number of 4,300 digits": f"minutes = {'9' * 4300}",
    "number of 40,000 digits": f"minutes = {'9' * 40_000}",
    "20,000 blanks": "x = 1\n" + " " * 20_000 + "y\n",
    "20,000 blanks in a value": 'title = "' + " " * 20_000 + "\n",
    "20,000 blanks before a sign": "title" + " " * 20_000 + '= "a"',
    "20,000 quotes": 'title = "' + "\\" * 20_001 + '"',
    "20,000 brackets": "[" * 20_000 + "\n",
    "20,000 commas": "a = [" + "," * 20_000 + "]",
    "NUL": "a\0 = 1",
    "short form, long line": "class Tuesday\n" + "1 " * 30_000,
    "short form, blanks": "plan 45 min" + " " * 20_000 + "x",
    "20,000 tables": "[[tracks]]\n" * 20_000,
    "20,000 keys": "\n".join(f"k{n} = 1" for n in range(20_000)),
    "same key twice": "a = 1\na = 2\n",
    "JSON deep": "[" * 100_000,
    "JSON objects deep": '{"a":' * 100_000,
    "JSON digits": '{"annotations": ' + "9" * 50_000 + "}",
    "binary": bytes(range(256)).decode("latin-1") * 20,
}


@corner("deep, huge, long-winded TOML and JSON, in every command that reads them", quick=False)
def _texts(scene: Scene) -> list[str]:
    wrong = []
    for what, text in TEXTS.items():
        for suffix in (".toml", ".plan", ".jams", ".json"):
            (scene.root / f"text{suffix}").write_text(text, encoding="utf-8")
            for line in ON_FILES[:19]:
                ran = scene.run(*with_file(line, f"text{suffix}"))
                if ran.fault or ran.changed or ran.took_s > 20:
                    wrong.append(f"{what}: {ran.fault or ran.changed} {ran.took_s:.0f} s")
    return wrong


@corner("counts, lengths, times and ids without limit or sense")
def _limits(scene: Scene) -> list[str]:
    wrong = []
    for option, values in {
        "--bridge": ("10/9e19", "10/99999", "10/0", "10/2.5", "9999999:00:00/8", "3:99/8", "-5/8"),
        "--phrase": ("9999999:00:00", "3:99", "1e400", "-1", "nan"),
        "--shift": ("9" * 30, "2.5", "nan"),
        "--tempo": ("1e400", "0", "-5", "nan"),
        "--no-beat": ("3-2", "0-9e19", "3:99-4:00", "1-2-3"),
        "--from": ("9e19", "nan"),
    }.items():
        for value in values:
            more = ("--half",) if option == "--from" else ()
            wrong += scene.run("correct", SONG, f"{option}={value}", *more).refused()
    for old, new in (
        ('"3:20"', '"9999999:00:00"'), ('"3:20"', '"3:99"'), ('"3:20"', '"-1"'), ("126", "1e30"),
        ("[32, 32]", "[32, 99999999999]"), ("[32, 32]", "[2.5]"), ("0.5", "1e300"), ("0.5", "nan"),
        ("phrases", "beats_per_bar = 2.7\nphrases"), ("phrases", "beats_per_bar = 900\nphrases"),
        ("[32, 32]", "[" + "32, " * 50_000 + "]"),
    ):  # fmt: skip
        (scene.root / "odd.toml").write_text(SHEET.replace(old, new), encoding="utf-8")
        wrong += scene.run("listen", "odd.toml").refused("odd.toml")
    for field, value in (("time", 2**31), ("time", -1), ("value", 2.7), ("time", "x")):
        beats = [{"time": n / 2, "duration": 0, "value": 1 + n % 4} for n in range(40)]
        beats[-1][field] = value  # type: ignore[assignment]
        made = {"annotations": [{"namespace": "beat", "data": beats}],
                "file_metadata": {"duration": 20.0}}  # fmt: skip
        (scene.root / "odd.jams").write_text(json.dumps(made), encoding="utf-8")
        wrong += scene.run("listen", "odd.jams").refused("odd.jams")
    for words in (
        ("tempo", "1e400"), ("tempo", "132", "--pattern", "-".join(["2"] * 9999)),
        ("judge", "132", "--depth", "1e9"), ("judge", "132", "--size", "9" * 40),
        ("judge", "132", "--ages", "0-9e9"), ("listen", SONG, "--jobs", "9" * 30),
        ("listen", SONG, "--jobs", "0"), ("listen", SONG, "--jobs", "-3"),
        ("library", "list", "--rows", "9" * 30), ("library", "list", "--rows", "-1"),
        ("library", "list", "--page", "9" * 30), ("library", "list", "--page", "0"),
        ("plan", "music", "--weeks", "9" * 20, "--out", "course"),
        ("plan", "music", "--weeks", "-1", "--out", "course"),
        ("plan", "plan.toml", "--late", "nan"), ("plan", "plan.toml", "--late", "-5"),
        ("plan", "plan.toml", "--late", "1e300"), ("shape", "plan.toml", f"lock {'9' * 50}"),
        ("shape", "plan.toml", "late 1e400"), ("shape", "plan.toml", "again with seed 9e99"),
        ("shape", "plan.toml", "--alternatives", f"{'9' * 5000}.5"),
        ("page", "--port", "99999"), ("page", "--port", "-1"),
        ("export", "plan.toml", "--to", "d", "--with-song", "mix", "--loudness", "nan"),
        ("export", "plan.toml", "--to", "d", "--with-song", "mix", "--loudness", "99"),
        ("library", "mark", "lanes", "--rights", "x", "--until", "2027-99-99"),
        ("library", "mark", "lanes", "--tag", "x" * 5000),
        ("library", "mark", "lanes", "--tag", ""),
        ("library", "find", "1e400 bpm"), ("library", "find", "9" * 999),
        ("library", "find", ">= 1.5 phrases"), ("library", "find", "in 999"),
    ):  # fmt: skip
        ran = scene.run(*words)
        wrong += ran.refused() if "1e400 bpm" not in words else [ran.fault][: bool(ran.fault)]
    return wrong


@corner("playlists: binary, endless, naming one file in many ways")
def _lists(scene: Scene) -> list[str]:
    (scene.root / "b.m3u").write_bytes(os.urandom(5000) + b"\0")
    wrong = scene.run("listen", "b.m3u").refused("b.m3u")
    os.link(scene.root / SONG, scene.root / "music" / "hard.wav")
    (scene.root / "soft.wav").symlink_to(SONG)
    lines = (SONG, f"./{SONG}", f"music/../{SONG}", "soft.wav", str(scene.root / SONG),
             f"file://{scene.root / SONG}", "music/hard.wav", SONG)  # fmt: skip
    (scene.root / "c.m3u").write_text("\n".join(lines), encoding="utf-8")
    ran = scene.run("listen", "c.m3u", "--json")
    if (count := len(ran.out.splitlines())) != 1:
        wrong.append(f"one file named in {len(lines)} ways is heard {count} times")
    return wrong + ran.done()


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


@corner("chained Ogg is heard to its end")
def _chained(scene: Scene) -> list[str]:
    samples, rate = soundfile.read(scene.root / SONG)
    for name in ("a", "b"):
        with soundfile.SoundFile(scene.root / f"{name}.ogg", "w", rate, 2) as file:
            for start in range(0, len(samples), 8192):
                file.write(samples[start : start + 8192])
    joined = (scene.root / "a.ogg").read_bytes() + (scene.root / "b.ogg").read_bytes()
    (scene.root / "chain.ogg").write_bytes(joined)
    heard = scene.json("listen", "chain.ogg")["duration_s"]
    whole = 2 * len(samples) / rate
    return [] if abs(heard - whole) < 0.2 else [f"{heard} s heard of {whole} s"]


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


@corner("control characters in titles: SVG, page and JSON stay well-formed")
def _controls(scene: Scene) -> list[str]:
    from mutagen.id3 import TIT2
    from mutagen.wave import WAVE  # type: ignore[attr-defined]

    tagged = WAVE(str(scene.root / SONG))
    tagged.add_tags()
    tagged.tags.add(TIT2(encoding=3, text=["\x01\x0b=1+1<b>&\x1b[31m\u202e\ufffe"]))
    tagged.save()
    wrong = scene.run("listen", SONG, "--plot", "a.svg").done()
    wrong += scene.run("plan", "music", "--all", "--out", "odd.toml").done()
    wrong += scene.run("export", "odd.toml", "--to", "deck").done()
    wrong += scene.run("listen", SONG, "--json").done()
    wrong += scene.run("library", "add", SONG).done()
    wrong += scene.run("library", "export", "l.csv").done()
    for path in scene.root.rglob("*.svg"):
        try:
            ET.fromstring(path.read_bytes())
        except ET.ParseError as exc:
            wrong.append(f"{path.name}: {exc}")
    for path in scene.root.rglob("*.csv"):
        with path.open(newline="", encoding="utf-8-sig") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        wrong += [f"{path.name}: cell {cell!r}" for cell in cells
                  if cell.lstrip()[:1] in ("=", "+", "@", "\t") or "\x1b" in cell]  # fmt: skip
    return wrong


@corner("formulas in CSV cells are words")
def _formulas(scene: Scene) -> list[str]:
    wrong = []
    for number, title in enumerate(("=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", " =1")):
        shutil.copy(scene.root / SONG, scene.root / "music" / f"{title}.wav")
        sheet = SHEET.replace('"Lanes"', json.dumps(title))
        (scene.root / "music" / f"s{number}.toml").write_text(sheet, encoding="utf-8")
    scene.run("plan", "music", "--all", "--out", "odd.toml")
    wrong += scene.run("export", "odd.toml", "--to", "deck", "--only", "csv").done()
    wrong += scene.run("library", "add", "music/=1+1.wav").done()
    wrong += scene.run("library", "export", "l.csv").done()
    for path in scene.root.rglob("*.csv"):
        with path.open(newline="", encoding="utf-8-sig") as file:
            for row in csv.reader(file):
                for cell in row:
                    if cell[:1] in ("=", "+", "@", "\t", "\r") or (
                        cell[:1] == "-" and not cell.lstrip("-").replace(".", "").isdigit()
                    ):
                        wrong.append(f"{path.name}: {cell!r}")
    return wrong


@corner("--forget with another correction is refused")
def _forget(scene: Scene) -> list[str]:
    wrong = scene.run("correct", SONG, "--half").done()
    for more in (("--half",), ("--shift", "1"), ("--phrase", "3"), ("--tempo", "126")):
        wrong += scene.run("correct", SONG, "--forget", *more).refused()
    if "true" not in json.dumps(scene.json("listen", SONG)["corrected"]):
        wrong.append("the correction was dropped")
    return wrong


@corner("what a killed writer left is removed by the next run")
def _left(scene: Scene) -> list[str]:
    places = [scene.root, scene.root / "deck", scene.root / "demo",
              *(one.parent for one in scene.home.rglob("*.sqlite"))]  # fmt: skip
    wrong = scene.run("correct", SONG, "--half").done()
    places += [one.parent for one in scene.home.rglob("corrections/*.toml")]
    for place in places:
        place.mkdir(exist_ok=True)
        (place / ".writing-0123456789abcdef").write_bytes(b"half")
    for line in ("plan music --all --out new.toml", "export plan.toml --to deck --only card",
                 "demo --without-song --out demo", f"correct {SONG} --shift 1",
                 f"listen {SONG} --fresh"):  # fmt: skip
        wrong += scene.run(*line.split()).done()
    left = [str(one) for top in (scene.root, scene.home) for one in top.rglob(".writing-*")]
    return wrong + [f"{one} is left" for one in left]


@corner("a suggestion never names the missing thing itself, and long values are shortened")
def _suggestions(scene: Scene) -> list[str]:
    wrong = []
    (scene.root / "lanes.wa").mkdir()
    (scene.root / "dangling.wav").symlink_to("nowhere.wav")
    for words in (
        ("listen", "dangling.wav"), ("listen", "music/lames.wav"),
        ("judge", "132", "--move", "jakc"),
        ("export", "plan.toml", "--to", "d", "--only", "cadr"),
        ("plan", "music", "--brief", "breif.toml"),
        ("cue", SONG, "--move", "jack2"), ("library", "find", "suits shalow"), ("vary", "Jack "),
        ("judge", "132", "--intensity", "hrad"), ("library", "list", "--order", "titel"),
    ):  # fmt: skip
        ran = scene.run(*words)
        for asked in (words[-1], Path(words[-1]).name):
            if f"did you mean {asked!r}" in ran.err or f"did you mean '{asked}'" in ran.err:
                wrong.append(f"{words}: {ran.err[-300:]}")
    value = "x" * 20_000
    for words in (
        ("listen", value), ("tempo", value), ("judge", "132", "--move", value), ("vary", value),
        ("judge", "132", "--depth", value), ("listen", SONG, "--expect", value),
        ("page", "--port", value),
        ("judge", "132", "--pattern", value), ("correct", SONG, "--bridge", value),
        ("library", "find", f"suits {value[:900]}"), ("library", "list", "--order", value),
        ("shape", "plan.toml", value), ("export", "plan.toml", "--only", value, "--to", "d"),
        ("plan", value), (value,), (f"--{value}",), ("judge", f"--{value}"), ("library", value),
        ("cue", SONG, "--language", value), ("export", "plan.toml", "--to", "d", "--paper", value),
    ):  # fmt: skip
        ran = scene.run(*words)
        longest = max(map(len, ran.err.splitlines() or [""]))
        if ran.fault or longest > 1000 or ran.code == 0:
            wrong.append(
                ran.fault or f"{words[0]} {words[-1][:9]}: code {ran.code}, {longest} signs"
            )
    return wrong


@corner("the deck page carries a content policy")
def _policy(scene: Scene) -> list[str]:
    wrong = scene.run("export", "plan.toml", "--to", "deck", "--only", "page,app").done()
    for path in scene.root.glob("deck/**/*.html"):
        text = path.read_text(encoding="utf-8")
        if "Content-Security-Policy" not in text or "default-src 'none'" not in text:
            wrong.append(f"{path.name} has no policy")
    return wrong or ([] if list(scene.root.glob("deck/**/*.html")) else ["no page was made"])


@corner("a file under the name of a song opens no other file")
def _opens(scene: Scene) -> list[str]:
    wrong = []
    song = scene.root / SONG
    texts = {
        "hls": f"#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\n{song}\n#EXT-X-ENDLIST\n",
        "concat": f"ffconcat version 1.0\nfile '{song}'\n",
        "concat2": f"ffconcat version 1.0\nfile {song.name}\n",
        "dash": f'<?xml version="1.0"?><MPD><Period><BaseURL>{song}</BaseURL></Period></MPD>',
        "asx": f'<asx><entry><ref href="{song}"/></entry></asx>',
        "sdp": "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nm=audio 5004 RTP/AVP 0\n",
    }
    for kind, text in texts.items():
        for suffix in (".mp3", ".wav", ".m4a", ".ogg"):
            path = scene.root / "music" / f"{kind}{suffix}"
            path.write_text(text, encoding="utf-8")
            wrong += scene.run("listen", f"music/{path.name}").refused()
            path.unlink()
    for name in (
        "concat:music/lanes.wav",
        "file:music/lanes.wav",
        "subfile,,start,0,end,0,,:" + SONG,
        "http://127.0.0.1:1/a.mp3",
        "pipe:0",
        "data:audio/wav;base64,AAAA",
        "fd:0",
        "-",
    ):
        wrong += scene.run("listen", name).refused()
    return wrong


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
