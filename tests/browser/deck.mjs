// deck.mjs DIR: goes through every deck of a finished folder from disk, as a presenter would: each slide can be seen
// whole, keys lead on and back, addresses lead to slides, and the presenter's window goes along both ways.
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(path.join(process.env.CHECK_PAGES_TOOLS, 'package.json'));
const { chromium } = require('playwright-core');

const site = path.join(fs.realpathSync(process.argv[2]), 'site');
const folder = path.join(site, 'slides');
const events = fs.existsSync(folder) ? fs.readdirSync(folder).map(name => path.join(folder, name)) : [];
const decks = [path.join(site, 'slides.html'), ...events].filter(deck => deck.endsWith('.html'));

const faults = [];
const browser = await chromium.launch({ executablePath: process.env.CHECK_PAGES_CHROMIUM, args: ['--no-sandbox'] });
for (const deck of decks) {
  const told = what => faults.push(`${path.relative(site, deck)}: ${what}`);
  const context = await browser.newContext({ viewport: { width: 1280, height: 720 }, reducedMotion: 'reduce' });
  const tab = await context.newPage();
  tab.on('pageerror', error => told(error.message));
  await tab.goto(pathToFileURL(deck).href);
  const shown = () => tab.$eval('.slide.here', slide => slide.id);
  const ids = await tab.$$eval('.slide', slides => slides.map(slide => slide.id));
  for (const id of ids) {
    if ((await shown()) !== id) told(`${id} is not the next slide`);
    const over = await tab.$eval('.slide.here', slide =>
      Math.max(slide.scrollHeight - slide.clientHeight, slide.scrollWidth - slide.clientWidth));
    if (over > 1) told(`${id} is ${over} px more than can be seen`);
    await tab.keyboard.press('ArrowRight');
  }
  await tab.keyboard.press('Home');
  if ((await shown()) !== ids[0]) told('Home does not lead to the first slide');

  const [presenter] = await Promise.all([context.waitForEvent('page'), tab.keyboard.press('p')]);
  await presenter.waitForSelector('.reading');
  await presenter.keyboard.press('ArrowRight');
  await tab.waitForFunction(id => document.querySelector('.slide.here').id === id, ids[1], { timeout: 2000 })
    .catch(() => told('the deck does not follow the presenter’s window'));
  await tab.keyboard.press('ArrowRight');
  await presenter.waitForFunction(id => location.hash === `#${id}`, encodeURIComponent(ids[2]), { timeout: 2000 })
    .catch(() => told('the presenter’s window does not follow the deck'));
  await context.close();
}
await browser.close();
faults.forEach(fault => console.log(fault));
console.log(`${decks.length} decks gone through, ${faults.length} faults`);
process.exit(decks.length > 0 && faults.length === 0 ? 0 : 1);
