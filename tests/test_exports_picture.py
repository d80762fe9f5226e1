"""The picture of a track: all words in full, none on another, in both languages, day and dark."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from cue_cases import WORDS, heard, planned

from aquatempo.cues import timeline
from aquatempo.exports.labels import labels
from aquatempo.exports.track_picture import track_picture
from aquatempo.records.cues import CueKind, CueOptions, CueTimeline
from aquatempo.records.plan import Block
from aquatempo.records.rhythm import RhythmAnalysis

SVG = "{http://www.w3.org/2000/svg}"
WIDEST_BOLD = 0.75  # "Hampelmann" in DejaVu Sans Bold: 0.743, added up from its widths
WIDEST = 0.60  # width of a letter over its size: more than any text of ours has in DejaVu Sans


def case(language: str = "en") -> tuple[RhythmAnalysis, CueTimeline]:
    """Return a track with a change each phrase, eight or bridge, and its calls."""
    spans = [("intro", 8), *[("phrase", 32)] * 3, ("bridge", 8), *[("phrase", 32)] * 2]
    analysis = heard(spans, 132.0)
    moves = ("jog", "ski", "jack", "kick", "jog", "ski", "jack")
    blocks = [[Block(counts, move)] for (_, counts), move in zip(spans, moves, strict=True)]
    blocks[2] = [Block(16, "jack"), Block(8, "ski"), Block(8, "jack", (("arms", "press"),))]
    return analysis, timeline(analysis, planned(analysis, blocks), WORDS, CueOptions(language))


def texts(picture: str) -> list[tuple[float, float, float, str]]:
    """Return (x, y, size, words) of all texts of a picture."""
    root = ElementTree.fromstring(picture.encode())
    return [
        (float(one.attrib["x"]), float(one.attrib["y"]), float(one.attrib["font-size"]),
         "".join(one.itertext()))
        for one in root.iter(f"{SVG}text")
    ]  # fmt: skip


@pytest.mark.parametrize("language", ["en", "de"])
def test_all_calls_and_moves_stand_in_full(language: str) -> None:
    """Every call that is said, and every move's name, can be read whole; nothing ends in dots."""
    analysis, made = case(language)
    told = [words for *_, words in texts(track_picture("Lanes", analysis, [0.5] * 300, made))]
    spoken = [
        cue.words
        for cue in made.cues
        if cue.words and cue.kind not in (CueKind.COUNTDOWN, CueKind.COUNT_ONE)
    ]
    assert spoken
    assert [words for words in spoken if words not in told] == []
    for change in made.changes:
        assert all(any(word in text for text in told) for word in change.name.split())
    assert not any(text.endswith("…") for text in told)
    assert any(labels(language)["phrase"] in text for text in told)


def text_boxes(picture: str) -> list[tuple[float, float, float, float]]:
    """Return (left, top, right, bottom) of all texts of a picture, as wide as they may get."""
    boxes = []
    for one in ElementTree.fromstring(picture.encode()).iter(f"{SVG}text"):
        x, y, size = (float(one.attrib[key]) for key in ("x", "y", "font-size"))
        letter = WIDEST_BOLD if one.attrib.get("font-weight") == "bold" else WIDEST
        width = len("".join(one.itertext())) * size * letter
        left = x - width if one.attrib.get("text-anchor") == "end" else x
        boxes.append((left, y - 0.75 * size, left + width, y + 0.1 * size))
    return boxes


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_text_lies_on_another_and_no_line_strikes_through_one(language: str) -> None:
    """Boxes of texts are apart, and no stroke but a box's own edge crosses one."""
    analysis, made = case(language)
    picture = track_picture("Lanes", analysis, [0.5] * 300, made)
    boxes = text_boxes(picture)
    for number, (left, top, right, bottom) in enumerate(boxes):
        for other in boxes[number + 1 :]:
            apart = right <= other[0] or other[2] <= left or bottom <= other[1] or other[3] <= top
            assert apart, (boxes[number], other)
    root = ElementTree.fromstring(picture.encode())
    for one in root.iter(f"{SVG}line"):
        if one.attrib.get("class") != "line":
            continue
        x1, y1, x2, y2 = (float(one.attrib[key]) for key in ("x1", "y1", "x2", "y2"))
        for left, top, right, bottom in boxes:
            crosses = x1 < right and x2 > left + 1 and min(y1, y2) < bottom and max(y1, y2) > top
            assert not crosses, (one.attrib, left, top)


def test_it_is_legible_at_half_size_and_in_the_dark() -> None:
    """No letter is under 14 px at full size (7 at half); a dark ground comes with light ink."""
    analysis, made = case()
    picture = track_picture("Lanes", analysis, [], made)
    assert min(size for _, _, size, _ in texts(picture)) >= 14.0
    dark = picture.split("prefers-color-scheme: dark")[1]
    assert re.search(r"\.ground\{fill:#111\}\.ink\{fill:#fff\}", dark)


def test_a_short_box_keeps_the_side_that_changes() -> None:
    """Eights that change sides say which one, although arms and tempo have no room there."""
    analysis = heard([("phrase", 32)] * 4, 132.0)
    arms = (("arms", "press"),)
    eights = [Block(8, "ski", arms, "4", lead=side) for side in ("right", "left") * 2]
    made = timeline(analysis, planned(analysis, [eights] * 4), WORDS, CueOptions("de"))
    told = [words.split() for *_, words in texts(track_picture("Lanes", analysis, [], made))]
    sides = [words[-1] for words in told if words and words[-1] in ("R", "L")]
    assert (sides.count("R"), sides.count("L")) == (8, 8)
