"""Corners of what is shown and written: titles, cells, messages, what a file may open."""

from __future__ import annotations

import csv
import json
import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import soundfile

from proofs.corners import SHEET, Scene, corner
from proofs.corners_plain import SONG

__all__: list[str] = []


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


@corner("control characters in titles: SVG, page and JSON stay well-formed")
def _controls(scene: Scene) -> list[str]:
    with soundfile.SoundFile(scene.root / SONG, "r+") as tagged:
        tagged.title = "\x01\x0b=1+1<b>&\x1b[31m\u202e\ufffe"
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
    long: tuple[tuple[str, ...], ...] = (
        ("listen", value), ("tempo", value), ("judge", "132", "--move", value), ("vary", value),
        ("judge", "132", "--depth", value), ("listen", SONG, "--expect", value),
        ("page", "--port", value),
        ("judge", "132", "--pattern", value), ("correct", SONG, "--bridge", value),
        ("library", "find", f"suits {value[:900]}"), ("library", "list", "--order", value),
        ("shape", "plan.toml", value), ("export", "plan.toml", "--only", value, "--to", "d"),
        ("plan", value), (value,), (f"--{value}",), ("judge", f"--{value}"), ("library", value),
        ("cue", SONG, "--language", value), ("export", "plan.toml", "--to", "d", "--paper", value),
    )  # fmt: skip
    for line in long:
        ran = scene.run(*line)
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
