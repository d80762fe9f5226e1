"""Write the sample tracks and their truth files.

    python sample_audio/make.py [--out FOLDER] [--only NAME ...]

Needs numpy, scipy and soundfile. Everything is seeded: two runs with the same versions
of these libraries give the same samples before encoding.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path

import soundfile as sf
from studio.drums import RATE_HZ
from studio.mix import Stereo, loudness_lufs, true_peak_db
from studio.session import perform
from studio.songs import SONGS

VORBIS_QUALITY = 0.25
"""0 to 1; about 96 kbit/s in stereo."""


def write_ogg(path: Path, samples: Stereo) -> None:
    """Write Ogg Vorbis in blocks; libsndfile's encoder overflows its stack on long writes."""
    with sf.SoundFile(
        path, "w", RATE_HZ, 2, format="OGG", subtype="VORBIS", compression_level=1 - VORBIS_QUALITY
    ) as file:
        for start in range(0, len(samples), RATE_HZ):
            file.write(samples[start : start + RATE_HZ])


def main() -> None:
    """Make the tracks asked for and print one line of figures each."""
    parser = argparse.ArgumentParser(description="Write the sample tracks and their truth files.")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent)
    parser.add_argument("--only", nargs="+", choices=[song.name for song in SONGS])
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    for song in SONGS:
        if options.only and song.name not in options.only:
            continue
        samples, truth = perform(song)
        audio = options.out / f"{song.name}.ogg"
        write_ogg(audio, samples)
        decoded, _ = sf.read(audio, always_2d=True)
        record = {"file": audio.name, **asdict(truth)}
        audio.with_suffix(".json").write_text(json.dumps(record, indent=1) + "\n")
        print(
            f"{song.name:24}{truth.duration_s:6.1f} s {loudness_lufs(decoded):6.1f} LUFS "
            f"{true_peak_db(decoded):5.2f} dBTP {audio.stat().st_size / 1e6:5.2f} MB"
        )


if __name__ == "__main__":
    main()
