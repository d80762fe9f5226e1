"""Texts and options drawn by their structure: each is read, or refused by an error of ours, soon.

In the suite a few hundred of each; ``python -m proofs.fuzz --minutes 60`` from ``tests`` goes
on for an hour, ``--guided`` lets coverage choose the texts (with the library atheris, where it
is installed). docs/robustness.md has the last figures.
"""

from __future__ import annotations

import argparse
import copy
import json
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import tomlkit
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from aquatempo.errors import AquatempoError

__all__ = ["SUBJECTS", "main", "read", "texts_of"]

Reader = Callable[[str], object]
SOON_S = 10.0  # far above what a healthy reader takes, also on a machine with other work
HERE = Path(__file__).parents[2]
BRIEF = """
title = "Tuesday"
minutes = 50
depth = "shallow"
build = "layer"
banned_moves = ["jump"]
[pool]
depth = "1.0-1.4"
temperature = 29
[group]
size = 18
ages = "55-78"
[[parts]]
name = "warm-up"
minutes = 10
tempo = "115-130"
[[parts]]
name = "main"
minutes = 40
"""
PLAN = """
title = "Tuesday"
minutes = 3
[[tracks]]
title = "Lanes"
file = "lanes.ogg"
part = "main"
tempo_bpm = 126
[[tracks.phrases]]
start_beat = 0
counts = 32
kind = "phrase"
energy = "high"
[[tracks.phrases.blocks]]
counts = 32
move = "jack"
pattern = "2"
"""
SHEET = """
title = "Lanes"
tempo_bpm = 126
length = "3:20"
first_beat = 0.5
beats_per_bar = 4
phrases = [32, 32, 8, 32]
"""
MOVES = """
[moves.jack]
name = "wide jack"
[moves.own-step]
like = "jack"
name = "own step"
[factors.hands.cup]
name = "cupped"
"""
CORRECTIONS = """
title = "Lanes"
content_key = "0123456789abcdef0123456789abcdef"
[corrections]
phrase_starts_s = [12.5, 30.0]
not_starts_s = []
tempi = [{tempo_bpm = 126.0, from_s = 0.0}]
count_ones = [{time_s = 1.5}]
bridges = [{start_s = 44.0, counts = 8}]
no_beat = [{start_s = 0.0, end_s = 3.0}]
"""
JAMS = {
    "file_metadata": {"duration": 20.0},
    "annotations": [
        {
            "namespace": "beat",
            "data": [{"time": n / 2, "duration": 0, "value": 1 + n % 4} for n in range(12)],
        },
        {"namespace": "tempo", "data": [{"time": 0, "duration": 20.0, "value": 120.0}]},
    ],
}
TRUTH = {
    "tempo_bpm": 120.0,
    "beats_s": [0.5, 1.0, 1.5, 2.0],
    "downbeats_s": [0.5],
    "phrases": [{"start_s": 0.5, "end_s": 2.0, "counts": 4, "kind": "phrase"}],
}
PLAYLIST = "#EXTM3U\n#EXTINF:12,a\nsong.ogg\n../x/y.mp3\nfile:///a%20b.mp3\nclass.m3u\n"


def _brief(text: str) -> object:
    from aquatempo.documents.brief import read_brief_text

    return read_brief_text("brief.toml", text)


def _plan(text: str) -> object:
    from aquatempo.documents.plan import plan_from_text

    return plan_from_text("plan.toml", text)


def _sheet(text: str) -> object:
    from aquatempo.documents.track_sheet import read_track_sheet

    return read_track_sheet("sheet.toml", text)


def _moves(text: str) -> object:
    from aquatempo.moves import catalogue

    return catalogue(("moves.toml", text))


def _corrections(text: str) -> object:
    from aquatempo.store.correction_files import _from_text

    return _from_text(Path("a.toml"), text)


def _jams(text: str) -> object:
    from aquatempo.exports.jams import from_jams

    return from_jams(text)


def _on_disk(text: str, name: str, reader: Callable[[Path], object]) -> object:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        return reader(path)


def _truth(text: str) -> object:
    from aquatempo.workflow.bench import read_truth

    return _on_disk(text, "a.json", read_truth)


def _playlist(text: str) -> object:
    from aquatempo.music.gathering import gather

    return _on_disk(text, "class.m3u", lambda path: gather([str(path)]))


def _results(text: str) -> object:
    from aquatempo.store.manifest import NAME, Manifest

    return _on_disk(text, NAME, lambda path: Manifest(path.parent))


def _query(text: str) -> object:
    from aquatempo.store.library.query import condition_of, likely_slip

    return condition_of(text, ("shallow", "deep")), likely_slip(text)


def _values(text: str) -> object:
    """Read a value as each option of the command line does."""
    from aquatempo import units
    from aquatempo.cli.parsing import expected_range, names_in, tempo_or_track
    from aquatempo.documents.move_requests import parse_moves
    from aquatempo.moves import catalogue, parse_pattern
    from aquatempo.planning.shaping.places import place_of

    readers: Sequence[Reader] = (
        *(units.parse_length_m, units.parse_mass_kg, units.parse_temperature_c),
        *(units.parse_time_s, units.parse_number, expected_range, names_in, tempo_or_track),
        *(parse_pattern, place_of, lambda value: parse_moves([value], catalogue())),
    )
    for reader in readers:
        try:
            reader(text)
        except AquatempoError as exc:
            assert_plain(exc)
    return None


# What is read, its reader, and a text from which others are made by structure.
SUBJECTS: dict[str, tuple[Reader, str | dict[str, Any]]] = {
    "briefs": (_brief, tomlkit.parse(BRIEF).unwrap()),
    "plans": (_plan, tomlkit.parse(PLAN).unwrap()),
    "track sheets": (_sheet, tomlkit.parse(SHEET).unwrap()),
    "own moves": (_moves, tomlkit.parse(MOVES).unwrap()),
    "corrections": (_corrections, tomlkit.parse(CORRECTIONS).unwrap()),
    "JAMS": (_jams, JAMS),
    "truth files": (_truth, TRUTH),
    "lists of results": (_results, {"format": "aquatempo/results/1", "files": {}, "pending": []}),
    "playlists": (_playlist, PLAYLIST),
    "questions to the library": (_query, "126-138 bpm, suits shallow, >= 8 phrases, no bridge"),
    "values of options": (_values, "1.0-1.4 m, 5ft6in, 84F, jog+hands=fist:2-2-4, 0:17/8"),
}
IN_TOML = ("briefs", "plans", "track sheets", "own moves", "corrections")
ODD: Sequence[Any] = (
    *(
        0,
        -1,
        1,
        2.7,
        2**31,
        10**30,
        1e308,
        -0.0,
        True,
        "",
        "x",
        "9" * 300,
        "1:2",
        "é\u202e\n",
        [],
        {},
    ),
    *([[]], [1], {"a": 1}, "\t", "jack", "main", "32", "nan", "9999999:00:00", "3:99", "10/9e19"),
)


SIGNS = (
    *("", '"', "[", "]", "{", "=", "\n", "#", "'''", "\\", "\0", " " * 99, "-", ":", ","),
    "9" * 30,
    "9" * 5000,
    "\u00b2",  # a digit that is no decimal one
)


def assert_plain(exc: AquatempoError) -> None:
    """Check that a message is there, and no longer than can be read."""
    assert len(str(exc)) > 5, repr(exc)


def read(reader: Reader, text: str) -> None:
    """Read a text: it is taken, or refused by an error of ours, and soon."""
    started = time.perf_counter()
    try:
        reader(text)
    except AquatempoError as exc:
        assert_plain(exc)
    assert time.perf_counter() - started < SOON_S


@st.composite
def texts_of(draw: st.DrawFn, name: str) -> str:
    """Draw a text near a right one: values replaced, parts lost or doubled, signs put in."""
    start = SUBJECTS[name][1]
    text = start if isinstance(start, str) else _written(draw, name, start)
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(text)))
        to = draw(st.integers(at, min(len(text), at + 40)))
        signs = (*SIGNS, text[at:to] * 2)
        put = draw(st.sampled_from(signs) | st.text(max_size=9))
        text = text[:at] + put + text[to:]
    return text


def _written(draw: st.DrawFn, name: str, start: dict[str, Any]) -> str:
    document = copy.deepcopy(start)
    for _ in range(draw(st.integers(0, 3))):
        holder: Any = document
        while True:
            keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
            if not keys:
                break
            key = draw(st.sampled_from(keys))
            inner = holder[key]
            if isinstance(inner, dict | list) and inner and draw(st.booleans()):
                holder = inner
                continue
            act = draw(st.sampled_from(("replace", "remove", "add", "double", "nest")))
            if act == "remove":
                del holder[key]
            elif act == "double" and isinstance(holder, list):
                holder.append(copy.deepcopy(inner))
            elif act == "add" and isinstance(holder, dict):
                holder[draw(st.text(min_size=1, max_size=9))] = copy.deepcopy(
                    draw(st.sampled_from(ODD))
                )
            elif act == "nest":
                for _ in range(draw(st.sampled_from((1, 5, 60)))):
                    inner = [inner]
                holder[key] = inner
            else:
                holder[key] = copy.deepcopy(draw(st.sampled_from(ODD)))
            break
    try:
        return tomlkit.dumps(document) if name in IN_TOML else json.dumps(document)
    except Exception:  # what the writer of TOML cannot write, such as mixed tables
        return json.dumps(document)


def property_of(name: str, number: int, examples: int) -> Callable[[], None]:
    """Return the test of one subject, with so many examples from a seed."""

    @seed(number)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=(Phase.generate, Phase.shrink),
    )
    @given(texts_of(name))
    def reads(text: str) -> None:
        read(SUBJECTS[name][0], text)

    return reads


def guided(arguments: Sequence[str]) -> None:
    """Let coverage choose bytes, and hypothesis make texts of them, until stopped."""
    import atheris

    with atheris.instrument_imports(include=["aquatempo"]):
        for reader, start in SUBJECTS.values():
            read(reader, start if isinstance(start, str) else json.dumps(start))
    tests = [property_of(name, 0, 1) for name in SUBJECTS]

    def one(data: bytes) -> None:
        if data:
            tests[data[0] % len(tests)].hypothesis.fuzz_one_input(data[1:])  # type: ignore[attr-defined]

    atheris.Setup([sys.argv[0], *arguments], one)
    atheris.Fuzz()


def main(arguments: Sequence[str] | None = None) -> None:
    """Go round all subjects until the time is over; tell how many texts each was given."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=60)
    parser.add_argument("--guided", action="store_true")
    given_options = parser.parse_args(arguments)
    if given_options.guided:
        guided([f"-max_total_time={round(60 * given_options.minutes)}"])
        return
    until = time.monotonic() + 60 * given_options.minutes
    tried, number = dict.fromkeys(SUBJECTS, 0), round(time.time())
    while time.monotonic() < until:
        for name in SUBJECTS:
            property_of(name, number, 200)()
            tried[name] += 200
        number += 1
    print("| read | texts | failed |\n| --- | --- | --- |")
    for name, count in tried.items():
        print(f"| {name} | {count} | 0 |")


if __name__ == "__main__":
    main()
