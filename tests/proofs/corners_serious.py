"""Corners where something could be lost: inputs, results, corrections, what was heard."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import threading
from pathlib import Path
from urllib.parse import unquote_to_bytes, urlsplit

import numpy as np
import soundfile

from proofs.corners import Scene, corner

__all__: list[str] = []
SONG = "music/lanes.wav"
WRITERS = (  # everything that takes a path to write to, {} being that path
    f"listen {SONG} --click {{}} --force",
    f"listen {SONG} --plot {{}} --force",
    f"listen {SONG} --jams {{}} --force",
    "check music --save {} --force",
    "judge 132 --move jack --plot {} --force",
    "judge 132 --move jack --figures {} --force",
    f"judge {SONG} --move jack --plot {{}} --force",
    "plan music --all --brief brief.toml --out {} --force",
    "shape plan.toml lock_1 --out {} --force",
    "review plan.toml --plot {} --force",
    "export plan.toml --to {} --only card --force",
    f"export {SONG} --move jack --to {{}} --only card --force",
    "library export {} --force",
    "library backup {}",
    "page --starter {}",
    "demo --without-song --out {}",
)


@corner("key: same samples, another rate or channels in the header")
def _header(scene: Scene) -> list[str]:
    samples, rate_hz = soundfile.read(scene.root / SONG, dtype="int16")
    path = scene.root / "other.wav"
    heard = []
    for data, rate in ((samples[:, 0], rate_hz), (samples[:, 0], 48_000), (samples, rate_hz)):
        soundfile.write(path, data, rate, subtype="PCM_16")
        heard.append(scene.json("listen", "other.wav"))
    keys = {one["content_key"] for one in heard}
    wrong = [] if len(keys) == 3 else [f"{len(keys)} keys for three sounds"]
    ratio = heard[1]["tempo_bpm"] / heard[0]["tempo_bpm"]
    if abs(ratio - 48_000 / rate_hz) > 0.01:
        wrong.append(f"played {48_000 / rate_hz:.3f} times as fast, heard {ratio:.3f}")
    return wrong


@corner("cache: a flipped bit is noticed")
def _flipped(scene: Scene) -> list[str]:
    right = scene.json("listen", SONG)
    (cache,) = scene.home.rglob("analyses*.sqlite")
    with sqlite3.connect(cache) as database:
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    data = cache.read_bytes()
    rng, wrong = random.Random(16), []
    for _ in range(25):
        at = rng.randrange(len(data))
        flipped = bytearray(data)
        flipped[at] ^= 1 << rng.randrange(8)
        cache.write_bytes(flipped)
        if scene.json("listen", SONG) != right:
            wrong.append(f"bit in byte {at}: something else is told")
    return wrong


@corner("--force never replaces a song, a brief, an input, or what is no result of its kind")
def _force(scene: Scene) -> list[str]:
    wrong = []
    shutil.copy(scene.root / SONG, scene.root / "second.wav")
    soundfile.write(scene.root / "third.ogg", np.zeros((44_100, 2)), 44_100)
    shutil.copy(scene.root / "brief.toml", scene.root / "other_brief.toml")
    shutil.copy(scene.root / "third.ogg", scene.root / "fourth.svg")
    targets = (SONG, "second.wav", "third.ogg", "brief.toml", "other_brief.toml", "sheet.toml",
               "words.txt", "fourth.svg")  # fmt: skip
    for target in targets:
        for line in WRITERS:
            words = tuple(w.replace("lock_1", "lock 1") for w in line.format(target).split(" "))
            ran = scene.run(*words)
            if words[0] == "page":  # which writes beside it, under its own suffix
                wrong += [f"{words}: changed {ran.changed}"] if ran.changed or ran.fault else []
            else:
                wrong += ran.refused()
    for target in ("list.m3u", "plan.toml"):
        for line in WRITERS:
            if target in line or (target == "plan.toml" and "plan music" in line):
                continue  # asked for: a plan is shaped in its place
            if target == "list.m3u" and ("--save" in line or "library export" in line):
                line = line.replace("check music", "check list.m3u")
                if "library" in line:
                    continue
            if (target == "plan.toml" and "shape" in line) or line.startswith("page"):
                continue
            words = tuple(w.replace("lock_1", "lock 1") for w in line.format(target).split(" "))
            wrong += scene.run(*words).refused()
    return wrong


@corner("demo replaces its own results only")
def _demo(scene: Scene) -> list[str]:
    wrong = []
    for name in ("plan.toml", "deck_card.pdf", "check.csv"):
        folder = scene.root / f"mine_{Path(name).stem}"
        folder.mkdir()
        (folder / name).write_text("mine", encoding="utf-8")
        wrong += scene.run("demo", "--without-song", "--out", folder.name).refused("did not write")
    return wrong


@corner("playlist: saved elsewhere it opens, with any name")
def _playlist(scene: Scene) -> list[str]:
    odd = (b"#one.wav", b"back\\slash.wav", b" blank.wav", b"\xff\xfe.wav", "größe.wav".encode())
    (scene.root / "lists").mkdir()
    samples, rate = soundfile.read(scene.root / SONG)
    for number, name in enumerate(odd):  # each another sound
        soundfile.write(scene.root / "made.wav", samples * (0.5 + 0.05 * number), rate)
        (scene.root / "made.wav").rename(scene.root / "music" / os.fsdecode(name))
    made = scene.run("check", "music", "--expect", "120-160", "--save", "lists/a.m3u8")
    if made.fault:
        return [made.fault]
    listed = [one for one in (scene.root / "lists/a.m3u8").read_bytes().splitlines()
              if one.strip() and not one.startswith(b"#")]  # fmt: skip
    found = [
        # A list in UTF-8 can name a file that is not only by its address (RFC 8089).
        unquote_to_bytes(urlsplit(one).path) if one.startswith(b"file:")
        else os.path.realpath(os.fsencode(scene.root / "lists") + b"/" + one)
        for one in listed
    ]  # fmt: skip
    wrong = [f"{one!r} is not there" for one in found if not Path(os.fsdecode(one)).exists()]
    if not listed:
        wrong.append(f"nothing is listed: {made.out[-300:]}")
    again = scene.run("listen", "lists/a.m3u8", "--json")
    if len(again.out.splitlines()) != len(listed) or again.code:
        wrong.append(f"{len(again.out.splitlines())} of {len(listed)} read back: {again.err!r}")
    return wrong


@corner("eight corrections at once: none is lost")
def _at_once(scene: Scene) -> list[str]:
    scenes = [Scene(scene.root, scene.home.parent / f"talk{n}" / "home") for n in range(8)]
    ran = []
    for one in scenes:
        one.home.parent.mkdir()
        one.home.symlink_to(scene.home)
    times = [f"0:{10 + 3 * number}" for number in range(8)]
    threads = [
        threading.Thread(target=lambda s, t: ran.append(s.run("correct", SONG, "--no-start", t)),
                         args=pair)
        for pair in zip(scenes, times, strict=True)
    ]  # fmt: skip
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    wrong = [one.fault or f"code {one.code}: {one.err}" for one in ran if one.fault or one.code]
    text = next(scene.home.rglob("corrections/*.toml")).read_text()
    lost = [t for t in times if f"{float(t[2:]):g}" not in text.replace(".0", "")]
    return wrong + [f"{one} is lost: {text}" for one in lost]


@corner("plans for both depths: both or none, also where one cannot be written")
def _both(scene: Scene) -> list[str]:
    (scene.root / "both.toml").write_text('title = "Both"\ndepth = "both"\n', encoding="utf-8")
    (scene.root / "out" / "two_deep.toml").mkdir(parents=True)
    line = ("plan", "music", "--all", "--brief", "both.toml", "--out", "out/two.toml", "--force")
    ran = scene.run(*line)
    wrong = ran.refused()
    if (scene.root / "out" / "two.toml").exists():
        wrong.append("one of two is written")
    return wrong
