#!/bin/bash
# Builds the yardstick's sets below $AQUATEMPO_YARDSTICK (default: the user's cache folder):
# programs, music, sound banks, the peers' environment, audio with truth.
# Needs apt and pip, root for apt, Python 3.11 and about 6 GB; half an hour on two cores.
# $PYTHON: an interpreter with aquatempo[dev] (default python); $PEERS: one of version 3.11.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=${AQUATEMPO_YARDSTICK:-${XDG_CACHE_HOME:-$HOME/.cache}/aquatempo-yardstick}
export AQUATEMPO_YARDSTICK=$root
music="fretsonfire-songs-sectoid simutrans-data tecnoballz-data"
banks="fluid-soundfont-gm csound-soundfont opl3-soundfont freepats avldrums.lv2-soundfont"

echo "== programs: fluidsynth and timidity play MIDI, libopenmpt plays tracker modules"
apt-get update -q
DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends \
    fluidsynth timidity libopenmpt0

echo "== music and sound banks: unpacked below the root folder, not installed"
"$here/unpack.sh" $music $banks

echo "== the peers' environment"
[ -x "$root/venv/bin/python" ] || "${PEERS:-python3.11}" -m venv "$root/venv"
"$root/venv/bin/pip" install -q --disable-pip-version-check -r "$here/requirements.txt"

echo "== audio and truth"
cd "$here/.."
"$root/venv/bin/python" -m yardstick.devset
"${PYTHON:-python}" -m yardstick.building form fresh last hard mixes

echo "== done. For example: cd tests && python -m yardstick.run aquatempo librosa --set form,hard"
