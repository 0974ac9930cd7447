// Draws sheets with three programs (Chromium, resvg, librsvg) and compares the pictures; with
// `--pdf FILE PAGE` the PDF's pages from PAGE on, drawn by poppler, as well.
//
//   npm install playwright-core@1.65.1 @resvg/resvg-js@2.6.2 pngjs@7.0.0
//   apt-get install chromium librsvg2-bin poppler-utils
//   node tests/scripts/picture_diff.mjs FONT_FOLDER [--pdf SHEETS.pdf PAGE] SHEET.svg...
//
// CROSSGRAIN_DIFF_FOLDER keeps a picture of each pair that differs: the first grey, the differing
// pixels red.
//
// A pixel counts as different when none of the nine pixels about the same place in the other
// picture is within 96 of 255 in every channel: anti-aliasing differs by program, marks do not.
import { createRequire } from 'node:module';
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync, mkdtempSync, readdirSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import os from 'node:os';
import path from 'node:path';
import process from 'node:process';

// The packages are looked for where the script is started, unless a folder is named.
const require = createRequire(path.join(process.env.CROSSGRAIN_NODE_PACKAGES || process.cwd(), 'package.json'));
const { chromium } = require('playwright-core');
const { Resvg } = require('@resvg/resvg-js');
const { PNG } = require('pngjs');

const DPI = 150;
// Share of pixels that may differ: a thousandth of a page is a blot of 5 mm across.
// Edges of small type differ between programs: two in a thousand on a full sheet. Another font differs
// in five and more.
const ALLOWED = 0.003;
const fonts = path.resolve(process.argv[2]);
const rest = process.argv.slice(3);
const pdf = rest[0] === '--pdf' ? { file: path.resolve(rest[1]), page: Number(rest[2]) } : null;
const files = rest.slice(pdf ? 3 : 0).map(f => path.resolve(f));
if (!files.length) { console.log('FAIL no files'); process.exit(1); }
const work = mkdtempSync(path.join(os.tmpdir(), 'sheets-'));
// librsvg finds fonts through fontconfig: a configuration that knows only the bundled ones.
writeFileSync(path.join(work, 'fonts.conf'),
  `<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig><dir>${fonts}</dir><cachedir>${work}</cachedir></fontconfig>`);
const fontFiles = readdirSync(fonts).filter(f => f.endsWith('.ttf')).map(f => path.join(fonts, f));

const keep = process.env.CROSSGRAIN_DIFF_FOLDER;
function differing(a, b, name) {
  const w = Math.min(a.width, b.width), h = Math.min(a.height, b.height);
  const far = (x, y, u, v) => {
    const i = 4 * (y * a.width + x), j = 4 * (v * b.width + u);
    return Math.max(Math.abs(a.data[i] - b.data[j]), Math.abs(a.data[i + 1] - b.data[j + 1]), Math.abs(a.data[i + 2] - b.data[j + 2])) > 96;
  };
  let n = 0;
  const shown = keep ? new PNG({ width: w, height: h }) : null;
  if (shown) for (let i = 0; i < w * h; i++) {
    const j = 4 * (Math.floor(i / w) * a.width + i % w), grey = 128 + (a.data[j] + a.data[j + 1] + a.data[j + 2]) / 6;
    shown.data.set([grey, grey, grey, 255], 4 * i);
  }
  for (let y = 1; y < h - 1; y++) for (let x = 1; x < w - 1; x++) {
    if (!far(x, y, x, y)) continue;
    let match = false;
    for (let v = -1; v <= 1 && !match; v++) for (let u = -1; u <= 1 && !match; u++) match = !far(x, y, x + u, y + v);
    if (!match) {
      n++;
      shown?.data.set([220, 0, 0, 255], 4 * (y * w + x));
    }
  }
  if (shown && n) writeFileSync(path.join(keep, `${name}.png`), PNG.sync.write(shown));
  return n / (w * h);
}

// Pages without the font inside, the golden ones, are drawn with the bundled one, whatever the machine has.
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'], env: { ...process.env, FONTCONFIG_FILE: path.join(work, 'fonts.conf') } });
let failed = 0;
const page = await browser.newPage();
for (const [index, file] of files.entries()) {
  const text = readFileSync(file, 'utf8');
  const mm = /width="([\d.]+)mm"/.exec(text)[1];
  const width = Math.round(mm / 25.4 * DPI);
  const height = Math.round(/height="([\d.]+)mm"/.exec(text)[1] / 25.4 * DPI);
  const resvg = PNG.sync.read(Buffer.from(new Resvg(text, { fitTo: { mode: 'width', value: width }, font: { fontFiles, loadSystemFonts: false, defaultFontFamily: 'Crossgrain Sheet' } }).render().asPng()));
  const rsvg = PNG.sync.read(execFileSync('rsvg-convert', ['-w', width, '-h', height, file], { env: { ...process.env, FONTCONFIG_FILE: path.join(work, 'fonts.conf') }, maxBuffer: 1 << 28 }));
  await page.setViewportSize({ width, height });
  await page.setContent(`<style>body{margin:0}img{display:block;width:${width}px;height:${height}px}</style><img src="data:image/svg+xml;base64,${Buffer.from(text).toString('base64')}">`);
  // The picture is drawn when it is decoded; two frames later it is on the screen.
  await page.evaluate(() => document.querySelector('img').decode().then(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))));
  const chrome = PNG.sync.read(await page.screenshot());
  const pairs = [['Chromium and resvg', chrome, resvg], ['Chromium and librsvg', chrome, rsvg], ['resvg and librsvg', resvg, rsvg]];
  if (pdf) {
    const n = String(pdf.page + index);
    const paper = execFileSync('pdftocairo', ['-r', String(DPI), '-f', n, '-l', n, '-png', '-singlefile', pdf.file, '-'], { maxBuffer: 1 << 28 });
    pairs.push(['Chromium and the PDF', chrome, PNG.sync.read(paper)]);
  }
  for (const [name, a, b] of pairs) {
    const share = differing(a, b, `${path.basename(file, '.svg')}-${name.replaceAll(' ', '-')}`);
    // A pixel more or less of page is rounding.
    const ok = share <= ALLOWED && Math.abs(a.width - b.width) <= 1 && Math.abs(a.height - b.height) <= 1;
    if (!ok) failed++;
    console.log(`${ok ? 'ok  ' : 'FAIL'} ${path.basename(file)}: ${name} differ in ${(100 * share).toFixed(4)}% of pixels`);
  }
}
await browser.close();
process.exit(failed ? 1 : 0);
