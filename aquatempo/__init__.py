"""Music tempo to movement cadence in water, and cues on the beat.

The main job in five lines, each a function that is told in full below its name::

    track = aquatempo.hear("song.mp3")                  # tempo, beats, phrases, how sure
    verdicts = aquatempo.judge(track, aquatempo.Pool()) # which moves keep their range at it
    plan = aquatempo.plan("music/", "brief.toml")       # a class from a folder and wishes
    timelines = aquatempo.cue(plan)                     # what to call, on which beat
    report = aquatempo.export(plan, "deck/")            # cards, page, captions, sound, data

Importing the package loads nothing; each name is loaded when it is first used.
"""

from __future__ import annotations

from importlib import import_module

TYPE_CHECKING = False  # as type checkers take it, without the time that importing typing takes
if TYPE_CHECKING:
    from aquatempo.deck.export_options import ExportOptions
    from aquatempo.documents.brief import read_brief
    from aquatempo.documents.plan import read_plan, write_plan
    from aquatempo.errors import (
        AquatempoError,
        AudioError,
        InfeasibleError,
        InputError,
        MissingExtraError,
        OutputError,
    )
    from aquatempo.interop.frames import rows, to_pandas, to_polars
    from aquatempo.interop.midi import to_pretty_midi
    from aquatempo.interop.music_data import MirEvalShapes, to_jams, to_mir_eval
    from aquatempo.interop.score import to_partitura
    from aquatempo.public import (
        check,
        cue,
        export,
        hear,
        judge,
        listen,
        one_track_class,
        plan,
        review_plan,
        twin,
        vary,
    )
    from aquatempo.records.cues import CueOptions, CueTimeline
    from aquatempo.records.people import DEEP_POOL, ClassDepth, Group, Intensity, Pool
    from aquatempo.records.plan import Brief, BuildWay, ClassPlan, PartBrief, PartName
    from aquatempo.records.review import Review
    from aquatempo.records.rhythm import Phrase, PhraseKind, RhythmAnalysis
    from aquatempo.records.track import Failure, Track
    from aquatempo.records.verdict import Rating, Verdict
    from aquatempo.workflow.conversion import convert, convert_cadence, tapped_tempo
    from aquatempo.workflow.correcting import correct, forget
    from aquatempo.workflow.exporting import ExportReport

__version__ = "0.1.0"

# Module of each public name: what is asked for is imported, and nothing else.
_HOMES = {
    "deck.export_options": ("ExportOptions",),
    "documents.brief": ("read_brief",),
    "documents.plan": ("read_plan", "write_plan"),
    "errors": (
        *("AquatempoError", "AudioError", "InfeasibleError"),
        *("InputError", "MissingExtraError", "OutputError"),
    ),
    "interop.frames": ("rows", "to_pandas", "to_polars"),
    "interop.midi": ("to_pretty_midi",),
    "interop.music_data": ("MirEvalShapes", "to_jams", "to_mir_eval"),
    "interop.score": ("to_partitura",),
    "public": (
        *("check", "cue", "export", "hear", "judge", "listen"),
        *("one_track_class", "plan", "review_plan", "twin", "vary"),
    ),
    "records.cues": ("CueOptions", "CueTimeline"),
    "records.people": ("DEEP_POOL", "ClassDepth", "Group", "Intensity", "Pool"),
    "records.plan": ("Brief", "BuildWay", "ClassPlan", "PartBrief", "PartName"),
    "records.review": ("Review",),
    "records.rhythm": ("Phrase", "PhraseKind", "RhythmAnalysis"),
    "records.track": ("Failure", "Track"),
    "records.verdict": ("Rating", "Verdict"),
    "workflow.conversion": ("convert", "convert_cadence", "tapped_tempo"),
    "workflow.correcting": ("correct", "forget"),
    "workflow.exporting": ("ExportReport",),
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    # the job
    "hear",
    "listen",
    "judge",
    "vary",
    "check",
    "plan",
    "twin",
    "one_track_class",
    "review_plan",
    "cue",
    "export",
    # on the way
    "convert",
    "convert_cadence",
    "tapped_tempo",
    "correct",
    "forget",
    "read_brief",
    "read_plan",
    "write_plan",
    # to other libraries
    "rows",
    "to_jams",
    "to_mir_eval",
    "to_pandas",
    "to_partitura",
    "to_polars",
    "to_pretty_midi",
    # what is given and what comes back
    "Brief",
    "BuildWay",
    "ClassDepth",
    "ClassPlan",
    "CueOptions",
    "CueTimeline",
    "DEEP_POOL",
    "ExportOptions",
    "ExportReport",
    "Failure",
    "Group",
    "Intensity",
    "MirEvalShapes",
    "PartBrief",
    "PartName",
    "Phrase",
    "PhraseKind",
    "Pool",
    "Rating",
    "Review",
    "RhythmAnalysis",
    "Track",
    "Verdict",
    # what is raised
    "AquatempoError",
    "AudioError",
    "InfeasibleError",
    "InputError",
    "MissingExtraError",
    "OutputError",
    "__version__",
]


def __getattr__(name: str) -> object:
    """Load a public name when it is first used (PEP 562)."""
    if name not in _HOME_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_HOME_OF[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Return the public names, loaded or not."""
    return sorted({*__all__, *globals()})
