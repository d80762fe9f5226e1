"""Write PyTorch's outputs for the packaged weights, the authority a test compares with.

``python -m aquatempo.training.reference tests/authorities/network_torch.json``, after
each training.
"""

from __future__ import annotations

import hashlib
import json
import sys
from datetime import date
from importlib import resources
from pathlib import Path

import numpy as np
import torch

from aquatempo.training.net import Net, restore

__all__ = ["write_reference"]


def write_reference(path: Path) -> None:
    """Run the training network in float32 on made-up spectra and write rows of its outputs."""
    frame, band = np.arange(600)[:, None], np.arange(80)[None]
    slow, note = np.arange(150)[:, None], np.arange(64)[None]
    mel = 2 + 2 * np.sin(0.37 * frame + 0.11 * band) * np.cos(0.013 * frame * (1 + band % 7))
    pitch = 1.5 + 1.5 * np.sin(0.21 * slow * (1 + note % 5) + 0.4 * note)
    packaged = resources.files("aquatempo.rhythm").joinpath("data/network.npz")
    net = Net()
    with resources.as_file(packaged) as weights:
        restore(net, weights)
    with torch.no_grad():
        heads, tempo = net(torch.tensor(mel[None]).float(), torch.tensor(pitch[None]).float())
    header = {
        "program": f"PyTorch {torch.__version__.split('+')[0]}, float32: aquatempo.training.net",
        "settings": "packaged weights; input as in aquatempo/training/reference.py",
        "date": date.today().isoformat(),
        "weights_sha256": hashlib.sha256(packaged.read_bytes()).hexdigest(),
    }
    rows = {
        "heads_every_20_frames": heads[0, ::20].numpy(),
        "tempo_every_30_frames": tempo[0, ::30].numpy(),
    }
    lines = [f" {json.dumps(key)}: {json.dumps(value)}" for key, value in header.items()]
    for key, values in rows.items():
        shown = ",\n".join("  " + json.dumps([round(v, 6) for v in row]) for row in values.tolist())
        lines.append(f" {json.dumps(key)}: [\n{shown}\n ]")
    path.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


if __name__ == "__main__":
    write_reference(Path(sys.argv[1]))
