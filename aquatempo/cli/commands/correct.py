"""``aquatempo correct``: what was heard wrongly, put right for good."""

from __future__ import annotations

from typing import Annotated

import typer

from aquatempo.cli.options import AsJson
from aquatempo.cli.output import make_console, print_json, say
from aquatempo.errors import InputError
from aquatempo.units import is_count, parse_time_s

__all__ = ["EXAMPLES", "correct"]

EXAMPLES = (
    "aquatempo correct song.mp3 --half",
    "aquatempo correct song.mp3 --tempo 140 --from 1:02",
    "aquatempo correct song.mp3 --shift 2 --phrase 0:42.5 --bridge 1:12.0/8",
    "aquatempo correct song.mp3 --count-one 0:31.5 --no-beat 0:00-0:12",
    "aquatempo correct song.mp3 --forget",
)
USUAL_BRIDGE_COUNTS = 8


def correct(
    file: Annotated[str, typer.Argument(metavar="FILE", help="An audio file.")],
    half: Annotated[bool, typer.Option("--half", help="Count at half the tempo shown.")] = False,
    double: Annotated[bool, typer.Option("--double", help="Count at double the tempo.")] = False,
    tempo: Annotated[
        float | None, typer.Option(metavar="BPM", help="The tempo meant: a level of that heard.")
    ] = None,
    shift: Annotated[
        int, typer.Option(metavar="BEATS", help="Count 1 lies so many beats later (-: earlier).")
    ] = 0,
    count_one: Annotated[
        str | None, typer.Option(metavar="TIME", help="Count 1 of a phrase falls here.")
    ] = None,
    from_time: Annotated[
        str | None,
        typer.Option(
            "--from", metavar="TIME", help="Level and count 1 hold from here on (default: all)."
        ),
    ] = None,
    phrase: Annotated[
        list[str] | None,
        typer.Option(metavar="TIME", help="A phrase starts here, e.g. 0:42.5 (may be repeated)."),
    ] = None,
    bridge: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TIME/COUNTS", help="A bridge starts here, e.g. 1:12.0/8 (may be repeated)."
        ),
    ] = None,
    no_start: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TIME", help="Neither a phrase nor a bridge starts here (may be repeated)."
        ),
    ] = None,
    no_beat: Annotated[
        list[str] | None,
        typer.Option(metavar="TIME-TIME", help="Nothing to count between (may be repeated)."),
    ] = None,
    forget: Annotated[
        bool, typer.Option("--forget", help="Drop all corrections of this track.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Correct what was heard in a track: level of the tempo, count 1, phrases, bridges.

    Corrections add to earlier ones and say what is meant: a tempo, a moment. They are kept
    in a readable file for the track, found by the sound itself, so that a renamed or
    re-analysed file keeps them. The audio file is never changed.
    """
    from aquatempo.cli.views.listen import show_track
    from aquatempo.workflow import correcting

    if half + double + (tempo is not None) > 1:
        raise typer.BadParameter("--half, --double and --tempo exclude each other")
    if shift and count_one is not None:
        raise typer.BadParameter("--shift and --count-one exclude each other")
    others = (half, double, tempo, shift, count_one, from_time, phrase, no_start, bridge, no_beat)
    if forget and any(others):
        raise typer.BadParameter("--forget goes alone: it drops all corrections of this track")
    if forget:
        had_some = correcting.forget(file)
        say("corrections dropped" if had_some else f"there were no corrections of {file}")
        return
    track, kept_in = correcting.correct(
        file,
        level=0.5 if half else 2.0 if double else 1.0,
        tempo_bpm=tempo,
        shift_beats=shift,
        count_one_s=None if count_one is None else parse_time_s(count_one),
        from_s=0.0 if from_time is None else parse_time_s(from_time),
        phrase_starts_s=[parse_time_s(text) for text in phrase or ()],
        not_starts_s=[parse_time_s(text) for text in no_start or ()],
        bridges=[_parse_bridge(text) for text in bridge or ()],
        no_beat_s=[_parse_span(text) for text in no_beat or ()],
    )
    if as_json:
        head = {"file": track.file, "title": track.title, "kept_in": kept_in}
        print_json("aquatempo/correct/1", head, track.analysis)
    else:
        show_track(make_console(), track)
        say(f"kept in {kept_in}")


def _parse_bridge(text: str) -> tuple[float, int]:
    """Return (start [s], counts) of ``1:12.0/8`` or ``1:12.0``."""
    time, found, counts = text.partition("/")
    if found and not is_count(counts.strip()):
        raise InputError(f"bridge {text!r}: needs a time and counts, as 1:12.0/8")
    return parse_time_s(time), int(counts) if found else USUAL_BRIDGE_COUNTS


def _parse_span(text: str) -> tuple[float, float]:
    """Return (start [s], end [s]) of ``0:10-0:25``."""
    start, found, end = text.partition("-")
    if not found:
        raise InputError(f"stretch {text!r}: needs two times, as 0:10-0:25")
    return parse_time_s(start), parse_time_s(end)
