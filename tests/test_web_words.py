"""The page's words: the same in each language, all used, none missing, no markup anywhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import aquatempo
from aquatempo.class_shape.notes import vocabulary
from aquatempo.class_shape.themes import themes
from aquatempo.moves import catalogue
from aquatempo.records.brief import BuildWay, PartName
from aquatempo.records.ear import EarKind
from aquatempo.records.moves import ImpactLevel, Plane
from aquatempo.records.plan_page import PlanKind
from aquatempo.records.review import Severity
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.records.verdict import ImpactBand, Rating
from aquatempo.water.body import LANDMARKS
from aquatempo.web.files import LANGUAGES, page_files, words_of
from aquatempo.workflow.exporting import FORMATS, SONG_FORMATS

FOLDER = Path(aquatempo.__file__).parent / "web" / "static"
SCRIPTS = sorted(FOLDER.rglob("*.js"))
PLACE = re.compile(r"\{(\w+)\}")
LITERAL = re.compile(r"""\bt\(\s*["']([a-z]+\.[a-z_]+)["']""")
EITHER = re.compile(r"""["']([a-z]+\.[a-z_]+)["']""")
COMPOSED = re.compile(r"\bt(?:Or)?\(`([a-z]+\.[a-z_]*)\$\{")
LONGEST = 300  # lines; a script holds one idea


def keys(language: str) -> dict[str, str]:
    """Return all words of a language by part and key."""
    return {
        f"{part}.{key}": text
        for part, words in words_of(language).items()
        for key, text in words.items()
    }


def test_each_language_says_everything() -> None:
    """Every language has the same keys, in the same order, with the same places to fill."""
    english = keys("en")
    for language in LANGUAGES:
        own = keys(language)
        assert list(own) == list(english)
        for key, text in own.items():
            assert set(PLACE.findall(text)) == set(PLACE.findall(english[key])), key
            assert text.strip() == text != "", key


def test_every_word_that_is_asked_for_is_there() -> None:
    """Each key in the scripts exists; a key that is put together has words that begin so."""
    known = keys("en")
    for script in SCRIPTS:
        code = script.read_text(encoding="utf-8")
        for key in LITERAL.findall(code):
            assert key in known, f"{script.name}: {key}"
        for start in COMPOSED.findall(code):
            assert any(key.startswith(start) for key in known), f"{script.name}: {start}"


def test_no_word_is_left_over() -> None:
    """Each word is asked for somewhere, in full or by the start of its key."""
    code = "\n".join(script.read_text(encoding="utf-8") for script in SCRIPTS)
    asked = set(EITHER.findall(code))
    starts = (*COMPOSED.findall(code), "fit.")
    for key in keys("en"):
        plain = key.removesuffix("_one")
        assert key in asked or plain in asked or key.startswith(starts), key


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_value_of_a_record_has_a_word(language: str) -> None:
    """Kinds of change, of phrase and of energy are told in words, whichever comes."""
    known = keys(language)
    for change in EarKind:
        assert f"ear.kind_{change.value.replace(' ', '_')}" in known
    for kind in PhraseKind:
        assert f"ear.{kind.value}" in known
    for level in EnergyLevel:
        assert f"ear.energy_{level.value}" in known
    for kind_of_step in PlanKind:
        assert f"class.step_{kind_of_step.value.replace(' ', '_')}" in known
    for muscle in {one for move in catalogue().moves.values() for one in move.muscles}:
        assert f"share.{muscle.replace(' ', '_')}" in known
    for height in ImpactLevel:
        assert f"level.{height.value}" in known
    for severity in Severity:
        assert f"class.severity_{severity.value}" in known
    for rating in Rating:
        assert f"water.rating_{re.sub(r'[^a-z]+', '_', rating.value)}" in known
    for impact in ImpactBand:
        assert f"water.impact_{impact.value}" in known
    for mark in ("feet", *LANDMARKS):
        assert f"water.mark_{mark.replace(' ', '_')}" in known
    for note in vocabulary():
        assert f"class.note_{note.replace(' ', '_')}" in known
    for theme in themes():
        assert f"class.theme_{theme}" in known
    for name in PartName:
        assert f"class.part_{name.value.replace('-', '_')}" in known
    for way in BuildWay:
        assert f"class.build_{way.value.replace('-', '_')}" in known
    for plane in Plane:
        assert f"class.plane_{plane.value}" in known
    for form in (*FORMATS, *SONG_FORMATS):
        assert f"pool.format_{form.replace('-', '_')}" in known
    for fit in ("suits", "suits with changes", "does not suit"):
        assert f"fit.{fit.replace(' ', '_')}" in known


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_scripts_are_short_and_make_no_markup(script: Path) -> None:
    """A script says its idea at the top, stays short, and never turns text into markup or code."""
    code = script.read_text(encoding="utf-8")
    assert code.startswith("// ")
    assert len(code.splitlines()) <= LONGEST
    for word in (
        "innerHTML",
        "outerHTML",
        "insertAdjacentHTML",
        "document.write",
        "eval(",
        "http:",
        "https:",
    ):
        allowed = word == "http:" and "http://www.w3.org/2000/svg" in code
        assert word not in code or allowed, word


def test_every_file_of_the_page_is_named() -> None:
    """What a script, a sheet or the page itself names is shipped, and what is shipped is named."""
    named = {"index.html", "fonts/LICENSE.txt"}
    for name, file in page_files().items():
        if name.rpartition(".")[2] in ("html", "js", "css", "webmanifest"):
            named |= set(re.findall(r"/static/([\w./-]+)", file.read_text(encoding="utf-8")))
    assert named == set(page_files())
