"""The deck page: one HTML file that follows the music, offline, on a tablet or phone.

The parts lie in the folder ``page_parts``; this module fills them with a class. Times in the
page are those of the audio file, so that its own clock serves at any speed.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from importlib import resources
from typing import Any

from aquatempo.exports.deck_details import details, newest_first, what_is_new
from aquatempo.exports.labels import labels
from aquatempo.exports.page_figures import figure_numbers
from aquatempo.exports.stints import stint_kind
from aquatempo.records.cues import CueKind
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack, MixPlace
from aquatempo.records.rhythm import PhraseKind

__all__ = ["SongFacts", "deck_page"]

_PARTS = resources.files("aquatempo.exports") / "page_parts"
_SCRIPTS = (
    "clock.js",
    "songs.js",
    "kept.js",
    "figure.js",
    "view.js",
    "app.js",
    "run.js",
    "controls.js",
)
_BESIDE = ("manifest", "img", "worker", "connect")  # what an installed page takes of its folder
_PLACE = re.compile(r"\{\{([a-z_.]+)\}\}")


@dataclass(frozen=True, slots=True)
class SongFacts:
    """How a page knows the songs of a class.

    outlines: text of what each sounds like, by track number from 0, at a step of step_s [s].
    mixed: where each lies in the class mix, in order of the tracks.
    """

    outlines: Mapping[int, str] = field(default_factory=dict)
    step_s: float = 0.05
    mixed: Sequence[MixPlace] = ()


def deck_page(
    book: DeckBook,
    sounds: Mapping[int, tuple[str, bytes]] | None = None,
    facts: SongFacts = SongFacts(),
    links: str = "",
) -> str:
    """Return the HTML text of a class.

    sounds: (media type, bytes of the audio file) by track number from 0, embedded only
    when given. links: what an installed page has beside it (``page_app``). Raises
    UnknownNameError where there are no labels in the book's language.
    facts: how the page knows its songs.
    """
    words = labels(book.language)
    tracks: list[dict[str, Any]] = []
    before_s = 0.0
    for number, track in enumerate(book.tracks):
        told = _track(track, words)
        told |= {
            "before_s": round(before_s, 3),
            "outline": facts.outlines.get(number, ""),
            "mix": _mixed(facts.mixed[number] if facts.mixed else None),
            "sound": _address(sounds[number]) if sounds and number in sounds else "",
        }
        before_s += (told["end_s"] - told["start_s"]) / track.speed
        tracks.append(told)
    shown = {line.figure for track in book.tracks for line in track.lines}
    whole = {
        "title": book.title,
        "id": hashlib.sha256(repr(book.tracks).encode()).hexdigest()[:12],
        "outline_step_s": facts.step_s,
        "words": dict(words),
        "tracks": tracks,
        "figures": {key: figure_numbers(figure) for key, figure in book.figures if key in shown},
    }
    data = json.dumps(whole, separators=(",", ":"))
    style, script = _read("page.css"), "\n".join(_read(name) for name in _SCRIPTS)
    values = {
        "policy": _policy(style, script, installed=bool(links)),
        "language": escape(book.language),
        "title": escape(book.title),
        "links": links,
        "caution": escape(words["caution"]),
        "style": style,
        "script": script,
        # "</script>" inside a string would end the element; "<" has no other use in JSON.
        "data": data.replace("<", "\\u003c"),
        **{f"w.{key}": escape(text) for key, text in words.items()},
    }
    return _PLACE.sub(lambda place: values[place[1]], _read("page.html"))


def _mixed(place: MixPlace | None) -> dict[str, float]:
    if place is None:
        return {"at_s": 0.0, "start_s": 0.0, "next_s": 0.0}
    return {
        "at_s": round(place.at_s, 4),
        "start_s": round(place.start_s, 4),
        "next_s": round(place.next_s, 4),
    }


def _policy(style: str, script: str, installed: bool) -> str:
    """Return what the page may do (W3C Content Security Policy 3): its own script and style.

    Songs come from files that the user opens (blob:) or lie inside (data:); nothing else is
    loaded, sent or run, whatever stands in a title. An installed page also keeps the files
    that lie beside it.
    """
    style_hash, script_hash = (
        base64.b64encode(hashlib.sha256(f"\n{text}\n".encode()).digest()).decode()
        for text in (style, script)
    )
    return (
        f"default-src 'none'; script-src 'sha256-{script_hash}'; style-src 'sha256-{style_hash}'; "
        "media-src blob: data:; base-uri 'none'; form-action 'none'"
        + ("".join(f"; {use}-src 'self'" for use in _BESIDE) if installed else "")
    )


def _read(name: str) -> str:
    return (_PARTS / name).read_text(encoding="utf-8")


def _track(track: DeckTrack, words: Mapping[str, str]) -> dict[str, Any]:
    def file_s(played_s: float) -> float:
        return round(played_s * track.speed, 4)

    phrases = []
    number = 0
    for phrase in track.strip:
        whole = phrase.kind is PhraseKind.PHRASE
        number += whole
        phrases.append(
            {
                "start_s": file_s(phrase.start_s),
                "end_s": file_s(phrase.end_s),
                "start_beat": phrase.start_beat,
                "counts": phrase.counts,
                "kind": str(phrase.kind),
                "number": str(number) if whole else "",
                "label": words[phrase.kind],
            }
        )
    calls = [
        {
            "time_s": file_s(cue.time_s),
            "end_s": file_s(cue.end_s),
            "words": cue.words,
            "sign": cue.sign,
        }
        for cue in track.cues
        if cue.kind is not CueKind.COUNT_ONE and (cue.words or cue.sign)
    ]
    first = track.lines[:1]
    start_s = first[0].clock_s if first else 0.0
    return {
        "title": track.title,
        "file_name": track.file_name,
        "tempo_bpm": round(track.tempo_bpm, 2),
        "speed": track.speed,
        "duration_s": file_s(track.duration_s),
        "start_s": file_s(start_s),
        "end_s": file_s(track.planned_end_s),
        "period_s": 60.0 / track.tempo_bpm * track.speed,
        "beats_s": [file_s(time_s) for time_s in track.beats_s],
        "phrases": phrases,
        "changes": [
            _change(line, before, track.speed, words)
            for before, line in zip((None, *track.lines), track.lines, strict=False)
        ],
        "calls": calls,
    }


def _change(
    line: DeckLine, before: DeckLine | None, speed: float, words: Mapping[str, str]
) -> dict[str, Any]:
    whole = line.kind is PhraseKind.PHRASE
    return {
        "beat": line.beat,
        "name": line.name if whole else f"{words[line.kind]}: {line.name}",
        "details": " · ".join(newest_first(line, before, words)),
        "news": " · ".join(what_is_new(line, before, words) or details(line, words)),
        "same": before is not None and before.name == line.name,
        "sign": line.sign,
        "figure": line.figure,
        "stint": stint_kind(line.stint, words) if line.stint else "",
        "works": bool(line.stint and line.stint.works),
        "set": f"{line.stint.number}/{line.stint.of}" if line.stint else "",
        "stint_end_s": round(line.stint_end_s * speed, 4),
        "steps": [{"counts": counts, "moving": moving} for counts, moving in line.steps],
        "movements": list(line.movements),
    }


def _address(sound: tuple[str, bytes]) -> str:
    media_type, content = sound
    return f"data:{media_type};base64,{base64.b64encode(content).decode('ascii')}"
