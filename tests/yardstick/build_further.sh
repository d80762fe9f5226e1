#!/bin/bash
# Builds the sets further_a, further_b and further_c below $AQUATEMPO_YARDSTICK (default: the
# user's cache folder). Needs apt, fluidsynth and libopenmpt (build.sh installs them) and 11 GB, of
# which 4 GB are packages; a quarter of an hour on one core.
# $PYTHON: an interpreter with aquatempo[dev] (default python).
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=${AQUATEMPO_YARDSTICK:-${XDG_CACHE_HOME:-$HOME/.cache}/aquatempo-yardstick}
export AQUATEMPO_YARDSTICK=$root
cd "$here/.."

echo "== music, sound banks and the accompaniment generator: unpacked, not installed"
apt-get update -q
packages=$("${PYTHON:-python}" -m yardstick.held further_a further_b further_c --packages)
"$here/unpack.sh" $packages

echo "== audio and truth"
"${PYTHON:-python}" -m yardstick.held further_a further_b further_c
