#!/usr/bin/env bash
# Checks the pages outside our own code: sheets, charts and season pages against the tables of the
# SVG standard and in three programs that draw SVG, the PDF with poppler, the printed scale with
# geodesics, the book in headless Chromium with axe-core.
#
#   tests/scripts/check_pages.sh PROGRAM      (PROGRAM: the built crossgrain)
#
# Installs what it needs: Debian's packages as root, npm's and Python's with pinned versions into a
# folder under the target folder. Leaves with 3 and says so where that cannot be done, so that a runner can
# tell a skip from a pass.
set -euo pipefail
program=$(realpath "$1")
top=$(cd "$(dirname "$0")/../.." && pwd)
scripts=$top/tests/scripts
target=${CARGO_TARGET_DIR:-$top/target}
kept=$target/check-pages
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
skip() { echo "SKIPPED: the pages were not checked: $1"; exit 3; }

missing() { for tool in chromium rsvg-convert xmllint pdfinfo; do command -v "$tool" || echo "$tool" >&3; done 3>&1 >/dev/null; }
if [ -n "$(missing)" ]; then
  [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null ||
    skip "$(missing | tr '\n' ' ')missing; apt-get install chromium librsvg2-bin libxml2-utils poppler-utils"
  (apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends \
    chromium librsvg2-bin libxml2-utils poppler-utils) >"$work/apt.log" 2>&1 </dev/null ||
    { tail -n 3 "$work/apt.log"; skip "apt-get cannot install $(missing | tr '\n' ' ')"; }
fi
command -v node >/dev/null && command -v npm >/dev/null || skip "node and npm are missing"

# Exact versions; none of the four brings another package but resvg's own build for the platform.
packages=(playwright-core@1.65.1 axe-core@4.14.1 @resvg/resvg-js@2.6.2 pngjs@7.0.0)
mkdir -p "$kept"
if [ "$(cat "$kept/installed" 2>/dev/null)" != "${packages[*]}" ]; then
  echo '{"private": true}' >"$kept/package.json"
  (cd "$kept" && npm install --no-audit --no-fund --no-package-lock "${packages[@]}") >"$work/npm.log" 2>&1 </dev/null ||
    { tail -n 3 "$work/npm.log"; skip "npm cannot install ${packages[*]}"; }
  echo "${packages[*]}" >"$kept/installed"
fi
python=$target/check-venv/bin/python
"$scripts/check_venv.sh" "$target/check-venv" >"$work/venv.log" 2>&1 || skip "$(tail -n 1 "$work/venv.log")"
export CROSSGRAIN_NODE_PACKAGES=$kept
echo "with $(chromium --version 2>/dev/null || echo Chromium), $(rsvg-convert --version), ${packages[*]}"

cd "$work"
# Exit 1 means that the plan has something to look at; the pages are there all the same.
run() { "$program" "$@" >run.log 2>&1 || [ $? -eq 1 ] || { cat run.log; exit 1; }; }
course=$top/samples/quillback.geojson
light=(--mower "$top/samples/light-five.json")

# What a crew prints: every pattern on one fairway, two fairways in one book, the other paper,
# language and units, a chart, the season.
run plan "$course" "${light[@]}" --only 3,8 --pattern stripes,loops --book --out fair
run plan "$course" --only 8 --pattern cross,contour,half-and-half,rings --out more
run plan "$course" --only 7 --pattern loops --paper a4 --units metric --language es --out metric
run size "$course" --only 3,8 --out size
run season "$course" --only 3 --out season

"$python" "$scripts/svg_conforms.py" */*.svg "$top"/tests/golden/*.svg
"$python" "$scripts/true_scale.py" "$course" fair more metric
mapfile -t season < <(find season -name '*.svg' | sort | head -n 2)
node "$scripts/picture_diff.mjs" "$top/crates/render/font" "$top"/tests/golden/*.svg more/*.svg metric/*.svg size/*.svg "${season[@]}"
# In the order of the pages: the overview first, then fairway by fairway as asked for.
node "$scripts/picture_diff.mjs" "$top/crates/render/font" --pdf fair/sheets.pdf 2 \
  fair/fairway-{3,8}-{stripes,loops}.svg

sheets=$(find fair -name '*.svg' | wc -l)
pages=$(pdfinfo fair/sheets.pdf | awk '/^Pages:/ {print $2}')
[ "$pages" -eq $((sheets + 1)) ] || { echo "FAIL $pages pages in the PDF for $sheets sheets and an overview"; exit 1; }
# By way of a file: grep stops reading at the first hit, which pipefail would take for a fault.
pdftotext fair/sheets.pdf fair/sheets.txt
grep -q WARNING fair/sheets.txt || { echo "FAIL the PDF's text cannot be searched"; exit 1; }
echo "ok   the PDF has $pages pages with text that can be searched"

node "$scripts/book_in_browser.mjs" fair/book.html

# The same course with names that try to break out.
"$python" - "$course" hostile.geojson <<'PY'
import json, sys
course = json.load(open(sys.argv[1]))
course["name"] = "</script><script>window.hacked=1</script>\"'&lt;"
names = {"3": "<img src=x onerror=window.hacked=2> \u0645\u0631\u062d\u0628\u0627 \U0001F3CC", "8": "x" * 10000}
keep = []
for f in course["features"]:
    p = f["properties"]
    key = p.get("name") if p.get("role") in ("fairway", "green", "tee", "hole", "way-in") else p.get("hole")
    if p.get("role") in ("fairway", "hole", "way-in", "green", "tee"):
        if key not in names:
            continue
        p["name"] = names[key]
    keep.append(f)
course["features"] = keep
json.dump(course, open(sys.argv[2], "w"))
PY
run plan hostile.geojson "${light[@]}" --book --out hostile
[ "$(find hostile -name '*.svg' | wc -l)" -eq 2 ] || { echo "FAIL two hostile sheets were asked for"; exit 1; }
"$python" "$scripts/svg_conforms.py" hostile/*.svg
node "$scripts/book_in_browser.mjs" hostile/book.html --hostile
echo "ok   hostile names leave sound sheets and a book that runs nothing of theirs"
