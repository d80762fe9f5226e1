"""What is shown of a track in the music list, whatever class it is for."""

from __future__ import annotations

import hashlib
from pathlib import Path

from aquatempo.records.music import MusicRow, RowState
from aquatempo.records.rhythm import RhythmAnalysis

__all__ = ["energy_strip", "row_id", "waiting_row"]


STRIP_SPANS = 48  # as many as a thumb's width can show
NOTHING = "-"


def row_id(path: str) -> str:
    """Return what names a file in the list: a digest, so that no path comes from a browser."""
    return hashlib.blake2b(path.encode("utf-8", "surrogateescape"), digest_size=8).hexdigest()


def waiting_row(path: str, place: str) -> MusicRow:
    """Return the row of the file at a path, in an opened place, that nobody has heard yet."""
    title = Path(path).stem.replace("_", " ")
    return MusicRow(row_id(path), path, title, place, RowState.WAITING)


def energy_strip(analysis: RhythmAnalysis, spans: int = STRIP_SPANS) -> str:
    """Return the energy in an analysis over equal spans, a digit each, "-" outside phrases.

    >>> from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind
    >>> high = Phrase(2.0, 4.0, 0, 32, PhraseKind.PHRASE, 0.75, EnergyLevel.HIGH)
    >>> heard = RhythmAnalysis(4.0, 120.0, 1, 1, (), (), True, 0.0, 4, (), (), (), (high,))
    >>> energy_strip(heard, spans=4)
    '--77'
    """
    step_s = analysis.duration_s / spans
    signs = []
    phrases = iter(analysis.phrases)
    phrase = next(phrases, None)
    for span in range(spans):
        middle_s = (span + 0.5) * step_s
        while phrase is not None and phrase.end_s <= middle_s:
            phrase = next(phrases, None)
        inside = phrase is not None and phrase.start_s <= middle_s
        energy = phrase.energy if phrase is not None and inside else None
        signs.append(NOTHING if energy is None else str(min(9, max(0, round(9 * energy)))))
    return "".join(signs)
