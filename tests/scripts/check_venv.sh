#!/usr/bin/env bash
# Makes the virtual environment of the reference scripts, or finds it whole.
#
#   tests/scripts/check_venv.sh FOLDER
#
# Packages come with the pinned versions of requirements.txt. An environment is whole when it holds
# the list it was made from; a half-made one, or one of other versions, is made anew. Nothing is
# downloaded when it is whole. Leaves with 3, the reason in its last line, where it cannot be made.
set -euo pipefail
folder=$1
wanted=$(dirname "$0")/requirements.txt
made=$folder/made-from.txt

if cmp -s "$wanted" "$made" && "$folder/bin/python" -c 'import numpy, scipy, shapely, pyproj' 2> /dev/null; then
  echo "as it was made: $folder"
  exit 0
fi
if [ "${CROSSGRAIN_NO_NET:-0}" = 1 ]; then
  echo "the reference libraries are not here, and CROSSGRAIN_NO_NET=1"
  exit 3
fi
rm -rf "$folder"
python3 -m venv "$folder" || { echo "python3 has no venv"; exit 3; }
"$folder/bin/python" -m pip install --quiet --disable-pip-version-check -r "$wanted" ||
  { rm -rf "$folder"; echo "pip cannot install the reference libraries"; exit 3; }
# Last, so that a broken run leaves no mark of a whole one.
cp "$wanted" "$made"
echo "made: $folder"
