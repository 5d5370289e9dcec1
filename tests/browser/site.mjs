// site.mjs DIR: goes from disk through the pages that do something: tries the questions of the demo, fills in the
// answer form and saves its file, searches, and goes to the other editions. Without the demo's questions those parts are
// left out.
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(path.join(process.env.CHECK_PAGES_TOOLS, 'package.json'));
const { chromium } = require('playwright-core');

const site = path.join(fs.realpathSync(process.argv[2]), 'site');
const faults = [];
let held = 0;
function same(what, found, expected) {
  held += 1;
  if (found !== expected) faults.push(`${what}: ${JSON.stringify(found)} and not ${JSON.stringify(expected)}`);
}

/** Rows of a CSV file by its headings; cells in quotes may hold anything. */
function rows(text) {
  const all = [];
  for (const [, quoted, plain, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^,\r\n"]*))(,|\r?\n|$)/g)) {
    if (end === '' && plain === '') break;
    all.at(-1)?.open ? all.at(-1).cells.push(quoted?.replaceAll('""', '"') ?? plain) : all.push({ open: true, cells: [quoted?.replaceAll('""', '"') ?? plain] });
    if (end !== ',') all.at(-1).open = false;
  }
  const [head, ...body] = all.map(({ cells }) => cells);
  return body.map(cells => Object.fromEntries(head.map((name, at) => [name, cells[at]])));
}

const browser = await chromium.launch({ executablePath: process.env.CHECK_PAGES_CHROMIUM, args: ['--no-sandbox'] });
const context = await browser.newContext({ acceptDownloads: true, reducedMotion: 'reduce' });
async function open(page) {
  const tab = await context.newPage();
  tab.on('pageerror', error => faults.push(`${page}: ${error.message}`));
  tab.on('console', message => { if (message.type() === 'error') faults.push(`${page}: ${message.text()}`); });
  tab.on('request', request => { if (!/^(file|data|blob):/.test(request.url())) faults.push(`${page} asks for ${request.url()}`); });
  await tab.goto(pathToFileURL(path.join(site, page)).href);
  return tab;
}
/** The answers beside this file are in English. */
const isEnglish = tab => tab.evaluate(() => document.documentElement.lang.startsWith('en'));
const has = page => fs.existsSync(path.join(site, page));

if (has('workshops.html')) {
  for (const [day, open] of [['2026-05-01', 4], ['2026-06-01', 3], ['2026-12-01', 0]]) {
    const tab = await context.newPage();
    await tab.clock.setFixedTime(new Date(`${day}T12:00:00Z`));
    await tab.goto(pathToFileURL(path.join(site, 'workshops.html')).href);
    const all = await tab.locator('.workshop').count();
    if (await tab.locator('#workshop\\.north-camp').count()) {
      same(`workshops to come on ${day}`, await tab.locator('#workshops\\.next > li').count(), open);
      same(`workshops with a way to sign up on ${day}`, await tab.locator('a[href^="mailto:"].open, dd.open a').count(), open);
      same(`nothing is planned on ${day}`, await tab.locator('#workshops\\.none').isVisible(), open === 0);
    }
    same(`past workshops are shown on ${day}`, await tab.locator('#workshops\\.over').isVisible(), await tab.locator('.past > li').count() > 0);
    same(`no workshop is lost on ${day}`, await tab.locator('.workshops > li').count(), all);
    await tab.close();
  }
}

if (has('self-check.html')) {
  const tab = await open('self-check.html');
  const language = await tab.evaluate(() => document.documentElement.lang.split('-')[0]);
  const answers = `tests/browser/self-check${language === 'en' ? '' : `.${language}`}.csv`;
  for (const { question, answer, verdict } of fs.existsSync(answers) ? rows(fs.readFileSync(answers, 'utf8')) : []) {
    const at = tab.locator(`[data-question="${question}"]`);
    if (await at.count() === 0) continue;
    await at.locator('input, textarea').first().fill(answer);
    await at.locator('.check-one button').click();
    same(`self-check, ${question}, ${answer}`, (await at.locator('.says').getAttribute('class')).split(' ')[1], verdict);
  }
  // Every choice: as the answer below says.
  for (const at of await tab.locator('[data-kind="choice"], [data-kind="several"]').all()) {
    const right = await at.locator('details > p strong, details > ul strong').allTextContents();
    for (const label of await at.locator('label').all()) {
      const box = label.locator('input');
      const isRight = right.includes(await box.getAttribute('value'));
      if (await box.getAttribute('type') === 'radio' || isRight) await box.check();
      if (await box.getAttribute('type') !== 'radio') continue;
      await at.locator('.check-one button').click();
      same('self-check, a choice', (await at.locator('.says').getAttribute('class')).split(' ')[1], isRight ? 'right' : 'wrong');
    }
    if (right.length > 1) {
      await at.locator('.check-one button').click();
      same('self-check, all that are right', (await at.locator('.says').getAttribute('class')).split(' ')[1], 'right');
      await at.locator('input:checked').first().uncheck();
      await at.locator('.check-one button').click();
      same('self-check, one too few', (await at.locator('.says').getAttribute('class')).split(' ')[1], 'wrong');
    }
  }
  if (await isEnglish(tab) && await tab.locator('[data-question="camp-distance"]').count()) {
    same('self-check shows the answer', await tab.locator('.question details:not([open])').count(), 0);
  }
  // By keyboard alone: Enter at a choice checks that question and no other.
  await tab.reload();
  const first = tab.locator('[data-kind="choice"]').first();
  if (await first.count()) {
    await first.locator('input').first().focus();
    await tab.keyboard.press(' ');
    await tab.keyboard.press('Enter');
    same('self-check, Enter at a choice', await tab.locator('.says:not(:empty)').count(), 1);
  }
  // No figure, and a figure without its unit.
  for (const figure of await tab.locator('[data-kind="figure"]').all()) {
    await figure.locator('input').fill('far enough');
    await tab.keyboard.press('Enter');
    same('self-check, no figure', (await figure.locator('.says').getAttribute('class')).split(' ')[1], 'look');
    if (await figure.getAttribute('data-unit')) continue;
    await figure.locator('input').fill('7');
    await tab.keyboard.press('Enter');
    same('self-check, a figure without unit', /7 \p{L}{3,}/u.test(await figure.locator('.says').textContent()), true);
  }

  const bare = await browser.newContext({ javaScriptEnabled: false });
  const page = await bare.newPage();
  await page.goto(pathToFileURL(path.join(site, 'self-check.html')).href);
  const last = page.locator('.question').last();
  await last.locator('summary').click();
  same('without a script an answer opens', await last.locator('details > :nth-child(2)').isVisible(), true);
  same('without a script no button does nothing', await page.locator('button:visible').count(), 0);
  await bare.close();
}

if (has('answers.html')) {
  const tab = await open('answers.html');
  const status = tab.locator('[id="answers.status"]');
  await tab.locator('[type="submit"]').click();
  same('a name is asked for', (await status.textContent()).includes(await tab.locator('label[for="answers.name"]').textContent()), true);
  same('and the field is led to', await tab.evaluate(() => document.activeElement.name), 'name');
  const described = () => tab.evaluate(() => document.getElementById(document.activeElement.getAttribute('aria-describedby'))?.textContent ?? '');
  same('which says so itself', await tab.locator('[name="name"]').getAttribute('aria-invalid'), 'true');
  same('in words', (await described()).length > 0, true);
  await tab.fill('[name="name"]', 'Ana');
  same('until it is filled in', await tab.locator('[name="name"]').getAttribute('aria-invalid'), null);
  await tab.fill('[name="email"]', 'ana at mail');
  const event = tab.locator('select[name="event"]');
  if (await event.count()) await event.selectOption((await event.locator('option').last().getAttribute('value')));
  await tab.locator('[type="submit"]').click();
  same('what is no address is led to', await tab.evaluate(() => document.activeElement.name), 'email');
  same('and there is no letter', await tab.locator('[id="answers.letter"]').isVisible(), false);
  await tab.fill('[name="name"]', '=HYPERLINK("x")');
  await tab.fill('[name="email"]', 'ana@mail.example');
  await tab.fill('[name="companion"]', 'Ruiz, “Nita”');
  const texts = ['+1, "two"\n=3\n', "'=x", '@Łódź; ½', '-5 ft'];
  let at = 0;
  for (const field of await tab.locator('.question > input, .question > textarea').all()) await field.fill(texts[at++ % texts.length]);
  for (const box of await tab.locator('.question input[type="radio"], .question input[type="checkbox"]').all()) await box.check();

  await tab.locator('[type="submit"]').click();
  const letter = await tab.locator('[id="answers.text"]').inputValue();
  if (at > 2) same('the letter has the answers', letter.includes('@Łódź; ½'), true);
  const link = await tab.locator('[id="answers.open"] a').getAttribute('href');
  if (link) {
    same('the letter goes to one address', /^mailto:[^?]+\?subject=[^&]*&body=[^&]*$/.test(link), true);
    same('the letter is whole', decodeURIComponent(link.split('&body=')[1]).replaceAll('\r\n', '\n'), letter);
    same('the link is not too long', link.length <= 1900, true);
  }
  const long = tab.locator('.question textarea').last();
  if (await long.count()) {
    await long.fill('Because of the ropes. '.repeat(200));
    await tab.locator('[type="submit"]').click();
    same('what is too long for a link is not cut', await tab.locator('[id="answers.open"]').isVisible(), false);
    same('but is in the letter', (await tab.locator('[id="answers.text"]').inputValue()).includes('ropes. Because'), true);
    await long.fill(texts[(at - 1) % texts.length]);
  }

  const [saved] = await Promise.all([tab.waitForEvent('download'), tab.locator('[id="answers.save"]').click()]);
  same('the file has a plain name', /^[a-z0-9-]+\.csv$/.test(saved.suggestedFilename()), true);
  const file = fs.readFileSync(await saved.path(), 'utf8');
  // The tests of packstring read the very file back.
  const kept = 'tests/browser/answers.csv';
  if (process.env.PACKSTRING_ACCEPT) fs.writeFileSync(kept, file);
  if (await isEnglish(tab) && await tab.locator('[data-question="camp-distance"]').count()) same('the file', file, fs.readFileSync(kept, 'utf8'));
}

{
  const tab = await open('facts.html');
  const shown = () => tab.locator('.fact:visible').count();
  same('facts are folded away', await shown(), 0);
  const all = await tab.locator('.fact').count();
  const first = tab.locator('.fact').first();
  const [name, title] = [await first.getAttribute('id'), await first.locator('h3').textContent()];
  const field = tab.locator('[id="facts.filter"]');
  await field.pressSequentially(title.toUpperCase().replace('E', 'É'));
  same('a fact is found by its name', await first.isVisible(), true);
  same('and the others are not shown', await shown() < all, true);
  same('how many is said', /\d/.test(await tab.locator('[id="facts.count"]').textContent()), true);
  await field.fill('zzzqqq');
  same('what is not there leaves nothing', await shown(), 0);
  await field.fill('');
  same('who has done is where the page began', await shown(), 0);
  await tab.evaluate(name => { location.hash = name; }, name);
  await first.waitFor();
  same('who is led to a fact sees it', await first.isVisible(), true);
  await tab.locator('.group > summary').nth(1).focus();
  await tab.keyboard.press('Enter');
  same('a group opens by keyboard', await tab.locator('.group').nth(1).evaluate(group => group.open), true);

  const bare = await browser.newContext({ javaScriptEnabled: false });
  const page = await bare.newPage();
  await page.goto(pathToFileURL(path.join(site, 'facts.html')).href);
  same('without a script there is no filter', await page.locator('.filter').isVisible(), false);
  await page.locator('.group > summary').first().click();
  same('without a script a group opens', await page.locator('.fact').first().isVisible(), true);
  await page.reload();
  await page.emulateMedia({ media: 'print' });
  const heights = await page.$$eval('.fact', facts => facts.filter(fact => fact.getBoundingClientRect().height > 20 && fact.checkVisibility({ contentVisibilityAuto: true })).length);
  same('on paper every fact is there', heights, all);
  await bare.close();
}

{
  // One row of menu on the narrowest screen, and all of its ways by keyboard.
  const tab = await open('index.html');
  await tab.setViewportSize({ width: 320, height: 640 });
  await tab.evaluate(() => document.fonts.ready);
  const tops = await tab.$$eval('.main > ul a, .more > summary', links => links.map(link => Math.round(link.getBoundingClientRect().top / 8)));
  same('the menu has one row', new Set(tops).size, 1);
  await tab.locator('.more > summary').focus();
  await tab.keyboard.press('Enter');
  await tab.keyboard.press('Tab');
  same('and the rest behind a word', await tab.evaluate(() => document.activeElement.closest('.more ul') !== null), true);
}

{
  // The theme's own type, for every letter: from disk.
  const tab = await open('index.html');
  await tab.evaluate(() => document.fonts.ready);
  const devtools = await context.newCDPSession(tab);
  await devtools.send('DOM.enable');
  await devtools.send('CSS.enable');
  const { root } = await devtools.send('DOM.getDocument');
  const { nodeIds } = await devtools.send('DOM.querySelectorAll', { nodeId: root.nodeId, selector: 'h1, h2, main p, .route a, strong' });
  const used = new Set();
  for (const nodeId of nodeIds) {
    const { fonts } = await devtools.send('CSS.getPlatformFontsForNode', { nodeId });
    fonts.forEach(font => used.add(`${font.familyName}${font.isCustomFont ? '' : ' of this computer'}`));
  }
  same('the type is the theme\'s', [...used].sort().join(', '), 'Plain Page Sans, Plain Page Serif');
}

{
  // Who has chosen colors of their own sees the trail: an animal that was passed, the one here, one to come.
  const forced = await browser.newContext({ forcedColors: 'active', viewport: { width: 1280, height: 900 } });
  const tab = await forced.newPage();
  const lessons = fs.readdirSync(path.join(site, 'lessons')).filter(file => file.endsWith('.html'));
  let looked = 0;
  for (const lesson of lessons) {
    await tab.goto(pathToFileURL(path.join(site, 'lessons', lesson)).href);
    const inks = await tab.evaluate(() => ['.post.passed', '.post.here', '.post:not(.passed, .here)'].map(part => {
      const post = document.querySelector(part);
      if (!post) return null;
      const style = getComputedStyle(post);
      return `${style.forcedColorAdjust} ${style.getPropertyValue('--animal')} ${style.getPropertyValue('--load')} ${style.getPropertyValue('--outline')}`;
    }));
    if (inks.includes(null)) continue;
    looked += 1;
    same(`${lesson}: each part of the trail has a look of its own`, new Set(inks).size, 3);
    same(`${lesson}: the trail keeps its shapes`, inks.every(ink => /^none .*CanvasText/i.test(ink)), true);
  }
  same('some lesson has a trail', lessons.length < 3 || looked > 0, true);
  await forced.close();
}

// Where figures come from stands beside the text, and covers none of it.
for (const lesson of fs.readdirSync(path.join(site, 'lessons'))) {
  const tab = await open(`lessons/${lesson}`);
  for (const [width, beside] of [[1200, true], [1199, false]]) {
    await tab.setViewportSize({ width, height: 900 });
    const sources = await tab.locator('.sources').count();
    if (sources === 0) break;
    same(`${lesson}: sources beside the text at ${width} px`, await tab.locator('.sources').first().isVisible(), beside);
    const clear = await tab.evaluate(() => {
      const boxes = [...document.querySelectorAll('.sources')].map(source => source.getBoundingClientRect());
      const text = document.querySelector('article').getBoundingClientRect();
      const apart = boxes.every((box, at) => box.width === 0 || (box.left >= text.right && box.right <= innerWidth && (at === 0 || box.top >= boxes[at - 1].bottom)));
      return apart && document.documentElement.scrollWidth <= innerWidth;
    });
    same(`${lesson}: they cover nothing at ${width} px`, clear, true);
  }
  await tab.close();
}

{
  const tab = await open('search.html');
  const field = tab.locator('[id="search.words"]');
  const status = tab.locator('[id="search.count"]');
  const title = await fs.promises.readFile(path.join(site, 'facts.html'), 'utf8').then(page => /<section class="fact" id="[^"]+">\s*<h3>([^<]+)<\/h3>/.exec(page)[1]);
  // The name of a fact, in capitals and with accents that it has not.
  await field.pressSequentially(title.toUpperCase().replace('E', 'É'));
  const first = tab.locator('[id="search.results"] a').first();
  await first.waitFor();
  same('the fact is found first', await first.textContent(), title);
  await tab.keyboard.press('ArrowDown');
  same('the arrow key leads to what was found', await tab.evaluate(() => document.activeElement.textContent), title);
  await tab.keyboard.press('Enter');
  await tab.waitForURL(/facts.*#/);
  await tab.goBack();
  await first.waitFor();
  same('who comes back finds it again', await first.textContent(), title);
  await field.fill('zzzqqq');
  await tab.waitForFunction(() => document.querySelectorAll('[id="search.results"] a').length === 0);
  same('what is not there is said', /zzzqqq/.test(await status.textContent()), true);
  await field.fill('<img src=x onerror=alert(1)>');
  await tab.waitForTimeout(300);
  same('what is looked for stays letters', await tab.locator('main img').count(), 0);
}

for (const page of ['index.html', 'facts.html'].filter(has)) {
  // To each other edition and back again, from disk.
  const tab = await open(page);
  const own = tab.url();
  for (const name of await tab.locator('.editions a').allTextContents()) {
    const link = tab.locator('.editions a').filter({ hasText: name });
    const language = await link.getAttribute('hreflang');
    const named = await tab.title();
    await link.click();
    same(`${page} leads to ${name}`, await tab.evaluate(() => document.documentElement.lang), language);
    same(`${page} leads to the same page`, tab.url().split('/').at(-1), page);
    const back = await tab.$$eval('.editions a', (links, own) => links.some(link => link.href === own), own);
    same(`${page} in ${name} leads back`, back, true);
    await tab.goto(own);
    same(`${page} is as it was`, await tab.title(), named);
  }
}

await browser.close();
faults.forEach(fault => console.log(fault));
console.log(`${held} things held of the pages that do something, ${faults.length} otherwise than expected`);
process.exit(faults.length === 0 && held >= 5 ? 0 : 1);
