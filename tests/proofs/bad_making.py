"""Bad inputs of each class, drawn from a number: files, and the command that takes them."""

from __future__ import annotations

import json
import os
import random
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import soundfile

__all__ = ["CLASSES", "Made", "Maker"]

RATE_HZ = 22_050
Made = tuple[str, ...]
SONG_COMMANDS = (("listen",), ("check",), ("judge",), ("cue", "--move", "jack"), ("library", "add"))
PLAN = 'title = "t"\nminutes = 45\n[[tracks]]\ntitle = "a"\nfile = "a.ogg"\npart = "main"\n'
HOSTILE = (
    *("", " ", "nan", "inf", "-inf", "1e400", "-1", "0", "9" * 400, "1:2:3", "9999999:00:00"),
    *("3:99", "1/0", "10/9e19", "\x00", "\x1b[31m", "é" * 300, "a" * 5000, "--", "'", '"', "%s"),
    *("{}", "$(id)", "../../x", "1-2-3", "2.7", "1e-320", "٣", "½", "1_000", "0x10", "\ud800"),
)


def audio(rng: random.Random, kind: str, folder: Path) -> Path:
    """Write nine seconds of clicks in a format; return the file."""
    beat = np.exp(-np.arange(RATE_HZ // 2) / 300) * np.sin(np.arange(RATE_HZ // 2) * 0.3)
    path = folder / f"song.{kind}"
    soundfile.write(path, np.tile(beat, 18) * rng.uniform(0.1, 0.9), RATE_HZ)
    return path


def with_song(rng: random.Random, path: Path) -> Made:
    """Return a command on a file of sound."""
    command, *rest = rng.choice(SONG_COMMANDS)
    parts = [command, *rest[:1]] if command == "library" else [command]
    return (*parts, str(path), *(rest if command != "library" else ()))


def flipped(rng: random.Random, folder: Path) -> Made:
    """Audio with bytes changed anywhere."""
    path = audio(rng, rng.choice(("wav", "flac", "ogg", "mp3")), folder)
    data = bytearray(path.read_bytes())
    for _ in range(rng.choice((1, 10, 200))):
        data[rng.randrange(len(data))] = rng.randrange(256)
    path.write_bytes(data)
    return with_song(rng, path)


def headless(rng: random.Random, folder: Path) -> Made:
    """Audio whose first bytes, which say what it is, are changed."""
    path = audio(rng, rng.choice(("wav", "flac", "ogg", "mp3")), folder)
    data = bytearray(path.read_bytes())
    for _ in range(rng.randint(1, 6)):
        data[rng.randrange(60)] = rng.choice((0, 1, 127, 128, 255))
    path.write_bytes(data)
    return with_song(rng, path)


def cut(rng: random.Random, folder: Path) -> Made:
    """Audio that ends early, begins late or is doubled."""
    path = audio(rng, rng.choice(("wav", "flac", "ogg", "mp3")), folder)
    data = path.read_bytes()
    at = rng.randrange(len(data))
    path.write_bytes(rng.choice((data[:at], data[at:], data[:at] + data, data + data[:at])))
    return with_song(rng, path)


def no_audio(rng: random.Random, folder: Path) -> Made:
    """Something else under the name of a song."""
    path = folder / f"song.{rng.choice(('mp3', 'wav', 'ogg', 'm4a', 'flac', 'aiff'))}"
    choice = rng.randrange(6)
    if choice == 0:
        os.mkfifo(path)
    elif choice == 1:
        path.mkdir()
    elif choice == 2:
        path.symlink_to(path)
    elif choice == 3:
        path.symlink_to("/dev/zero")
    else:
        path.write_bytes(rng.randbytes(rng.randrange(5000)) if choice == 4 else b"<html>" * 99)
    return with_song(rng, path)


def named(rng: random.Random, folder: Path) -> Made:
    """Names that are not text, too long, or not there."""
    name = rng.choice(
        (b"\xff\xfe.mp3", b"a" * 300, b"\xed\xa0\x80.ogg", b"a/" * 3000, b"-x", b"\n")
    )
    path = folder / os.fsdecode(name)
    if rng.random() < 0.5 and len(name) < 200:
        path.write_bytes(b"no sound" * rng.randrange(9))
    command = rng.choice(("listen", "check", "plan", "review", "export", "correct", "cue", "bench"))
    more = {
        "export": ("--to", str(folder / "out")),
        "correct": ("--half",),
        "cue": ("--move", "jack"),
    }
    return (command, *more.get(command, ()), "--", str(path))


def toml(rng: random.Random, folder: Path) -> Made:
    """Hand-written texts with parts missing, doubled, of other types, deep or huge."""
    text = PLAN
    choice = rng.randrange(8)
    if choice == 0:
        text = "a = " + "[" * rng.choice((99, 10_000, 100_000))
    elif choice == 1:
        text = ".".join(["a"] * rng.choice((50, 20_000))) + " = 1"
    elif choice == 2:
        text = f"minutes = {'9' * rng.choice((20, 4300, 40_000))}"
    elif choice == 3:
        text = " " * 20_000 + "x\n" + "[" * 50 + "\n"
    elif choice == 4:
        lines = PLAN.splitlines()
        lines[rng.randrange(len(lines))] = (
            f"{rng.choice(('minutes', 'title'))} = {json.dumps(rng.choice(HOSTILE))}"
        )
        text = "\n".join(lines)
    elif choice == 5:
        text = PLAN.replace(
            "45", rng.choice(("nan", "-inf", "1e308", "2000-01-01", "24:61:00", "[]"))
        )
    elif choice == 6:
        text = PLAN * 2
    else:
        cut_at = rng.randrange(len(PLAN))
        text = PLAN[:cut_at] + rng.choice('"[]{}=\n#\\') + PLAN[cut_at:]
    path = folder / "text.toml"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    song = str(audio(rng, "wav", folder))
    return rng.choice(
        (
            ("review", str(path)),
            ("listen", str(path)),
            ("plan", song, "--brief", str(path)),
            ("judge", "132", "--own-moves", str(path)),
            ("export", str(path), "--to", str(folder / "out")),
            ("plan", str(path), "--late", "5"),
        )
    )


def encoded(rng: random.Random, folder: Path) -> Made:
    """Texts in other encodings, or bytes that are no text."""
    path = folder / f"text.{rng.choice(('toml', 'jams', 'json'))}"
    data = rng.choice(
        (PLAN.encode("utf-16"), rng.randbytes(500), b"\xff" + PLAN.encode(), b"\0" * 99)
    )
    path.write_bytes(data)
    return (rng.choice(("listen", "check", "plan")), str(path))


def jams(rng: random.Random, folder: Path) -> Made:
    """JAMS with fields missing, of other types, out of any range."""
    beats: object = [{"time": 0.5 * n, "duration": 0, "value": 1 + n % 4} for n in range(40)]
    odd: Sequence[object] = (None, [], {}, -1, 2**31, 1e308, "x", [[]], True, "9" * 5000)
    if rng.random() < 0.5:
        beats = rng.choice(odd)
    elif isinstance(beats, list):
        beats[rng.randrange(40)][rng.choice(("time", "value", "duration"))] = rng.choice(odd)
    document: dict[str, object] = {
        "annotations": [{"namespace": "beat", "data": beats}],
        "file_metadata": {"duration": rng.choice((20.0, *odd))},
    }
    if rng.random() < 0.2:
        document["annotations"] = rng.choice(odd)
    text = json.dumps(document)
    if rng.random() < 0.3:
        text = rng.choice(
            ('{"annotations":' + "[" * 100_000, text[: rng.randrange(len(text))], "[1e999]")
        )
    path = folder / "song.jams"
    path.write_text(text, encoding="utf-8")
    return rng.choice(
        (("listen", str(path)), ("check", str(path)), ("cue", str(path), "--move", "jack"))
    )


def playlists(rng: random.Random, folder: Path) -> Made:
    """Playlists that name themselves, nothing, devices, bytes."""
    path = folder / rng.choice(("class.m3u", "class.m3u8"))
    entries = [
        b"gone.mp3",
        b"class.m3u",
        b"class.m3u8",
        b"/dev/zero",
        b"http://x/y.mp3",
        b"\xff\xfe.ogg",
    ]
    entries += [b"#EXTINF:nan," + b"x" * 9000, b"\0", b"../" * 999 + b"a.mp3", b"a" * 70_000, b"."]
    lines = [rng.choice(entries) for _ in range(rng.randrange(12))]
    path.write_bytes(rng.choice((b"\n", b"\r\n", b"\r", b"\0")).join(lines))
    return (rng.choice(("listen", "check", "plan")), str(path))


def options(rng: random.Random, folder: Path) -> Made:
    """Values of options without sense or measure."""
    value = rng.choice(HOSTILE).replace("\0", "")
    song = str(audio(rng, "wav", folder))
    where = rng.choice(
        (
            *(("judge", "132", f"--{name}") for name in ("depth", "temperature", "space", "size")),
            *(
                ("judge", "132", f"--{name}")
                for name in ("women", "heights", "ages", "masses", "move")
            ),
            *(
                ("correct", song, f"--{name}")
                for name in ("bridge", "phrase", "count-one", "tempo")
            ),
            *(("correct", song, f"--{name}") for name in ("shift", "no-beat", "no-start", "from")),
            *(
                ("listen", song, f"--{name}")
                for name in ("expect", "jobs", "click", "plot", "jams")
            ),
            *(("check", song, f"--{name}") for name in ("shallow-range", "save", "deep-depth")),
            *(
                ("export", song, "--to", "out", f"--{n}")
                for n in ("only", "paper", "language", "loudness")
            ),
            *(("plan", song, f"--{name}") for name in ("brief", "late", "out", "from-library")),
            *(("tempo", "132", f"--{name}") for name in ("pattern", "cadence")),
            *(("vary", "jack", f"--{name}") for name in ("own-moves",)),
            ("library", "find"),
            ("library", "list", "--most"),
            ("library", "list", "--order"),
            ("tempo",),
            ("vary",),
        )
    )
    return (*where, value)


def queries(rng: random.Random, folder: Path) -> Made:
    """Questions to the library out of signs, numbers and words in no order."""
    words = (
        *("bpm", "suits", "shallow", ">=", "<", "-", "126", "no", "not", "sure", "tag", '"', "'"),
        *(";", "(", "rights on", "2027-99-99", "phrases", "in", "1e999", "NULL", "--", "*", "OR"),
        "%",
    )
    query = rng.choice((" ", ", ")).join(rng.choice(words) for _ in range(rng.randrange(1, 30)))
    return rng.choice((("library", "find", "--", query), ("library", "list", query)))


def targets(rng: random.Random, folder: Path) -> Made:
    """Places that cannot or must not be written."""
    song = str(audio(rng, "wav", folder))
    (folder / "file").write_text("x", encoding="utf-8")
    (folder / "dir").mkdir()
    place = rng.choice(("/proc/x", "/dev/full", "file/x", "dir", song, "a" * 300, "\udcff", ""))
    place += rng.choice(("", ".m3u", ".toml", ".svg", ".ogg", ".csv"))
    return rng.choice(
        (
            ("check", song, "--save", place, "--force"),
            ("plan", song, "--all", "--out", place, "--force"),
            ("listen", song, "--click", place, "--force"),
            ("listen", song, "--plot", place, "--force"),
            ("judge", "132", "--move", "jack", "--plot", place, "--force"),
            ("library", "backup", place),
            ("library", "export", place, "--force"),
        )
    )


def homes(rng: random.Random, folder: Path) -> Made:
    """Return a command on a cache, corrections or a library that is damaged or another's."""
    garbage = rng.choice(
        (b"", b"x", rng.randbytes(9000), b"SQLite format 3\0" + rng.randbytes(9000))
    )
    place = rng.choice(
        ("analyses.sqlite", "library.sqlite", "corrections", "corrections/a-0123456789ab.toml")
    )
    path = folder / "home" / "aquatempo" / place
    path.parent.mkdir(parents=True)
    path.write_bytes(garbage)
    song = str(audio(rng, "wav", folder))
    return rng.choice(
        (("listen", song), ("library", "list"), ("correct", song, "--half"), ("library", "verify"))
    )


Maker = Callable[[random.Random, Path], Made]
CLASSES: dict[str, Maker] = {
    "audio, bytes changed": flipped,
    "audio, header changed": headless,
    "audio, cut or doubled": cut,
    "no audio under its name": no_audio,
    "names": named,
    "TOML: plans, briefs, sheets, moves": toml,
    "encodings": encoded,
    "JAMS": jams,
    "playlists": playlists,
    "values of options": options,
    "questions to the library": queries,
    "places to write": targets,
    "damaged homes": homes,
}
