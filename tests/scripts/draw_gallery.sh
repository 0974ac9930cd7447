#!/usr/bin/env bash
# Draws samples/gallery anew, the README's pictures: a sheet of each pattern, the size chart, the
# overview, the board of a morning, the book in headless Chromium.
#
#   cargo build --release
#   tests/scripts/draw_gallery.sh target/release/crossgrain
#
# Needs what tests/scripts/check_pages.sh installs; run that first. Look at every picture before
# it is committed: what is wrong in one is to be put right in the code.
set -euo pipefail
program=$(realpath "$1")
top=$(cd "$(dirname "$0")/../.." && pwd)
scripts=$top/tests/scripts
gallery=$top/samples/gallery
export CROSSGRAIN_NODE_PACKAGES=$top/target/check-pages
python=$top/target/check-venv/bin/python
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$python" -m pip install --quiet --disable-pip-version-check pillow==13.0.0
cd "$work"
# Sheets carry the day of their plan; pictures are to be the same tomorrow.
export SOURCE_DATE_EPOCH=1809475200

# librsvg finds fonts through fontconfig: a configuration that knows only the bundled ones.
cat >fonts.conf <<XML
<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>$top/crates/render/font</dir><cachedir>$work/cache</cachedir></fontconfig>
XML
export FONTCONFIG_FILE=$work/fonts.conf
# 100 dots an inch: a sheet can be read at its full size, and three stand side by side.
picture() { rsvg-convert --dpi-x 100 --dpi-y 100 --background-color white "$1" -o "$2"; }
# Exit 1 means that the plan has something to look at; the pages are there all the same.
run() { "$program" "$@" >run.log 2>&1 || [ $? -eq 1 ] || { cat run.log; exit 1; }; }

course=$top/samples/quillback.geojson
light=(--mower "$top/samples/light-five.json")
run plan "$course" "${light[@]}" --only 8 --pattern stripes,cross,loops,contour,half-and-half,rings --out sheets
for f in sheets/fairway-8-*.svg; do
  name=${f#sheets/fairway-8-}
  picture "$f" "sheet-${name%.svg}.png"
done
run plan "$course" "${light[@]}" --only 8 --pattern stripes --language es --units metric --paper a4 --out spanish
picture spanish/fairway-8-stripes.svg sheet-spanish.png
run season "$course" --rules "$top/samples/season.json" --observations "$top/samples/scalping.csv" --no-pages --out season
told=(--radio 4 --first-tee 7:00)
run day "$course" season/programme.json --date 2027-06-04 --emergency "911, gate on County Road 4" "${told[@]}" --out day
picture day/day-2027-06-04-board.svg board.png
run day "$course" season/programme.json --date 2027-06-04 --emergency "911, portón de la carretera 4" "${told[@]}" \
  --language es --units metric --paper a4 --out dia
picture dia/day-2027-06-04-board.svg board-spanish.png
run size "$course" --out size
# A course of nine fairways takes more than one page; the first holds the whole course.
picture "$(find size -name "size-chart*.svg" | sort | head -n 1)" size-chart.png
run plan "$course" "${light[@]}" --pattern stripes,cross,loops --book --out book
pdftocairo -r 100 -f 1 -l 1 -singlefile -png book/sheets.pdf overview
unset FONTCONFIG_FILE
node "$scripts/book_pictures.mjs" book/book.html .

# Few colours are drawn, so a palette shows them all.
"$python" - "$gallery" *.png <<'PY'
import pathlib, sys
from PIL import Image
for name in sys.argv[2:]:
    picture = Image.open(name).convert("RGB").quantize(256, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    picture.save(pathlib.Path(sys.argv[1]) / name, optimize=True)
    print(name, *picture.size)
PY
