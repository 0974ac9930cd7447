// Opens a course book in headless Chromium as a crew would: plays, pauses, switches pattern and
// language, prints; listens for console errors, policy violations and requests; runs axe-core.
//
//   npm install playwright-core@1.65.1 axe-core@4.14.1     (Chromium: Debian's package)
//   node tests/scripts/book_in_browser.mjs BOOK.html [--hostile]
//
// Prints one line a check and leaves with 1 if any fails.
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import path from 'node:path';
import process from 'node:process';

// The packages are looked for where the script is started, unless a folder is named.
const require = createRequire(path.join(process.env.CROSSGRAIN_NODE_PACKAGES || process.cwd(), 'package.json'));
const { chromium } = require('playwright-core');
const axe = require.resolve('axe-core/axe.min.js');
const file = path.resolve(process.argv[2]);
const hostile = process.argv.includes('--hostile');
let failed = 0;
const check = (what, ok, detail = '') => {
  console.log(`${ok ? 'ok  ' : 'FAIL'} ${what}${detail ? ': ' + detail : ''}`);
  if (!ok) failed++;
};

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'] });
const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
const page = await context.newPage();
const errors = [], requests = [];
page.on('console', m => { if (m.type() === 'error' || m.type() === 'warning') errors.push(m.text()); });
page.on('pageerror', e => errors.push(String(e)));
page.on('request', r => { if (!r.url().startsWith('data:')) requests.push(r.url()); });
// Put in through the debugger, which the page's policy does not bind.
await page.addInitScript({ path: axe });
await page.goto(pathToFileURL(file).href);
await page.waitForSelector('#sheet svg');

check('the font is the bundled one', await page.evaluate(async () => { await document.fonts.ready; return document.fonts.check("18px 'Crossgrain Sheet'"); }));
check('no sideways scrolling on a phone', await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth + 1));

const time = () => page.textContent('#time');
const before = await time();
await page.selectOption('#speed', '60');
await page.click('#play');
await page.waitForFunction(t => document.getElementById('time').textContent !== t, before, { timeout: 20000 });
await page.click('#play');
const paused = await time();
await page.waitForTimeout(400);
check('it plays', paused !== before, paused);
check('it pauses', paused === await time());
const drawnOn = await page.evaluate(() => {
  const c = document.getElementById('drive'), d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
  let n = 0;
  for (let i = 3; i < d.length; i += 4) if (d[i]) n++;
  return n / (d.length / 4);
});
check('the drive is drawn', drawnOn > 0.01, drawnOn.toFixed(3));
await page.focus('#position');
await page.keyboard.press('End');
check('the end can be reached by keyboard', (await time()).split(' / ')[0] === (await time()).split(' / ')[1], await time());

const patterns = await page.$$eval('#pattern option', o => o.map(e => e.value));
const sheet = () => page.textContent('#sheet svg title');
const first = await sheet();
if (patterns.length > 1) {
  await page.selectOption('#pattern', patterns[1]);
  check('the pattern switches', await sheet() !== first, `${first} -> ${await sheet()}`);
}
const english = await page.textContent('#play');
await page.selectOption('#language', '1');
check('the language switches', await page.textContent('#play') !== english && await page.getAttribute('html', 'lang') === 'es', await page.textContent('#play'));
check('the sheet switches with it', await page.getAttribute('#sheet svg', 'xml:lang') === 'es');
const buttons = await page.$$('#list button');
await buttons[buttons.length - 1].focus();
await page.keyboard.press('Enter');
check('a fairway is chosen by keyboard', await buttons[buttons.length - 1].getAttribute('aria-current') === 'true');
await page.selectOption('#language', '0');

// Printing: the pages of one sheet, the pages of all.
const pages = pdf => (pdf.toString('latin1').match(/\/Type\s*\/Page\b/g) || []).length;
const one = pages(await page.pdf({ preferCSSPageSize: true }));
const shown = await page.$$eval('#sheet svg', s => s.length);
check('prints each page of one sheet', shown > 0 && one === shown, `${one} for ${shown}`);
await page.evaluate(() => { window.print = () => {}; });
await page.click('#print-all');
const leaves = await page.$$eval('#all svg', s => s.length);
const all = pages(await page.pdf({ preferCSSPageSize: true }));
check('prints every page of every sheet', leaves > 0 && all === leaves, `${all} for ${leaves}`);
await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));

// The drawn texts must lie where they were measured: the bundled font's widths are the truth.
const off = await page.evaluate(() => {
  let worst = 0;
  for (const t of document.querySelectorAll('#sheet svg text[textLength]')) {
    const k = t.getComputedTextLength() / parseFloat(t.getAttribute('textLength'));
    worst = Math.max(worst, Math.abs(k - 1));
  }
  return worst;
});
check('text is as wide as measured', off < 0.01, off.toFixed(4));

const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
const grave = result.violations.filter(v => v.impact === 'serious' || v.impact === 'critical');
check('axe-core finds no serious fault', grave.length === 0, grave.map(v => `${v.id} (${v.nodes.length}): ${v.nodes[0].html.slice(0, 80)}`).join('; ') || `${result.passes.length} rules passed`);
check('no console errors', errors.length === 0, errors.join(' | '));
check('no request leaves the page', requests.every(u => u === pathToFileURL(file).href || u === pathToFileURL(file).href + '#'), requests.slice(1).join(' '));
if (hostile) check('no hostile name has run', await page.evaluate(() => window.hacked === undefined));
await browser.close();
console.log(failed ? `${failed} checks failed` : 'all checks passed');
process.exit(failed ? 1 : 0);
