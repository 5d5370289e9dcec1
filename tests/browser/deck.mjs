// deck.mjs DIR: goes through every deck of a finished folder from disk, as a presenter would: each slide can be seen
// whole, on a screen and on paper, keys and swipes lead on and back, addresses lead to slides, and the presenter's window
// goes along both ways, also after one of the two was loaded again.
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

  const at = async (window, id, what) => {
    const found = await window.waitForFunction(id => decodeURIComponent(location.hash) === `#${id}`, id, { timeout: 3000 })
      .catch(() => null);
    if (!found) told(what);
  };
  // The space bar leads on, and does not start the clock again.
  await presenter.locator('.clock button').click();
  const begun = await presenter.locator('.clock .since').textContent();
  if (!/\d/.test(begun)) told('the clock does not say when it was begun');
  await presenter.keyboard.press(' ');
  await at(tab, ids[3], 'the space bar does not lead on after the clock was started');
  const ticked = await presenter.evaluate(() => [...document.querySelectorAll('main > .slide')].findIndex(slide => slide.querySelector('.script .line')));
  if (ticked >= 0) {
    await presenter.evaluate(id => { location.hash = `#${encodeURIComponent(id)}`; }, ids[ticked]);
    await at(tab, ids[ticked], 'the deck does not follow an address of the presenter’s window');
    await presenter.locator('.reading input').first().check();
    await presenter.keyboard.press('PageDown');
    await presenter.keyboard.press('PageUp');
    if (!await presenter.locator('.reading input').first().isChecked()) told('what was ticked off is forgotten');
  }
  await presenter.reload();
  await presenter.waitForSelector('.reading');
  if (await presenter.locator('.clock .since').textContent() !== begun) told('the clock is forgotten when the presenter’s window is loaded again');
  if (ticked >= 0 && !await presenter.locator('.reading input').first().isChecked()) told('what was ticked off is forgotten when the window is loaded again');
  await presenter.keyboard.press('Home');
  await at(tab, ids[0], 'the deck does not follow a presenter’s window that was loaded again');
  await tab.reload();
  await tab.waitForTimeout(1500);
  await presenter.keyboard.press('ArrowRight');
  await at(tab, ids[1], 'a deck that was loaded again does not follow the presenter’s window');
  await tab.keyboard.press('End');
  await at(presenter, ids.at(-1), 'the presenter’s window does not follow a deck that was loaded again');
  await tab.goto(`${pathToFileURL(deck).href}#%E0%A4%A`);
  await tab.reload();
  if ((await shown()) !== ids[0]) told('an address that cannot be read does not lead to the first slide');
  await context.close();

  // Flat telephones: one line below the slide, and swipes.
  const flat = await browser.newContext({ viewport: { width: 844, height: 390 }, hasTouch: true, isMobile: true, reducedMotion: 'reduce' });
  const phone = await flat.newPage();
  await phone.goto(pathToFileURL(deck).href);
  const swipe = (from, to) => phone.evaluate(([from, to]) => {
    const touch = x => [new Touch({ identifier: 1, target: document.body, clientX: x, clientY: 200 })];
    document.body.dispatchEvent(new TouchEvent('touchstart', { bubbles: true, touches: touch(from), changedTouches: touch(from) }));
    document.body.dispatchEvent(new TouchEvent('touchend', { bubbles: true, changedTouches: touch(to) }));
  }, [from, to]);
  // Toward the start of a line leads on, whichever way the language is written.
  const [start, end] = await phone.evaluate(() => document.dir === 'rtl' ? [600, 200] : [200, 600]);
  await swipe(end, start);
  await at(phone, ids[1], 'a swipe does not lead on');
  await swipe(start, end);
  await at(phone, ids[0], 'a swipe does not lead back');
  await swipe(400, 380);
  await at(phone, ids[0], 'a touch that is no swipe leads on');
  const foot = await phone.$eval('.way', way => way.getBoundingClientRect().height);
  if (foot > 48) told(`the foot is ${foot} px high on a flat telephone`);

  // On paper: a page a slide, and each can be seen whole.
  await phone.emulateMedia({ media: 'print' });
  const clipped = await phone.evaluate(() => {
    dispatchEvent(new Event('beforeprint'));
    const over = slide => slide.scrollHeight > slide.clientHeight + 1;
    return [...document.querySelectorAll('.slide')].filter(over).map(slide => slide.id);
  });
  if (clipped.length) told(`cut off in print: ${clipped.join(', ')}`);
  await phone.emulateMedia({ media: null });
  const pdf = (await phone.pdf({ preferCSSPageSize: true })).toString('latin1');
  const sheets = Math.max(...[...pdf.matchAll(/\/Count (\d+)/g)].map(([, count]) => Number(count)));
  if (sheets !== ids.length) told(`${sheets} pages in print of ${ids.length} slides`);
  await flat.close();
}
await browser.close();
faults.forEach(fault => console.log(fault));
console.log(`${decks.length} decks gone through, ${faults.length} faults`);
process.exit(decks.length > 0 && faults.length === 0 ? 0 : 1);
