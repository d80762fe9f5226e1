"""What to say and show for a change: from two blocks to words, longest and shortest."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from aquatempo.cues.language import LanguagePack
from aquatempo.cues.turns import level_changes
from aquatempo.errors import InputError, UnknownNameError
from aquatempo.records.cues import CallWords, CueOptions
from aquatempo.records.plan import Block

__all__ = ["CallText", "Wording", "other_side"]

_STEP = re.compile(r"(\d+)(?:\+(\d+)([hb]))?")
_FIELDS = {"travel": "travel", "tempo": "pattern", "level": "level"}  # a block's, by factor


_AT_START = {"travel": ("in place",), "pattern": ("2",), "level": ("I", "grounded")}  # unsaid


@dataclass(frozen=True)
class _Said:
    """One thing that differs: its words, its sign and a short form or nothing."""

    words: str
    sign: str
    short: str = ""


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

        following: words for what comes after a bridge or breakdown, or empty. opener: the word
        that starts a warn, such as "next".
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
        """Return the words of one option of a factor.

        key: of the option.
        """
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
        """Return what to say when one block follows another.

        before: None at the start; after: what comes.
        """
        move, details = self.move(after.move), self._details(before, after)
        if before is None or before.move != after.move:
            signs = [move.sign, *(said.sign for said in details[:1] if after.lead)]
            first, rest = _Said(move.spoken, "; ".join(signs), move.short), details
        elif details:
            first, rest = details[0], details[1:]
        else:  # the move goes on after a bridge, or something was taken away
            goes_on = before.variation == after.variation
            back = move.spoken if goes_on else self._pack.words["back_to"].format(what=move.spoken)
            first, rest = _Said(back, move.sign, move.short or move.spoken), []
        turned = self._stint(before, after)
        if turned is not None:
            both = _unique(turned.sign, first.sign)
            what = f"{turned.words}, {first.words}"
            names = _unique(
                *(f"{turned.short}, {said}" for said in _unique(first.words, first.short)),
                turned.short,
            )
            first = _Said(what, "; ".join(both))
            seconds = f"{after.stint.seconds:.0f}" if after.stint else ""
            rest = [_Said(self._pack.words["for_seconds"].format(seconds=seconds), ""), *rest]
        else:
            names = _unique(first.words, first.short)
        return CallText(
            what=first.words,
            details=tuple(said.words for said in rest),
            names=names,
            sign=first.sign,
            planned=after.words,
        )

    def announce(self, kind: str, counts: int, before: Block | None, after: Block) -> CallText:
        """Return what to say before a bridge or breakdown ("bridge" or "break").

        kind: of the stretch; counts: its length; after: what carries it.
        """
        text = self.change(before, after)
        stays = before is not None and before.move == after.move
        move = self.move(after.move)
        turns = self._stint(before, after) is not None
        return CallText(
            what=text.what,
            details=(),
            names=text.names
            if turns
            else (self._pack.words["stay"],)
            if stays
            else _unique(move.spoken, move.short),
            sign=text.sign if turns else move.sign,
            announcement=self._pack.words[kind].format(counts=self._pack.number(counts)),
            warn_sign=self._pack.signs[kind],
            planned=after.words,
        )

    def _stint(self, before: Block | None, after: Block) -> _Said | None:
        """Return what to say where work or rest begins, None where it does not."""
        stint, pack = after.stint, self._pack
        if stint is None or (before is not None and before.stint == stint):
            return None
        kind = "work" if stint.works else "rest"
        words = pack.words[f"{kind}_set"].format(
            number=pack.number(stint.number), of=pack.number(stint.of)
        )
        return _Said(words, pack.signs[kind], pack.words[kind])

    def _details(self, before: Block | None, after: Block) -> list[_Said]:
        """Return all that differs: side, direction, tempo option, level, then style."""
        pack, found = self._pack, []
        new_move = before is None or before.move != after.move
        if after.lead and (before is None or new_move or before.lead != after.lead):
            own, side = pack.side_names[other_side(after.lead)], pack.side_names[after.lead]
            sign = pack.signs["side"].format(side=side, own=own)
            found.append(_Said(_entry(pack.sides, after.lead, "lead"), sign, side))
        old = {} if before is None else dict(before.variation)
        options = {
            factor: self.option(factor, key)
            for factor, key in after.variation
            if old.get(factor) != key or (new_move and factor not in _FIELDS)
        }
        for factor, field in _FIELDS.items():
            option = options.pop(factor, None)
            if option is not None:
                found.append(_option(option))
            elif _field_changes(field, before, after):
                found.append(self._field(factor, getattr(after, field)))
        return found + [_option(option) for option in options.values()]

    def _field(self, factor: str, value: str) -> _Said:
        """Return what the language says of a field that no option of the catalogue names."""
        pack = self._pack
        if factor == "tempo":
            words = self.tempo(value)
            sign = pack.tempo_signs.get(value) or pack.tempo_signs["pattern"].format(pattern=value)
        else:
            texts, signs = {
                "travel": (pack.travel, pack.travel_signs),
                "level": (pack.level, pack.level_signs),
            }[factor]
            words, sign = _entry(texts, value, factor), signs[value]
        return _Said(words, sign, pack.short.get(words, ""))

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


def _field_changes(field: str, before: Block | None, after: Block) -> bool:
    if field == "level" and before is not None:
        return level_changes(before, after)
    usual = _AT_START[field] if before is None else (getattr(before, field),)
    return getattr(after, field) not in usual


def _option(words: CallWords) -> _Said:
    return _Said(words.spoken, words.sign, words.short)


def _entry(table: Mapping[str, str], key: str, kind: str) -> str:
    try:
        return table[key]
    except KeyError:
        raise UnknownNameError(kind, key, table) from None
