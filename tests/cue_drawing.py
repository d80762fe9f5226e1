"""Hypothesis strategies that draw tracks, plans and options for cue timelines."""

from __future__ import annotations

from cue_cases import WORDS, heard, planned
from hypothesis import strategies as st

from aquatempo.cues import timeline
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.plan import Block, PlannedTrack
from aquatempo.records.rhythm import RhythmAnalysis

MOVES = ("jog", "jack", "ski", "kick")
Case = tuple[RhythmAnalysis, PlannedTrack, CueOptions]


@st.composite
def blocks(draw: st.DrawFn, counts: int, words: bool) -> list[Block]:
    """Fill some counts with blocks, most of whole eights, some cut shorter."""
    filled: list[Block] = []
    while counts:
        size = min(counts, draw(st.sampled_from((32, 16, 8, 8, 4, 2))))
        variation = draw(
            st.sampled_from(
                ((), (("arms", "press"),), (("hands", "fist"),), (("combination", "two"),))
            )
        )
        filled.append(
            Block(
                counts=size,
                move=draw(st.sampled_from(MOVES)),
                variation=variation,
                pattern=draw(st.sampled_from(("2", "4", "1", "2-2-4", "2+2h"))),
                lead=draw(st.sampled_from(("", "right", "left"))),
                level=draw(st.sampled_from(("I", "I", "II", "III"))),
                travel=draw(st.sampled_from(("in place", "forward", "back", "sideways"))),
                words=draw(st.sampled_from(("", "big and slow"))) if words else "",
            )
        )
        counts -= size
    return filled


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Draw a track at 80 to 190 bpm with bridges and breakdowns, a plan and options."""
    spans = [("intro", draw(st.sampled_from((4, 8, 16, 32))))] if draw(st.booleans()) else []
    for _ in range(draw(st.integers(1, 5))):
        spans.append(("phrase", 32))
        kind = draw(st.sampled_from(("", "", "bridge", "break")))
        if kind:
            spans.append((kind, draw(st.sampled_from((2, 4, 8, 16)))))
    analysis = heard(spans, tempo_bpm=draw(st.floats(80.0, 190.0)))
    words = draw(st.booleans())
    plan = planned(
        analysis,
        [draw(blocks(counts, words)) for _, counts in spans],
        speed=draw(st.sampled_from((0.96, 1.0, 1.04))),
    )
    options = CueOptions(
        language=draw(st.sampled_from(("en", "de"))),
        syllables_per_second=draw(st.sampled_from((2.5, 4.0, 6.0))),
        silent=draw(st.sampled_from((False, False, True))),
        known_moves=draw(st.sampled_from(((), MOVES, ("jog",)))),
    )
    return analysis, plan, options


def of(case: Case) -> CueTimeline:
    """Return the timeline of a drawn case."""
    analysis, plan, options = case
    return timeline(analysis, plan, WORDS, options)
