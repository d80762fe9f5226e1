#!/bin/bash
# Builds the sets further_a and further_b below $AQUATEMPO_YARDSTICK (default: the user's cache
# folder). Needs apt, fluidsynth and libopenmpt (build.sh installs them) and 9 GB, of which 3 GB are
# packages; ten minutes on one core. $PYTHON: an interpreter with aquatempo[dev] (default python).
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=${AQUATEMPO_YARDSTICK:-${XDG_CACHE_HOME:-$HOME/.cache}/aquatempo-yardstick}
export AQUATEMPO_YARDSTICK=$root
cd "$here/.."

echo "== music, sound banks and the accompaniment generator: unpacked, not installed"
apt-get update -q
packages=$("${PYTHON:-python}" -m yardstick.held further_a further_b --packages)
"$here/unpack.sh" $packages

echo "== audio and truth"
"${PYTHON:-python}" -m yardstick.held further_a further_b
