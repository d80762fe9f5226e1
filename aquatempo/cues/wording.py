"""What to say and show for a change: from two blocks to words, longest and shortest."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from aquatempo.cues.language import LanguagePack
from aquatempo.errors import InputError, UnknownNameError
from aquatempo.records.cues import CallWords, CueOptions
from aquatempo.records.plan import Block

__all__ = ["CallText", "Wording", "other_side"]

_STEP = re.compile(r"(\d+)(?:\+(\d+)([hb]))?")
_OWN_FIELD = {"tempo": "pattern", "level": "level"}  # factors that a block also has a field for


@dataclass(frozen=True)
class CallText:
    """The words and signs of one change.

    what, then details in order of importance, make the warn; names are tried in
    order for the call itself. announcement goes before the rest (bridge, breakdown).
    """

    what: str
    details: tuple[str, ...]
    names: tuple[str, ...]
    sign: str
    announcement: str = ""
    warn_sign: str = ""
    planned: str = ""

    def warns(self, following: str, opener: str) -> tuple[str, ...]:
        """Return the wordings of the warn, fullest first.

        following: words for what comes after a bridge or breakdown, or empty.
        """
        if self.planned:
            return (self.planned, self.names[-1])
        if self.announcement:
            parts = [self.announcement, *self.names[:1], *([following] if following else [])]
            texts = [", ".join(parts[:n]) for n in range(len(parts), 0, -1)]
            return (*texts, self.announcement.partition(",")[0])
        parts = [f"{opener} {self.what}", *self.details]
        texts = [", ".join(parts[:n]) for n in range(len(parts), 0, -1)]
        return (*texts, f"{opener} {self.names[-1]}", self.names[-1])


class Wording:
    """Turns blocks into words in one language, with the instructor's own names over it."""

    def __init__(self, pack: LanguagePack, words: Iterable[CallWords], options: CueOptions) -> None:
        names, signs = dict(options.own_names), dict(options.own_signs)
        self._pack = pack
        self._words: dict[tuple[str, str], CallWords] = {}
        for given in words:
            local = pack.localise(given)
            if not given.factor:
                own = names.get(given.key)
                local = CallWords(
                    key=given.key,
                    name=own or local.name,
                    spoken=own or local.spoken,
                    short="" if own else local.short,
                    sign=signs.get(given.key, local.sign),
                )
            self._words[given.factor, given.key] = local

    def move(self, key: str) -> CallWords:
        """Return the words of a move; raise UnknownNameError where there are none."""
        return self._find("", key)

    def option(self, factor: str, key: str) -> CallWords:
        """Return the words of one option of a factor."""
        return self._find(factor, key)

    def tempo(self, pattern: str) -> str:
        """Return a pattern in words: a tempo option, or its counts one after the other."""
        tempo = self._pack.tempo
        if pattern in tempo:
            return tempo[pattern]
        steps = []
        for step in pattern.split("-"):
            match = _STEP.fullmatch(step.strip())
            if match is None:
                raise InputError(
                    f"pattern {pattern!r}: needs counts a movement such as 2, 2-2-4 or 2+2h"
                )
            moving = self._pack.number(int(match[1]))
            kind = {"h": "held", "b": "bounced"}.get(match[3] or "")
            steps.append(tempo[kind].format(moving=moving) if kind else moving)
        return " ".join(steps)

    def change(self, before: Block | None, after: Block) -> CallText:
        """Return what to say when one block follows another."""
        move = self.move(after.move)
        if before is None or before.move != after.move:
            details = self._details(before, after)
            return CallText(
                what=move.spoken,
                details=tuple(text for text, _ in details),
                names=_unique(move.spoken, move.short),
                sign="; ".join([move.sign, *(sign for _, sign in details[:1] if after.lead)]),
                planned=after.words,
            )
        details, short = self._details(before, after), self._short(before, after)
        if not details:  # the move goes on after a bridge, or something was taken away
            goes_on = before.variation == after.variation
            back = self._pack.words["back_to"].format(what=move.spoken)
            details = [(move.spoken if goes_on else back, move.sign)]
            short = move.short or move.spoken
        said, sign = details[0]
        return CallText(
            what=said,
            details=tuple(text for text, _ in details[1:]),
            names=_unique(said, short),
            sign=sign,
            planned=after.words,
        )

    def announce(self, kind: str, counts: int, before: Block | None, after: Block) -> CallText:
        """Return what to say before a bridge or breakdown ("bridge" or "break")."""
        text = self.change(before, after)
        stays = before is not None and before.move == after.move
        move = self.move(after.move)
        return CallText(
            what=text.what,
            details=(),
            names=(self._pack.words["stay"],) if stays else _unique(move.spoken, move.short),
            sign=move.sign,
            announcement=self._pack.words[kind].format(counts=self._pack.number(counts)),
            warn_sign=self._pack.signs[kind],
            planned=after.words,
        )

    def _details(self, before: Block | None, after: Block) -> list[tuple[str, str]]:
        """Return (words, sign) of all that differs, most important first."""
        pack, found = self._pack, []
        new_move = before is None or before.move != after.move
        if after.lead and (new_move or before is None or before.lead != after.lead):
            sign = pack.signs["side"].format(
                side=pack.side_names[after.lead], own=pack.side_names[other_side(after.lead)]
            )
            found.append((pack.sides[after.lead], sign))
        old = dict(before.variation) if before is not None and not new_move else {}
        set_factors = [
            (factor, self.option(factor, key))
            for factor, key in after.variation
            if old.get(factor) != key and not _told_by_field(factor, before, after)
        ]
        moved = before.travel if before is not None else "in place"
        if after.travel != moved and not any(factor == "travel" for factor, _ in set_factors):
            found.append((_entry(pack.travel, after.travel, "travel"),
                          pack.travel_signs[after.travel]))  # fmt: skip
        travel = [(o.spoken, o.sign) for factor, o in set_factors if factor == "travel"]
        style = [(o.spoken, o.sign) for factor, o in set_factors if factor != "travel"]
        found += travel
        changed = [] if new_move else style
        if after.pattern != (before.pattern if before is not None else "2"):
            sign = pack.tempo_signs.get(after.pattern) or pack.tempo_signs["pattern"].format(
                pattern=after.pattern
            )
            changed.append((self.tempo(after.pattern), sign))
        if before is not None and before.level != after.level:
            changed.append(
                (_entry(pack.level, after.level, "level"), pack.level_signs[after.level])
            )
        return found + changed + (style if new_move else [])

    def _short(self, before: Block, after: Block) -> str:
        old = dict(before.variation)
        if after.lead and before.lead != after.lead:
            return self._pack.side_names[after.lead]
        shorts = [
            self.option(factor, key).short
            for factor, key in after.variation
            if old.get(factor) != key and not _told_by_field(factor, before, after)
        ]
        return shorts[0] if len(shorts) == 1 else ""

    def _find(self, factor: str, key: str) -> CallWords:
        try:
            return self._words[factor, key]
        except KeyError:
            known = [k for f, k in self._words if f == factor]
            kind = f"option of {factor}" if factor else "move"
            raise UnknownNameError(kind, key, known) from None


def other_side(side: str) -> str:
    """Return the side that an instructor facing the class shows for the class's side."""
    return {"right": "left", "left": "right"}.get(side, "")


def _unique(*texts: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for text in texts if text))


def _told_by_field(factor: str, before: Block | None, after: Block) -> bool:
    field = _OWN_FIELD.get(factor)
    return field is not None and (before is None or getattr(before, field) != getattr(after, field))


def _entry(table: Mapping[str, str], key: str, kind: str) -> str:
    try:
        return table[key]
    except KeyError:
        raise UnknownNameError(kind, key, table) from None
