#!/bin/bash
# Downloads packages and unpacks them below $AQUATEMPO_YARDSTICK, without installing them.
# Usage: unpack.sh PACKAGE...
set -euo pipefail
mkdir -p "$AQUATEMPO_YARDSTICK/packages" "$AQUATEMPO_YARDSTICK/content"
cd "$AQUATEMPO_YARDSTICK/packages"
for package; do
    compgen -G "${package}_*.deb" >/dev/null || apt-get download -q "$package"
    dpkg -x "${package}"_*.deb "$AQUATEMPO_YARDSTICK/content"
done
