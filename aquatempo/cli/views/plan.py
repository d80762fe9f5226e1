"""A class plan, for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from rich.console import Console
from rich.text import Text

from aquatempo.cli.failures import one_line
from aquatempo.cli.views.judge import ESTIMATE
from aquatempo.cli.views.marks import energy_strip
from aquatempo.cli.views.table import show_table
from aquatempo.records.plan import Because, Block, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.shaping import Alternative, OtherClass
from aquatempo.records.tempo_option import TempoOption
from aquatempo.units import clock, percent
from aquatempo.workflow.planning import block_names
from aquatempo.workflow.reviewing import efforts

__all__ = ["show_alternatives", "show_course", "show_others", "show_plan"]

_NAMED = 3  # songs left out for one reason that are named


def show_plan(
    console: Console, plan: ClassPlan, own_moves: str | None = None, verbose: bool = False
) -> None:
    """Show a class at a glance, its parts and its songs, then what to know about the plan.

    console: the terminal; own_moves: the user's catalogue file, for names; verbose: also what is
    done in each phrase of each song, and how far the search got.
    """
    songs, parts = efforts(plan, own_moves)
    console.print(Text(one_line(plan.brief.title), style="bold"))
    _show_parts(console, plan, parts)
    _show_songs(console, plan, songs, own_moves)
    if verbose:
        _show_phrases(console, plan, own_moves)
    for because in plan.because:
        console.print(one_line(_because(because)))
    for note in plan.notes:
        console.print(f"{_sentence(note)}.")
    _show_left_out(console, plan, verbose)
    if verbose or plan.status != "optimal":
        console.print(_search(plan))
    if not verbose:
        console.print("With --verbose: what is done in each phrase.")
    console.print(ESTIMATE)


def _sentence(note: str) -> str:
    """Return a note with a capital where it begins with a word, not with the name of a file."""
    words = one_line(note)
    first = words.partition(" ")[0]
    return words[:1].upper() + words[1:] if first.isalpha() else words


def _minutes(track: PlannedTrack) -> float:
    return sum(phrase.counts for phrase in track.phrases) / (track.tempo_bpm * track.speed)


def _effort(rpe: float | None) -> str:
    return "" if rpe is None else f"{rpe:.0f}"


def _show_parts(console: Console, plan: ClassPlan, efforts: dict[str, float | None]) -> None:
    """Show the parts: a row each, with its songs, minutes and effort."""
    rows = []
    for name in dict.fromkeys(track.part for track in plan.tracks):
        mine = [track for track in plan.tracks if track.part == name]
        tempos = sorted(round(track.tempo_bpm * track.speed) for track in mine)
        span = f"{tempos[0]}" if tempos[0] == tempos[-1] else f"{tempos[0]}-{tempos[-1]}"
        minutes = f"{sum(_minutes(track) for track in mine):.1f}"
        rows.append((name, str(len(mine)), minutes, span, _effort(efforts.get(name))))
    whole = sum(_minutes(track) for track in plan.tracks)
    rows.append(("class", str(len(plan.tracks)), f"{whole:.1f}", "", ""))
    show_table(
        console,
        ("part", "songs", "min", "bpm", "effort, RPE 6-20"),
        rows,
        numbers=("songs", "min", "bpm", "effort, RPE 6-20"),
    )


def _show_songs(
    console: Console, plan: ClassPlan, efforts: Sequence[float | None], own_moves: str | None
) -> None:
    """Show the songs in order: a row each, with its minutes, effort and moves."""
    rows = []
    at_minute = 0.0
    for number, track in enumerate(plan.tracks, 1):
        blocks = (block for phrase in track.phrases for block in phrase.blocks)
        moves = dict.fromkeys(block_names(block, own_moves)[0] for block in blocks)
        told = (f"{track.tempo_bpm * track.speed:.0f}", f"{_minutes(track):.1f}")
        title = one_line(track.title) + (", locked" if track.locked else "")
        rpe = _effort(efforts[number - 1])
        start = clock(60.0 * at_minute)
        rows.append((str(number), start, track.part, title, *told, rpe, ", ".join(moves)))
        at_minute += _minutes(track)
    show_table(
        console,
        ("song", "at", "part", "title", "bpm", "min", "RPE", "moves"),
        rows,
        numbers=("song", "at", "bpm", "min", "RPE"),
        free_text="moves",
        spare=("part", "min"),
    )


def _show_phrases(console: Console, plan: ClassPlan, own_moves: str | None) -> None:
    """Show what is done in the phrases of each song, a table a song."""
    minutes = 0.0
    for number, track in enumerate(plan.tracks, 1):
        heading = (
            f"\n{clock(60.0 * minutes)} {track.part} {number}: {one_line(track.title)},"
            f" {_tempo(track)}{', locked' if track.locked else ''}"
        )
        console.print(Text(heading, style="bold"))
        console.print(energy_strip(console, track.phrases))
        show_table(
            console,
            ("phrase", "at", "section", "counts", "what", "how"),
            list(_rows(track, minutes, own_moves)),
            numbers=("at", "counts"),
            free_text="how",
            spare=("section", "phrase"),
        )
        minutes += _minutes(track)


def _show_left_out(console: Console, plan: ClassPlan, verbose: bool) -> None:
    """Show which songs are not played and why; those with one reason on one line."""
    by_reason: dict[str, list[str]] = {}
    for left_out in plan.left_out:
        by_reason.setdefault(one_line(left_out.reason), []).append(one_line(left_out.title))
    for reason, titles in by_reason.items():
        many = len(titles) > _NAMED and not verbose
        named = titles[:_NAMED] if many else titles
        more = f" and {len(titles) - _NAMED} more" if many else ""
        console.print(f"Left out: {', '.join(named)}{more}: {reason}.")


def _rows(
    track: PlannedTrack, minute: float, own_moves: str | None
) -> Iterator[tuple[str, str, str, str, str, str]]:
    """Yield what is done in a row of phrases, one row for as long as it stays the same."""
    tempo, number = track.tempo_bpm * track.speed, 1

    def same(phrase: PlannedPhrase) -> tuple[str, str, tuple[tuple[str, str], ...]]:
        words = tuple(_words(block, own_moves) for block in phrase.blocks)
        return phrase.kind.value, phrase.section, words

    for (kind, section, blocks), run in groupby(track.phrases, key=same):
        phrases = list(run)
        last = number + len(phrases) - 1
        numbers = f"{number}" if last == number else f"{number}-{last}"
        number = last + 1
        times = f"{len(phrases)} x " if len(phrases) > 1 else ""
        counts = "+".join(str(block.counts) for block in phrases[0].blocks)
        names = list(dict.fromkeys(name for name, _ in blocks))
        how = "; ".join(dict.fromkeys(detail for _, detail in blocks if detail))
        between = "" if kind == "phrase" or section == kind else kind
        told = ", ".join(word for word in (section, between) if word)
        yield numbers, clock(60.0 * minute), told, f"{times}{counts}", ", ".join(names), how
        minute += sum(phrase.counts for phrase in phrases) / tempo


def _words(block: Block, own_moves: str | None) -> tuple[str, str]:
    """Return the move, and how it is done, in words."""
    name, options = block_names(block, own_moves)
    details = list(options)
    if block.pattern != TempoOption.WATER and not dict(block.variation).get("tempo"):
        details += _pattern_words(block)
    details += [block.lead] if block.lead else []
    details += [f"show {block.show}"] if block.show else []
    details += [f"held {block.held_s:.0f} s"] if block.held_s else []
    if block.stint is not None:
        kind = "WORK" if block.stint.works else "REST"
        details.insert(0, f"{kind} {block.stint.number} of {block.stint.of}")
    details += ["locked"] if block.locked else []
    return name, ", ".join(details)


def _pattern_words(block: Block) -> list[str]:
    """Return how many counts a movement takes, in words; none where its seconds held say it."""
    if block.pattern in set(TempoOption):
        return [TempoOption(block.pattern).words]
    if "h" not in block.pattern and "b" not in block.pattern:
        return [f"counts {block.pattern}"]
    return [] if block.held_s else ["moving and holding"]


def _because(because: Because) -> str:
    """Return why the plan is as it is, in a line."""
    words = f"Because of {because.of}: {because.does}"
    words += f" ({because.source})" if because.source else ""
    return words + (f"; overruled by {because.overruled}." if because.overruled else ".")


def show_alternatives(
    console: Console, plan: ClassPlan, place: str, found: Sequence[Alternative]
) -> None:
    """Show what else might be done in a place, and what each would change.

    console: to print on; plan: the class; found: what there is to show.
    """
    console.print(Text(f"{one_line(plan.brief.title)}, {place}", style="bold"))
    if not found:
        console.print("Nothing else fits between what goes before and what comes after.")
        return
    rows = [
        (
            str(number),
            one.name,
            f"{one.rpe_change:+.1f}",
            one.impact
            if one.impact == one.impact_before
            else f"{one.impact_before} > {one.impact}",
            ", ".join(f"{plane} {percent(then)}" for plane, _, then in one.planes),
            one.learning or "nothing new",
        )
        for number, one in enumerate(found, 1)
    ]
    show_table(
        console,
        ("no", "instead", "RPE", "impact", "planes", "learning"),
        rows,
        numbers=("no", "RPE"),
        free_text="learning",
    )
    console.print(f'Take one with: aquatempo shape PLAN "use 1 at {place}" --out FILE\n{ESTIMATE}')


def show_others(
    console: Console, others: Sequence[OtherClass], own_moves: str | None = None
) -> None:
    """Show in a line each which base moves other classes have, and what they share with the first.

    console: to print on; others: in the order in which they were planned; own_moves: the user's
    catalogue file, for names.
    """
    for number, other in enumerate(others, 2):
        blocks = (
            block for track in other.plan.tracks for one in track.phrases for block in one.blocks
        )
        bases = (block_names(block, own_moves)[0] for block in blocks if block.move in other.bases)
        console.print(
            f"Class {number}: {', '.join(dict.fromkeys(bases))}; {percent(other.shared)} of its "
            "work with moves of class 1."
        )


def show_course(console: Console, plans: Sequence[ClassPlan]) -> None:
    """Show the classes of a course, a line each: songs and how it ends, what is new.

    console: to print on; plans: earlier classes, oldest first.
    """
    for plan in plans:
        console.print(Text(one_line(plan.brief.title), style="bold"))
        songs = ", ".join(one_line(track.title) for track in plan.tracks if track.file)
        console.print(f"  songs: {songs}")
        for because in plan.because:
            console.print(f"  {one_line(_because(because))}")
        console.print(f"  ends with: {plan.ending}")
    console.print(ESTIMATE)


def _tempo(track: PlannedTrack) -> str:
    words = f"{track.tempo_bpm * track.speed:.0f} bpm"
    if track.speed != 1.0:
        words += f", played {track.speed - 1.0:+.1%} ({one_line(track.speed_reason)})"
    return words


def _search(plan: ClassPlan) -> str:
    if plan.status == "optimal":
        return "Each stage of the search is proven best."
    return f"The search stopped early: a better plan may cost up to {percent(plan.gap)} less."
