"""A class plan as a TOML file that a person reads, edits and compares.

::

    [[tracks]]
    title = "First Lengths"
    file = "first_lengths.ogg"
    part = "warm-up"
    tempo_bpm = 132.0
    rights = "rights not checked"

    [[tracks.phrases]]
    start_beat = 0
    counts = 32
    kind = "phrase"
    energy = "medium"
    blocks = [
      { counts = 16, move = "jog", pattern = "2", lead = "right" },
      { counts = 16, move = "jog", vary = { arms = "press" }, pattern = "2", lead = "right" },
    ]

Reading checks names and sums and names the line of what is wrong; ``plan_writing`` writes.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from aquatempo.documents.brief import brief_from_table
from aquatempo.documents.plan_layout import (
    BLOCK_KEYS,
    FORMAT,
    LEADS,
    PHRASE_KEYS,
    PLAN_KEYS,
    SHOWN,
    TRACK_KEYS,
    rewritten,
)
from aquatempo.errors import InputError, TextFileError
from aquatempo.moves import Catalogue, catalogue, parse_pattern, resolve, variation_of
from aquatempo.records.moves import ImpactLevel, Travel
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, ClassPlan, LeftOut, PartName, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.store.results import write_result
from aquatempo.tomltext.items import item_line
from aquatempo.tomltext.lines import Place, TomlText
from aquatempo.tomltext.values import (
    choice,
    keys,
    number,
    table,
    text,
    texts,
    value_at,
    whole,
)

RIGHTS_OPEN = "rights not checked"
__all__ = ["plan_from_text", "plan_text", "read_plan", "write_plan"]


def read_plan(path: str, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan in a file, its tracks without analyses, their files as seen from here.

    Raises TextFileError with the line of what is wrong.
    """
    plan = plan_from_text(path, _read(path), source)
    return _with_files(plan, lambda file: os.path.normpath(Path(path).parent / file))


def write_plan(plan: ClassPlan, path: str, force: bool = False) -> None:
    """Write a plan; a plan that stands there is rewritten (forced) with its comments kept.

    Raises OutputError where the file exists or cannot be written.
    """
    earlier = _earlier(path) if force and Path(path).exists() else None
    there = Path(path).parent
    local = _with_files(plan, lambda file: _seen_from(there, file))
    write_result(path, plan_text(local, earlier), force)


def plan_text(plan: ClassPlan, earlier: str | None = None) -> str:
    """Return the text of a plan; earlier: a text whose comments are kept."""
    return rewritten(plan, earlier)


def plan_from_text(path: str, content: str, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan in a text; path is only named in errors."""
    known = source or catalogue()
    toml = TomlText(path, content)
    toml.check_keys((), toml.data, PLAN_KEYS)
    if toml.data.get("format", FORMAT) != FORMAT:
        raise toml.error(("format",), f"format {toml.data['format']!r}: needs {FORMAT!r}")
    tracks = value_at(toml, ("tracks",), [])
    if not isinstance(tracks, list) or not tracks:
        raise toml.error(("tracks",), "no [[tracks]]: a plan needs at least one")
    left_out = value_at(toml, ("left_out",), [])
    brief = brief_from_table(toml, ("brief",), known)
    each = range(len(tracks))
    return ClassPlan(
        brief=brief,
        tracks=tuple(_track(toml, ("tracks", index), known, brief.depth) for index in each),
        left_out=tuple(_left_out(toml, ("left_out", index)) for index in range(len(left_out))),
        notes=texts(toml, ("notes",)),
        status=text(toml, ("status",), "by hand"),
        gap=number(toml, ("gap",), 0.0, 1.0, "", 0.0),
    )


def _left_out(toml: TomlText, place: Place) -> LeftOut:
    keys(toml, place, ("title", "reason"))
    return LeftOut(text(toml, (*place, "title")), text(toml, (*place, "reason"), ""))


def _track(toml: TomlText, place: Place, known: Catalogue, depth: ClassDepth) -> PlannedTrack:
    data = keys(toml, place, TRACK_KEYS)
    phrases = data.get("phrases", [])
    if not isinstance(phrases, list) or not phrases:
        raise toml.error(place, "a track without [[tracks.phrases]]: needs at least one")
    found: list[PlannedPhrase] = []
    for index in range(len(phrases)):
        phrase = _phrase(toml, (*place, "phrases", index), known, depth)
        end = found[-1].start_beat + found[-1].counts if found else phrase.start_beat
        if phrase.start_beat != end:
            raise toml.error(
                (*place, "phrases", index, "start_beat"),
                f"start_beat {phrase.start_beat}: the phrase before it ends at {end} "
                "(was one added or cut without the others moving?)",
            )
        found.append(phrase)
    return PlannedTrack(
        title=text(toml, (*place, "title")),
        file=text(toml, (*place, "file"), ""),
        part=choice(toml, (*place, "part"), PartName),
        tempo_bpm=number(toml, (*place, "tempo_bpm"), 20, 400, "bpm"),
        phrases=tuple(found),
        speed=number(toml, (*place, "speed"), 0.5, 2.0, "times the tempo", 1.0),
        speed_reason=text(toml, (*place, "speed_reason"), ""),
        content_key=text(toml, (*place, "content_key"), ""),
        rights=text(toml, (*place, "rights"), RIGHTS_OPEN),
    )


def _phrase(toml: TomlText, place: Place, known: Catalogue, depth: ClassDepth) -> PlannedPhrase:
    data = keys(toml, place, PHRASE_KEYS)
    counts = whole(toml, (*place, "counts"), 1, 4096, "counts")
    given = data.get("blocks", [])
    if not isinstance(given, list) or not all(isinstance(item, dict) for item in given):
        raise toml.error((*place, "blocks"), "blocks: needs a list of { counts, move, ... }")
    blocks = tuple(
        _block(toml, (*place, "blocks", index), known, depth) for index in range(len(given))
    )
    total = sum(block.counts for block in blocks)
    if blocks and total != counts:
        raise toml.error(
            (*place, "blocks"),
            f"blocks of {total} counts in a phrase of {counts}: they need to add up to it",
        )
    return PlannedPhrase(
        start_beat=whole(toml, (*place, "start_beat"), 0, 100_000, "beats"),
        counts=counts,
        kind=PhraseKind(choice(toml, (*place, "kind"), PhraseKind, PhraseKind.PHRASE)),
        energy_level=EnergyLevel(choice(toml, (*place, "energy"), EnergyLevel, EnergyLevel.MEDIUM)),
        blocks=blocks,
    )


def _block(toml: TomlText, place: Place, known: Catalogue, depth: ClassDepth) -> Block:
    """Return a block; its errors are named by the line that it stands on, not its list's."""
    try:
        keys(toml, place, BLOCK_KEYS)
        move = known.move(text(toml, (*place, "move")))
        changes = table(toml, (*place, "vary"))
        pairs = [(factor, text(toml, (*place, "vary", factor))) for factor in changes]
        variation = variation_of(move, pairs, known)
        form = resolve(move, variation, depth, known)
        usual = form.pattern.text if form.pattern else move.pattern
        return Block(
            counts=whole(toml, (*place, "counts"), 1, 4096, "counts"),
            move=move.key,
            variation=tuple((factor.value, option) for factor, option in variation.changes),
            pattern=parse_pattern(text(toml, (*place, "pattern"), usual)).text,
            lead=choice(toml, (*place, "lead"), LEADS, ""),
            level=choice(toml, (*place, "level"), ImpactLevel, str(form.level)),
            travel=choice(toml, (*place, "travel"), Travel, str(form.travel)),
            words=text(toml, (*place, "words"), ""),
            show=choice(toml, (*place, "show"), SHOWN, ""),
        )
    except InputError as exc:
        problem = exc.problem if isinstance(exc, TextFileError) else str(exc)
        raise TextFileError(toml.path, item_line(toml, place), problem) from exc


def _with_files(plan: ClassPlan, seen: Callable[[str], str]) -> ClassPlan:
    tracks = tuple(
        replace(track, file=seen(track.file) if track.file else "") for track in plan.tracks
    )
    return replace(plan, tracks=tracks)


def _seen_from(folder: Path, file: str) -> str:
    try:
        return Path(os.path.relpath(file, folder)).as_posix()
    except ValueError:  # another drive
        return file


def _earlier(path: str) -> str | None:
    """Return the text of the plan that stands there, None where it is no plan."""
    try:
        text = _read(path)
        plan_from_text(path, text)
    except TextFileError:
        return None
    return text


def _read(path: str) -> str:
    try:
        return Path(path).read_text(encoding="utf-8")
    except UnicodeDecodeError as exc:
        raise TextFileError(path, None, "not text in UTF-8: needs a plan") from exc
    except OSError as exc:
        raise TextFileError(path, None, f"cannot be read: {exc.strerror}") from exc
