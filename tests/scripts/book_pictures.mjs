// Takes pictures of a course book in headless Chromium: on a desk and on a phone, the drive half
// played.
//
//   node tests/scripts/book_pictures.mjs BOOK.html FOLDER
//
// Needs playwright-core and Debian's Chromium, as book_in_browser.mjs.
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import path from 'node:path';
import process from 'node:process';

const require = createRequire(path.join(process.env.CROSSGRAIN_NODE_PACKAGES || process.cwd(), 'package.json'));
const { chromium } = require('playwright-core');
const [book, folder] = process.argv.slice(2).map(p => path.resolve(p));

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'] });
for (const [name, width, height, pattern] of [['book', 1150, 1460, 'loops'], ['book-phone', 390, 844, 'stripes']]) {
  const page = await browser.newPage({ viewport: { width, height } });
  await page.goto(pathToFileURL(book).href);
  await page.waitForSelector('#sheet svg');
  await page.evaluate(() => document.fonts.ready);
  await page.click('#list button[data-fairway="7"]');
  await page.selectOption('#pattern', pattern);
  await page.evaluate(() => {
    const position = document.getElementById('position');
    position.value = 550;
    position.dispatchEvent(new Event('input'));
  });
  // On the phone the drive is what is looked at.
  if (width < 600) await page.evaluate(() => document.getElementById('which').scrollIntoView());
  else await page.evaluate(() => window.scrollTo(0, 0));
  await page.evaluate(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done))));
  await page.screenshot({ path: path.join(folder, `${name}.png`) });
  await page.close();
}
await browser.close();
