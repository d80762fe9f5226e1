"""The deck page: one HTML file that follows the music, offline, on a tablet or phone.

The parts lie in the folder ``page_parts``; this module fills them with a class. Times in the
page are those of the audio file, so that its own clock serves at any speed.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Mapping
from html import escape
from importlib import resources
from typing import Any

from aquatempo.exports.deck_details import details, newest_first, what_is_new
from aquatempo.exports.labels import labels
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack
from aquatempo.records.rhythm import PhraseKind

__all__ = ["deck_page"]

_PARTS = resources.files("aquatempo.exports") / "page_parts"
_SCRIPTS = ("clock.js", "view.js", "app.js")
_PLACE = re.compile(r"\{\{([a-z_.]+)\}\}")


def deck_page(book: DeckBook, sounds: Mapping[int, tuple[str, bytes]] | None = None) -> str:
    """Return the HTML text of a class.

    sounds: (media type, bytes of the audio file) by track number from 0, embedded only
    when given. Raises UnknownNameError where there are no labels in the book's language.
    """
    words = labels(book.language)
    tracks = [
        _track(track, words, (sounds or {}).get(number)) for number, track in enumerate(book.tracks)
    ]
    data = json.dumps(
        {"title": book.title, "words": dict(words), "tracks": tracks}, separators=(",", ":")
    )
    values = {
        "language": escape(book.language),
        "title": escape(book.title),
        "caution": escape(words["caution"]),
        "style": _read("page.css"),
        "script": "\n".join(_read(name) for name in _SCRIPTS),
        # "</script>" inside a string would end the element; "<" has no other use in JSON.
        "data": data.replace("<", "\\u003c"),
        **{f"w.{key}": escape(text) for key, text in words.items()},
    }
    return _PLACE.sub(lambda place: values[place[1]], _read("page.html"))


def _read(name: str) -> str:
    return (_PARTS / name).read_text(encoding="utf-8")


def _track(
    track: DeckTrack, words: Mapping[str, str], sound: tuple[str, bytes] | None
) -> dict[str, Any]:
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
        if cue.words or cue.sign
    ]
    return {
        "title": track.title,
        "file_name": track.file_name,
        "tempo_bpm": round(track.tempo_bpm, 2),
        "speed": track.speed,
        "duration_s": file_s(track.duration_s),
        "period_s": 60.0 / track.tempo_bpm * track.speed,
        "beats_s": [file_s(time_s) for time_s in track.beats_s],
        "phrases": phrases,
        "changes": [
            _change(line, before, words)
            for before, line in zip((None, *track.lines), track.lines, strict=False)
        ],
        "calls": calls,
        "sound": _address(sound) if sound else "",
    }


def _change(line: DeckLine, before: DeckLine | None, words: Mapping[str, str]) -> dict[str, Any]:
    whole = line.kind is PhraseKind.PHRASE
    return {
        "beat": line.beat,
        "name": line.name if whole else f"{words[line.kind]}: {line.name}",
        "details": " · ".join(newest_first(line, before, words)),
        "news": " · ".join(what_is_new(line, before, words) or details(line, words)),
        "same": before is not None and before.name == line.name,
        "steps": [{"counts": counts, "moving": moving} for counts, moving in line.steps],
        "movements": list(line.movements),
    }


def _address(sound: tuple[str, bytes]) -> str:
    media_type, content = sound
    return f"data:{media_type};base64,{base64.b64encode(content).decode('ascii')}"
