"""``aquatempo bench`` as people and machines see it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from conftest import Command

SAMPLES = Path(__file__).parent.parent / "sample_audio"


@pytest.fixture
def known(tmp_path: Path) -> Path:
    """Return a folder with one sample track and its truth file."""
    folder = tmp_path / "known"
    folder.mkdir()
    for suffix in (".ogg", ".json"):
        shutil.copy(SAMPLES / f"first_lengths{suffix}", folder)
    return folder


def test_bench_json_and_table_agree(aquatempo: Command, known: Path) -> None:
    """Both views hold the same beat score, and it is a share."""
    data = json.loads(aquatempo("bench", "known", "--json").stdout)
    (track,) = data["tracks"]
    assert 0.0 <= track["beat_f"] <= 1.0
    assert f"{track['beat_f']:.3f}" in aquatempo("bench", "known").stdout


@pytest.mark.parametrize("width", [60, 200])
def test_fits_the_terminal(aquatempo: Command, known: Path, width: int) -> None:
    """The table keeps to the width of the terminal."""
    run = aquatempo("bench", "known", env={"COLUMNS": str(width)})
    assert max(len(line.rstrip()) for line in run.stdout.splitlines()) <= width


def test_a_wrong_truth_scores_low(aquatempo: Command, known: Path) -> None:
    """Against a truth shifted by half a beat no beat is a hit: the score can fall."""
    truth = known / "first_lengths.json"
    data = json.loads(truth.read_text(encoding="utf-8"))
    half_beat_s = 30 / data["tempo_bpm"]
    data["beats_s"] = [time_s + half_beat_s for time_s in data["beats_s"]]
    truth.write_text(json.dumps(data), encoding="utf-8")
    (track,) = json.loads(aquatempo("bench", "known", "--json").stdout)["tracks"]
    assert track["beat_f"] < 0.1


def test_track_that_cannot_be_heard(aquatempo: Command, known: Path) -> None:
    """A track that is no audio scores 0, is reported in one line, and the exit code is 1."""
    (known / "words.mp3").write_text("no music here", encoding="utf-8")
    shutil.copy(known / "first_lengths.json", known / "words.json")
    run = aquatempo("bench", "known", "--json")
    scores = {track["file"]: track["beat_f"] for track in json.loads(run.stdout)["tracks"]}
    assert (run.returncode, scores["words.mp3"]) == (1, 0.0)
    assert len(run.stderr.splitlines()) == 1


@pytest.mark.parametrize("folder", [".", "gone"])
def test_folder_without_truth(aquatempo: Command, folder: str) -> None:
    """A folder without truth files, or none at all, is one line and exit code 1."""
    run = aquatempo("bench", folder)
    assert (run.returncode, run.stdout) == (1, "")
    assert len(run.stderr.splitlines()) == 1
