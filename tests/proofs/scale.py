"""The library against its size: adding, finding, listing, planning, memory, a kill in between.

``python -m proofs.scale --most 100000 --out FOLDER`` from ``tests``; docs/scale.md has the last
figures; what FOLDER has by then is not measured again. Entries are synthetic: facts and analyses
as real tracks have them (beats to four minutes, phrases, evidence), each drawn from its number.
Most rows of the larger sizes carry the analysis of an earlier one under a key, title, artist and
tempo of their own (``copied``); what keeping costs is measured at each size on tracks that take
the whole way.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import signal
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from aquatempo.music.hearing import HeardFile
from aquatempo.records.library import Mark
from aquatempo.records.people import Pool
from aquatempo.records.rhythm import (
    BeatEvidence,
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoAlternative,
    TempoSection,
)
from aquatempo.records.track import Failure
from aquatempo.store import analyses
from aquatempo.store.database import transaction
from aquatempo.store.library import places
from aquatempo.workflow import library

__all__ = ["main", "synthetic", "synthetic_analysis"]

KEPT = 200  # tracks of each size that take the whole way
SIZES = (1_000, 10_000, 100_000)
WORDS = (
    *("lane", "tile", "wave", "drift", "foam", "splash", "kick", "tide", "pool", "glide", "echo"),
    *("drum", "light", "slow", "fast", "linden", "whistle", "evening", "morning", "deep"),
    *("shallow", "float", "board", "cap", "towel"),
)


def synthetic_analysis(number: int) -> RhythmAnalysis:
    """Return an analysis such as a song of two to five minutes gives, drawn from a number."""
    rng = random.Random(number)
    tempo_bpm = min(190.0, max(70.0, rng.gauss(128, 16)))
    period_s = 60 / tempo_bpm
    whole = rng.randint(5, 16)
    bridge_after = rng.randrange(whole) if rng.random() < 0.3 else -1
    phrases, beat = [], 0
    for place in range(whole):
        energy = rng.random()
        level = EnergyLevel.HIGH if energy > 0.6 else EnergyLevel.MEDIUM
        for counts, kind in ((32, PhraseKind.PHRASE), (8, PhraseKind.BRIDGE)):
            if kind is PhraseKind.BRIDGE and place != bridge_after:
                continue
            start_s, end_s = 0.5 + beat * period_s, 0.5 + (beat + counts) * period_s
            phrases.append(Phrase(start_s, end_s, beat, counts, kind, energy, level))
            beat += counts
    beats_s = tuple(round(0.5 + period_s * index, 4) for index in range(beat))
    sure = min(0.99, max(0.2, rng.betavariate(8, 1.2)))
    values = tuple(round(rng.gauss(0, 3), 3) for _ in range(beat))
    return RhythmAnalysis(
        duration_s=round(beats_s[-1] + 3, 3),
        tempo_bpm=round(tempo_bpm, 3),
        tempo_confidence=sure,
        confidence=sure,
        tempo_alternatives=(TempoAlternative(tempo_bpm / 2, 1 - sure),),
        tempo_sections=(TempoSection(0.5, beats_s[-1], tempo_bpm, sure),),
        steady=rng.random() < 0.9,
        tempo_drift_percent=0.1,
        beats_per_bar=4 if rng.random() < 0.97 else 3,
        beats_s=beats_s,
        beats_inferred=(False,) * beat,
        downbeats_s=beats_s[::4],
        phrases=tuple(phrases),
        evidence=BeatEvidence(tuple(abs(v) / 20 for v in values), values, values, values),
    )


def synthetic(files: Sequence[str]) -> Iterator[HeardFile | Failure]:
    """Stand in for hearing: yield what the number in each file's name draws."""
    for file in files:
        number = int(Path(file).stem)
        rng = random.Random(-number - 1)
        title = " ".join(rng.choice(WORDS) for _ in range(3)) + f" {number}"
        artist = f"Band {rng.randrange(2_000)}"
        key = f"{number:032x}"
        yield HeardFile(file, title, artist, key, "synthetic", synthetic_analysis(number))


def copied(books: str, music: str, first: int, last: int) -> None:
    """Fill a library from one number to the next with rows made of those that it has."""
    with library.open_books(books) as opened:
        columns = [row[1] for row in opened.execute("PRAGMA table_info(tracks)")]
        base = opened.execute("SELECT * FROM tracks ORDER BY number LIMIT 800").fetchall()
        kept = {key: rest for key, *rest in opened.execute("SELECT * FROM analyses")}
        judged: dict[int, list[Any]] = {}
        for track, *rest in opened.execute("SELECT * FROM verdicts"):
            judged.setdefault(track, []).append(rest)
        (highest,) = opened.execute("SELECT max(number) FROM tracks").fetchone()
        marks = ", ".join("?" * len(columns))
        for start in range(first, last, 1000):
            with transaction(opened):
                for number in range(start, min(start + 1000, last)):
                    rng = random.Random(-number - 1)
                    row = dict(zip(columns, base[number % len(base)], strict=True))
                    old, key = row["content_key"], f"{number:032x}"
                    highest += 1
                    title = " ".join(rng.choice(WORDS) for _ in range(3)) + f" {number}"
                    verdicts = judged[row["number"]]
                    row |= {"number": highest, "content_key": key, "title": title}
                    row["artist"] = f"Band {rng.randrange(2_000)}"
                    row["tempo_bpm"] += rng.gauss(0, 1)
                    opened.execute(f"INSERT INTO tracks VALUES ({marks})", list(row.values()))
                    method, made_at, data, _ = kept[old]
                    digest = analyses._digest(key, method, data)
                    opened.execute(
                        "INSERT INTO analyses VALUES (?, ?, ?, ?, ?)",
                        (key, method, made_at, data, digest),
                    )
                    opened.executemany(
                        "INSERT INTO verdicts VALUES (?, ?, ?, ?, ?)",
                        [(highest, *rest) for rest in verdicts],
                    )
                    file = os.fsencode(str(Path(music) / f"{number}.mp3"))
                    opened.execute(
                        "INSERT INTO places VALUES (?, ?, 0, 0, 'heard', '')", (file, highest)
                    )


def a_query(rng: random.Random) -> str:
    """Return a question as a person asks."""
    low = rng.randint(95, 150)
    return rng.choice(
        (
            f"{low}-{low + rng.randint(2, 14)} bpm, suits shallow, >= 8 phrases, no bridge, sure",
            f"{low}-{low + 6} bpm, may suit deep, steady",
            f"{rng.choice(WORDS)} {rng.choice(WORDS)}",
            f"sure, >= {rng.randint(8, 14)} phrases, 3:00-4:00 long, in 4",
            f"artist Band {rng.randrange(2_000)}",
            f"tag warm-up, {low}-{low + 6} bpm",
        )
    )


def measured(books: str, music: str, size: int, before: int) -> dict[str, float]:
    """Fill the library from one size to the next, and measure what it takes."""
    started = time.perf_counter()
    if before:
        with library.open_books(books) as opened:  # more than before where this was broken off
            (there,) = opened.execute("SELECT count(*) FROM tracks").fetchone()
        copied(books, music, max(before, min(there, size - KEPT)), size - KEPT)
        before = size - KEPT
    noted = [str(Path(music) / f"{number}.mp3") for number in range(before, size)]
    started = time.perf_counter()
    with library.open_books(books) as opened:
        places.add(opened, noted)
    note_s = time.perf_counter() - started
    drawn = min(500, len(noted))  # what drawing itself takes
    started = time.process_time()
    list(synthetic(noted[:drawn]))
    draw_s = (time.process_time() - started) / drawn
    started, worked_before = time.perf_counter(), time.process_time()
    library.hear_waiting(hearer=synthetic, library=books)
    keep_s = (time.perf_counter() - started) / len(noted) - draw_s
    keep_cpu_s = (time.process_time() - worked_before) / len(noted) - draw_s
    library.mark_tracks("title drift", [Mark("tag", "warm-up")], library=books)  # one in nine
    return {
        "tracks": size,
        "note_us": 1e6 * note_s / len(noted),
        "keep_ms": 1e3 * keep_s,
        "keep_cpu_ms": 1e3 * keep_cpu_s,
        "file_mb": Path(books).stat().st_size / 1e6,
        **apart("asked", books, size),
    }


def apart(function: str, *given: object) -> dict[str, float]:
    """Return what a function here finds in a process of its own, whose memory it tells."""
    code = (
        "import json, resource, sys; sys.path.insert(0, sys.argv[1]); from proofs import scale\n"
        "found = getattr(scale, sys.argv[2])(*json.loads(sys.argv[3]))\n"
        "found['memory_mb'] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024\n"
        "print(json.dumps(found))"
    )
    words = [sys.executable, "-c", code, str(Path(__file__).parents[1]), function]
    run = subprocess.run([*words, json.dumps(given)], check=True, stdout=subprocess.PIPE, text=True)
    found: dict[str, float] = json.loads(run.stdout.splitlines()[-1])
    return found


def asked(books: str, size: int) -> dict[str, float]:
    """Ask two hundred questions and turn two hundred pages; return the slow ones' times [ms]."""
    rng = random.Random(size)
    finds, worked, pages = [], [], []
    library.find_tracks("sure", library=books)  # imports are no part of a question
    for _ in range(200):
        query = a_query(rng)
        started, worked_before = time.perf_counter(), time.process_time()
        library.find_tracks(query, most=50, library=books)
        finds.append(time.perf_counter() - started)
        worked.append(time.process_time() - worked_before)
        first = rng.randrange(max(1, size - 50))
        started = time.process_time()
        library.find_tracks("", order="title", first=first, most=50, library=books)
        pages.append(time.process_time() - started)
    return {
        "find_p50_cpu_ms": 1e3 * statistics.median(worked),
        "find_p99_cpu_ms": 1e3 * sorted(worked)[int(0.99 * len(worked))],
        "find_p50_ms": 1e3 * statistics.median(finds),
        "find_p99_ms": 1e3 * sorted(finds)[int(0.99 * len(finds))],
        "page_p99_cpu_ms": 1e3 * sorted(pages)[int(0.99 * len(pages))],
    }


def stated(books: str) -> dict[str, float]:
    """State one more pool, for which all tracks are judged; return what that takes."""
    started, worked = time.perf_counter(), time.process_time()
    judged = library.state_pool("Lindenbad", Pool(depth_m=1.4), library=books)
    return {
        "judged": judged,
        "wall_s": time.perf_counter() - started,
        "cpu_s": time.process_time() - worked,
    }


def killed(books: str, music: str, size: int) -> dict[str, float]:
    """Kill a process that fills the library, go on, and tell what was lost (nothing may be)."""
    with_more = [str(Path(music) / f"{number}.mp3") for number in range(size, size + 500)]
    with library.open_books(books) as opened:
        places.add(opened, with_more)
    code = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from proofs.scale import synthetic; from aquatempo.workflow import library\n"
        "library.hear_waiting(hearer=synthetic, library=sys.argv[2])\n"
    )
    here = str(Path(__file__).parents[1])
    process = subprocess.Popen([sys.executable, "-c", code, here, books])
    while library.progress_of(books).heard < size + 50 and process.poll() is None:
        time.sleep(0.05)
    process.send_signal(signal.SIGKILL)
    process.wait()
    at_kill = library.progress_of(books)
    started = time.perf_counter()
    state = library.hear_waiting(hearer=synthetic, library=books)
    return {
        "heard_at_kill": at_kill.heard,
        "waiting_at_kill": at_kill.waiting,
        "heard_after": state.heard,
        "tracks_after": library.find_tracks(library=books).total,
        "go_on_s": time.perf_counter() - started,
    }


def planned(books: str, music: str) -> dict[str, float]:
    """Plan 45 minutes from all of a library, as if the files of the candidates were there."""
    from unittest import mock

    from aquatempo.records.plan import Brief
    from aquatempo.workflow.planning import plan

    real = Path.exists
    with mock.patch.object(Path, "exists", lambda self: str(self).startswith(music) or real(self)):
        started, worked = time.perf_counter(), time.process_time()
        chosen, total = library.candidates("", Brief(minutes=45), library=books)
        choose_s = time.perf_counter() - started
        report = plan([], Brief(minutes=45), from_library="", library=books)
    return {
        "of_tracks": total,
        "candidates": len(chosen),
        "choose_s": choose_s,
        "plan_s": time.perf_counter() - started - choose_s,
        "both_cpu_s": time.process_time() - worked,
        "songs": len(report.plan.tracks),
    }


def choice(books: str, music: str) -> dict[str, float]:
    """Choose songs from few and from many candidates; return cost and least possible cost."""
    from unittest import mock

    from aquatempo.moves import catalogue
    from aquatempo.planning import class_plan
    from aquatempo.planning.solver.solving import Effort
    from aquatempo.planning.songs import choice as songs
    from aquatempo.records.plan import Brief
    from aquatempo.records.track import Track
    from aquatempo.workflow.library import choosing

    real, found = Path.exists, dict[str, float]()
    for minute, least, work in ((0.7, 8, 1.0), (0.7, 8, 4.0), (1.5, 12, 4.0)):
        with (
            mock.patch.object(
                Path, "exists", lambda self: str(self).startswith(music) or real(self)
            ),
            mock.patch.multiple(choosing, A_MINUTE=minute, LEAST=least),
            mock.patch(
                "aquatempo.planning.songs.outline.pick_tracks", side_effect=KeyError
            ) as pick,
            contextlib.suppress(KeyError),
        ):
            chosen = library.candidates("", Brief(minutes=45), library=books)[0]
            some = [one for one in chosen if isinstance(one, Track)]
            class_plan.plan_class(some, Brief(minutes=45), catalogue())
        result = songs.pick_tracks(pick.call_args.args[0], Effort(1, work))
        assert result is not None
        name = f"{len(some)} candidates, work {work:g}"
        found |= {f"{name}: cost": result[2].cost, f"{name}: at least": result[2].bound}
    return found


def drawn(figures: dict[str, Any], path: Path) -> None:
    """Draw time, file and memory against the number of tracks, as SVG."""
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "scale"
    from matplotlib import pyplot

    rows = figures["sizes"]
    sizes = [row["tracks"] for row in rows]
    picture, (times, room) = pyplot.subplots(1, 2, figsize=(9, 3.4), layout="constrained")
    for key, words in (
        ("find_p99_cpu_ms", "find, 99 in 100"),
        ("find_p50_cpu_ms", "find, median"),
        ("page_p99_cpu_ms", "a page of all, 99 in 100"),
        ("keep_cpu_ms", "keep one track"),
    ):
        times.loglog(sizes, [row[key] for row in rows], "o-", label=words)
    times.axhline(50, color="grey", linestyle=":", label="50 ms")
    times.set(xlabel="tracks", ylabel="processor time [ms]")
    room.loglog(sizes, [row["file_mb"] for row in rows], "o-", label="file")
    room.loglog(sizes, [row["memory_mb"] for row in rows], "o-", label="memory of who asks")
    room.set(xlabel="tracks", ylabel="[MB]")
    for one in (times, room):
        one.legend(fontsize=8)
        one.grid(alpha=0.3)
    picture.savefig(path, metadata={"Date": None})


def main() -> None:
    """Measure at each size up to --most; write figures.json and scale.svg into --out."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=100_000)
    parser.add_argument("--out", type=Path, required=True)
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    books, music = str(given.out / "scale.sqlite"), str(given.out / "music")
    Path(music).mkdir(exist_ok=True)
    os.environ["XDG_DATA_HOME"] = str(given.out)  # no corrections of anybody
    kept, figures, before = given.out / "figures.json", dict[str, Any](sizes=[]), 0
    if kept.exists():
        figures = json.loads(kept.read_text())
        before = max(row["tracks"] for row in figures["sizes"])

    def keep() -> None:
        kept.write_text(json.dumps(figures, indent=1))

    for size in (one for one in SIZES if before < one <= given.most):
        row = measured(books, music, size, before)
        print(json.dumps({key: round(value, 3) for key, value in row.items()}), flush=True)
        figures["sizes"].append(row)
        before = size
        keep()
        drawn(figures, given.out / "scale.svg")
    parts: dict[str, Callable[[], dict[str, float]]] = {
        "pool": lambda: stated(books),
        "plan": lambda: apart("planned", books, music),
        "choice": lambda: apart("choice", books, music),
        "kill": lambda: killed(books, music, before),
    }
    for name, part in parts.items():
        if name in figures:
            continue
        figures[name] = part()
        shown = {key: round(one, 3) for key, one in figures[name].items()}
        print(name, json.dumps(shown), flush=True)
        keep()


if __name__ == "__main__":
    main()
