#!/usr/bin/env bash
# Checks the pages outside our own code: the book in headless Chromium with axe-core, the sheets
# in three programs that draw SVG, the PDF with poppler. Needs npm and Debian's packages; says so
# and leaves with 3 where they cannot be had, so that a runner can tell a skip from a pass.
#
#   tests/scripts/check_pages.sh PROGRAM      (PROGRAM: the built crossgrain)
set -euo pipefail
program=$(realpath "$1")
top=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

for tool in chromium rsvg-convert xmllint pdfinfo node npm; do
  command -v "$tool" >/dev/null || missing="${missing:-} $tool"
done
if [ -n "${missing:-}" ]; then
  (apt-get update -q && apt-get install -y -q chromium librsvg2-bin libxml2-utils poppler-utils) >"$work/apt.log" 2>&1 || {
    echo "skipped: cannot install$missing"; exit 3; }
fi
cd "$work"
echo '{"private": true}' >package.json
npm install --no-audit --no-fund playwright-core@1.65.1 axe-core@4.14.1 @resvg/resvg-js@2.6.2 pngjs@7.0.0 >npm.log 2>&1 || {
  echo "skipped: cannot install the npm packages"; exit 3; }

# Exit 1 means that the plan has something to look at; the pages are there all the same.
make_pages() { "$program" plan "$@" --book >plan.log 2>&1 || [ $? -eq 1 ] || { cat plan.log; exit 1; }; }

make_pages "$top/samples/quillback.geojson" --mower "$top/samples/light-five.json" --only 3,8 --pattern stripes,loops --out fair
node "$top/tests/scripts/book_in_browser.mjs" fair/book.html
node "$top/tests/scripts/picture_diff.mjs" "$top/crates/render/font" fair/*.svg
sheets=$(ls fair/*.svg | wc -l)
pages=$(pdfinfo fair/sheets.pdf | awk '/^Pages:/ {print $2}')
[ "$pages" -eq $((sheets + 1)) ] || { echo "FAIL $pages pages in the PDF for $sheets sheets and an overview"; exit 1; }
# By way of a file: grep stops reading at the first hit, which pipefail would take for a fault.
pdftotext fair/sheets.pdf fair/sheets.txt
grep -q WARNING fair/sheets.txt || { echo "FAIL the PDF's text cannot be searched"; exit 1; }
echo "ok   the PDF has $pages pages with text that can be searched"

# The same course with names that try to break out.
python3 - "$top/samples/quillback.geojson" hostile.geojson <<'PY'
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
make_pages hostile.geojson --mower "$top/samples/light-five.json" --out hostile
node "$top/tests/scripts/book_in_browser.mjs" hostile/book.html --hostile
for f in hostile/*.svg; do xmllint --noout --nonet "$f"; done
echo "ok   hostile names leave well-formed sheets"
