// Draws sheets with three programs (Chromium, resvg, librsvg) and compares the pictures; parses
// each file with xmllint first.
//
//   npm install playwright-core@1.65.1 @resvg/resvg-js@2.6.2 pngjs@7.0.0
//   apt-get install chromium librsvg2-bin libxml2-utils
//   node tests/scripts/picture_diff.mjs FONT_FOLDER SHEET.svg...
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

const require = createRequire(path.join(process.cwd(), 'package.json'));
const { chromium } = require('playwright-core');
const { Resvg } = require('@resvg/resvg-js');
const { PNG } = require('pngjs');

const DPI = 150;
// Share of pixels that may differ: a thousandth of a page is a blot of 5 mm across.
const ALLOWED = 0.001;
const fonts = path.resolve(process.argv[2]);
const files = process.argv.slice(3).map(f => path.resolve(f));
const work = mkdtempSync(path.join(os.tmpdir(), 'sheets-'));
// librsvg finds fonts through fontconfig: a configuration that knows only the bundled ones.
writeFileSync(path.join(work, 'fonts.conf'),
  `<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig><dir>${fonts}</dir><cachedir>${work}</cachedir></fontconfig>`);
const fontFiles = readdirSync(fonts).filter(f => f.endsWith('.ttf')).map(f => path.join(fonts, f));

function differing(a, b) {
  const w = Math.min(a.width, b.width), h = Math.min(a.height, b.height);
  const far = (x, y, u, v) => {
    const i = 4 * (y * a.width + x), j = 4 * (v * b.width + u);
    return Math.max(Math.abs(a.data[i] - b.data[j]), Math.abs(a.data[i + 1] - b.data[j + 1]), Math.abs(a.data[i + 2] - b.data[j + 2])) > 96;
  };
  let n = 0;
  for (let y = 1; y < h - 1; y++) for (let x = 1; x < w - 1; x++) {
    if (!far(x, y, x, y)) continue;
    let match = false;
    for (let v = -1; v <= 1 && !match; v++) for (let u = -1; u <= 1 && !match; u++) match = !far(x, y, x + u, y + v);
    if (!match) n++;
  }
  return n / (w * h);
}

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'] });
let failed = 0;
for (const file of files) {
  execFileSync('xmllint', ['--noout', '--nonet', file]);
  const text = readFileSync(file, 'utf8');
  const mm = /width="([\d.]+)mm"/.exec(text)[1];
  const width = Math.round(mm / 25.4 * DPI);
  const height = Math.round(/height="([\d.]+)mm"/.exec(text)[1] / 25.4 * DPI);
  const resvg = PNG.sync.read(Buffer.from(new Resvg(text, { fitTo: { mode: 'width', value: width }, font: { fontFiles, loadSystemFonts: false, defaultFontFamily: 'Crossgrain Sheet' } }).render().asPng()));
  const rsvg = PNG.sync.read(execFileSync('rsvg-convert', ['-w', width, '-h', height, file], { env: { ...process.env, FONTCONFIG_FILE: path.join(work, 'fonts.conf') }, maxBuffer: 1 << 28 }));
  const page = await browser.newPage({ viewport: { width, height } });
  await page.setContent(`<style>body{margin:0}img{display:block;width:${width}px;height:${height}px}</style><img src="data:image/svg+xml;base64,${Buffer.from(text).toString('base64')}">`);
  await page.waitForTimeout(500);
  const chrome = PNG.sync.read(await page.screenshot());
  await page.close();
  for (const [name, a, b] of [['Chromium and resvg', chrome, resvg], ['Chromium and librsvg', chrome, rsvg], ['resvg and librsvg', resvg, rsvg]]) {
    const share = differing(a, b);
    const ok = share <= ALLOWED;
    if (!ok) failed++;
    console.log(`${ok ? 'ok  ' : 'FAIL'} ${path.basename(file)}: ${name} differ in ${(100 * share).toFixed(4)}% of pixels`);
  }
}
await browser.close();
process.exit(failed ? 1 : 0);
