"""Corners that ended in a traceback, a hang or silence: each is a plain line now."""

from __future__ import annotations

import json
import os
import shutil

from proofs.corners import SHEET, Scene, corner

__all__ = ["ON_FILES", "SONG", "with_file"]
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
        shutil.copy(scene.root / source, scene.root / os.fsdecode(name))
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
    odd: tuple[tuple[str, object], ...]
    odd = (("time", 2**31), ("time", -1), ("value", 2.7), ("time", "x"))
    for field, unfit in odd:
        beats: list[dict[str, object]] = [
            {"time": n / 2, "duration": 0, "value": 1 + n % 4} for n in range(40)
        ]
        beats[-1][field] = unfit
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
