#!/bin/sh
# Makes the peers' own Python (peers/.venv) with the pinned packages.
# Quiet; a second run does nothing.
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
venv="$here/.venv"
if [ -f "$venv/installed" ] && cmp -s "$here/requirements.txt" "$venv/installed"; then
    exit 0
fi
python=${PYTHON:-python3}
if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    echo "peers: Python 3.11 or newer is wanted; set PYTHON to it" >&2
    exit 1
fi
[ -x "$venv/bin/python" ] || "$python" -m venv "$venv"
"$venv/bin/python" -m pip install --quiet --disable-pip-version-check -r "$here/requirements.txt"
cp "$here/requirements.txt" "$venv/installed"
