#!/bin/bash
# Builds the second development set below $AQUATEMPO_YARDSTICK (default: the user's cache folder).
# Needs apt, root for its index, fluidsynth and libopenmpt (build.sh installs them) and 5 GB; a
# quarter of an hour on one core. $PYTHON: an interpreter with aquatempo[dev] (default python).
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=${AQUATEMPO_YARDSTICK:-${XDG_CACHE_HOME:-$HOME/.cache}/aquatempo-yardstick}
mkdir -p "$root/workstation/packages/partial"
export AQUATEMPO_YARDSTICK=$root
cd "$here/.."

echo "== music, sound banks and the accompaniment generator: unpacked, not installed"
apt-get update -q
packages=$("${PYTHON:-python}" -m yardstick.second --packages)
"$here/unpack.sh" $packages

echo "== the workstation, its effects and the libraries it needs: unpacked, not installed"
apt-get install -q -y --no-install-recommends --download-only \
    -o Dir::Cache::archives="$root/workstation/packages" lmms caps tap-plugins
for archive in "$root/workstation/packages"/*.deb; do
    dpkg -x "$archive" "$root/workstation"
done

echo "== audio and truth"
cd "$here/.."
"${PYTHON:-python}" -m yardstick.second
