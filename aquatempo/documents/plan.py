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

from collections.abc import Sequence
from pathlib import Path

from aquatempo.documents.brief import brief_from_table
from aquatempo.documents.plan_files import with_files_seen_from, with_files_told_from
from aquatempo.documents.plan_layout import (
    BECAUSE_KEYS,
    BLOCK_KEYS,
    FORMAT,
    LEADS,
    PHRASE_KEYS,
    PLAN_KEYS,
    SHOWN,
    TRACK_KEYS,
    rewritten,
    stint_of,
)
from aquatempo.errors import OutputError, TextFileError
from aquatempo.moves import Catalogue, catalogue, parse_pattern, resolve, variation_of
from aquatempo.records.moves import ImpactLevel, Travel
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import (
    RIGHTS_OPEN,
    Because,
    Block,
    ClassPlan,
    LeftOut,
    PartName,
    PlannedPhrase,
    PlannedTrack,
    Stint,
)
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.store.files import read_text
from aquatempo.store.results import finish_results, refuse_target, write_results
from aquatempo.tomltext import TomlTable, need, read_toml

SHORT_SUFFIX = ".plan"
__all__ = [
    "MOST_BEATS",
    "MOST_COUNTS",
    "PLAN_SUFFIXES",
    "any_plan_from_text",
    "is_plan",
    "plan_from_table",
    "plan_from_text",
    "plan_text",
    "read_plan",
    "write_plan",
    "write_plans",
]
PLAN_SUFFIXES = (".toml", SHORT_SUFFIX)

MOST_COUNTS = 4096
MOST_BEATS = 100_000


def read_plan(path: str, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan in a file, its tracks without analyses, their files as seen from here.

    source: the catalogue in force (None: the packaged one). Raises TextFileError with the line
    of what is wrong. path: of the file.
    """
    finish_results(path)
    return with_files_seen_from(any_plan_from_text(path, read_text(path), source), path)


def any_plan_from_text(path: str, content: str, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan in a text, in its long form or its short one.

    path: of the file; content: its text; source: the catalogue in force.
    """
    from aquatempo.documents.short_form import is_short, plan_from_short

    if is_short(content):
        return plan_from_short(path, content, source)
    return plan_from_text(path, content, source)


def is_plan(path: str) -> bool:
    """Tell a plan from a track sheet, which has no tracks, and from audio.

    >>> is_plan("song.mp3")
    False
    """
    if Path(path).suffix.lower() == SHORT_SUFFIX:
        return True
    if Path(path).suffix.lower() != ".toml":
        return False
    try:
        return "tracks" in read_toml(path, read_text(path))
    except TextFileError:
        return False  # who opens it as a sheet says what is wrong


def write_plan(plan: ClassPlan, path: str, force: bool = False) -> None:
    """Write a plan to a path; force replaces what is there. See ``write_plans``."""
    write_plans([(plan, path)], force)


def write_plans(plans: Sequence[tuple[ClassPlan, str]], force: bool = False) -> None:
    """Write plans to paths, all or none; a plan at a path is rewritten (force), comments kept.

    A path that ends in .plan gets the short form, a line a track and a phrase. Raises
    OutputError where a file exists, is no plan or cannot be written.
    """
    contents: list[tuple[str, str]] = []
    for plan, path in plans:
        refuse_target(path, "plan", PLAN_SUFFIXES, force)
        local = with_files_told_from(plan, path)
        if Path(path).suffix.lower() == SHORT_SUFFIX:
            from aquatempo.documents.short_form import short_text

            text = short_text(local)
        else:
            earlier = _earlier(path) if Path(path).exists() else None
            text = plan_text(local, earlier)
        # Files are spelled; in a note, a name that is no text shows question marks.
        contents.append((path, text.encode(errors="replace").decode()))
    write_results(contents, force)


def plan_text(plan: ClassPlan, earlier: str | None = None) -> str:
    """Return the text of a plan; earlier: a text whose comments are kept."""
    return rewritten(plan, earlier)


def plan_from_text(path: str, content: str, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan in a text, content; path is only named in errors, source as above."""
    toml = read_toml(path, content)
    need("a plan", toml)
    return plan_from_table(toml, source)


def plan_from_table(toml: TomlTable, source: Catalogue | None = None) -> ClassPlan:
    """Return the plan that a table tells; source: the catalogue in force.

    toml: the table read.
    """
    known = source or catalogue()
    toml.know(PLAN_KEYS)
    toml.word("format", (FORMAT,), FORMAT)
    tracks = toml.tables("tracks")
    if not tracks:
        raise toml.error("tracks", "no [[tracks]]: a plan needs at least one")
    brief = brief_from_table(toml.table("brief"), known)
    return ClassPlan(
        brief=brief,
        tracks=tuple(_track(track, known, brief.depth) for track in tracks),
        left_out=tuple(_left_out(one) for one in toml.tables("left_out")),
        notes=toml.texts("notes"),
        status=toml.text("status", "by hand"),
        gap=toml.number("gap", 0.0, 1.0, usual=0.0),
        because=tuple(_because(one) for one in toml.tables("because")),
        ending=toml.text("ending", ""),
    )


def _because(toml: TomlTable) -> Because:
    toml.know(BECAUSE_KEYS)
    return Because(
        toml.text("of"), toml.text("does"), toml.text("source", ""), toml.text("overruled", "")
    )


def _left_out(toml: TomlTable) -> LeftOut:
    toml.know(("title", "reason"))
    return LeftOut(toml.text("title"), toml.text("reason", ""))


def _track(toml: TomlTable, known: Catalogue, depth: ClassDepth) -> PlannedTrack:
    toml.know(TRACK_KEYS)
    phrases: list[PlannedPhrase] = []
    for table in toml.tables("phrases"):
        phrase = _phrase(table, known, depth)
        end = phrases[-1].start_beat + phrases[-1].counts if phrases else phrase.start_beat
        if phrase.start_beat != end:
            raise table.error(
                "start_beat",
                f"start_beat {phrase.start_beat}: the phrase before it ends at {end} "
                "(was one added or cut without the others moving?)",
            )
        phrases.append(phrase)
    if not phrases:
        raise toml.error(None, "a track without [[tracks.phrases]]: needs at least one")
    return PlannedTrack(
        title=toml.text("title"),
        file=toml.text("file", ""),
        part=toml.choice("part", PartName),
        tempo_bpm=toml.number("tempo_bpm", 20, 400, "bpm"),
        phrases=tuple(phrases),
        speed=toml.number("speed", 0.5, 2.0, "times the tempo", 1.0),
        speed_reason=toml.text("speed_reason", ""),
        content_key=toml.text("content_key", ""),
        rights=toml.text("rights", RIGHTS_OPEN),
        locked=toml.flag("locked"),
    )


def _phrase(toml: TomlTable, known: Catalogue, depth: ClassDepth) -> PlannedPhrase:
    toml.know(PHRASE_KEYS)
    counts = toml.whole("counts", 1, MOST_COUNTS, "counts")
    blocks = tuple(_block(block, known, depth) for block in toml.tables("blocks"))
    total = sum(block.counts for block in blocks)
    if blocks and total != counts:
        raise toml.error(
            "blocks",
            f"blocks of {total} counts in a phrase of {counts}: they need to add up to it",
        )
    return PlannedPhrase(
        start_beat=toml.whole("start_beat", 0, MOST_BEATS, "beats"),
        counts=counts,
        kind=toml.choice("kind", PhraseKind, PhraseKind.PHRASE),
        energy_level=toml.choice("energy", EnergyLevel, EnergyLevel.MEDIUM),
        blocks=blocks,
        section=toml.text("section", ""),
        locked=toml.flag("locked"),
    )


def _block(toml: TomlTable, known: Catalogue, depth: ClassDepth) -> Block:
    toml.know(BLOCK_KEYS)
    changes = toml.table("vary")
    with toml.naming():
        move = known.move(toml.text("move"))
        pairs = [(factor, changes.text(factor)) for factor in changes.data]
        variation = variation_of(move, pairs, known)
        form = resolve(move, variation, depth, known)
        usual = form.pattern.text if form.pattern else move.pattern
        pattern = parse_pattern(toml.text("pattern", usual)).text
    return Block(
        counts=toml.whole("counts", 1, MOST_COUNTS, "counts"),
        move=move.key,
        variation=tuple((factor.value, option) for factor, option in variation.changes),
        pattern=pattern,
        lead=toml.word("lead", LEADS, ""),
        level=toml.choice("level", ImpactLevel, form.level),
        travel=toml.choice("travel", Travel, form.travel),
        words=toml.text("words", ""),
        show=toml.word("show", SHOWN, ""),
        stint=_stint(toml) if "stint" in toml else None,
        held_s=toml.number("held_s", 0.0, 600.0, "s", 0.0),
        locked=toml.flag("locked"),
    )


def _stint(toml: TomlTable) -> Stint:
    with toml.naming("stint"):
        return stint_of(toml.text("stint"))


def _earlier(path: str) -> str:
    """Return the text of the plan that stands there; raise OutputError where it is no plan."""
    try:
        text = read_text(path, as_input=False)
        plan_from_text(path, text)
    except TextFileError as exc:
        reason = f"what is there is no plan that can be read, and is kept ({exc})"
        raise OutputError(path, reason) from exc
    return text
