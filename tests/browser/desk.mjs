// desk.mjs PROGRAM: opens the front desk of a copy of a program folder, and goes the volunteer's way through it: by pointer,
// by keyboard and without a script; two desks at one list; pages of elsewhere. Each page is held to WCAG, on a wide and a
// narrow screen and in the dark. Pictures of the pages go to the folder that DESK_PICTURES names.
import { spawn } from 'node:child_process';
import fs from 'node:fs';
import http from 'node:http';
import { createRequire } from 'node:module';
import os from 'node:os';
import path from 'node:path';
import readline from 'node:readline';

const require = createRequire(path.join(process.env.CHECK_PAGES_TOOLS, 'package.json'));
const { chromium } = require('playwright-core');
const AXE = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const BINARY = process.env.PACKSTRING ?? 'target/release/packstring';

const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'desk-'));
fs.cpSync(process.argv[2], folder, { recursive: true, filter: name => path.basename(name) !== 'out' });
const file = path.join(folder, 'people/roster.csv');
const roster = () => fs.readFileSync(file, 'utf8');
const faults = [];
const tell = (where, what) => faults.push(`${where}: ${String(what).replace(/\s+/g, ' ').slice(0, 300)}`);
const expect = (where, is, what) => { if (!is) tell(where, what); };

/** A desk of a folder, and the link that lets a browser in. */
async function open(of = folder) {
  const child = spawn(BINARY, ['front-desk', '--no-browser', '--program', of], {
    env: { ...process.env, PACKSTRING_KEYS: path.join(folder, 'keys') },
  });
  for await (const line of readline.createInterface({ input: child.stdout })) {
    if (line.includes('http://')) return { child, link: line.trim(), origin: new URL(line.trim()).origin };
  }
  throw new Error('the desk did not open');
}

const browser = await chromium.launch({
  executablePath: process.env.CHECK_PAGES_CHROMIUM,
  args: ['--no-sandbox', '--disable-dev-shm-usage'],
});

/** A browser of its own, let in at a desk. */
async function enter(desk, screen = {}) {
  const context = await browser.newContext({ viewport: { width: 1024, height: 768 }, reducedMotion: 'reduce', ...screen });
  const tab = await context.newPage();
  tab.on('pageerror', error => tell(tab.url(), `a script failed: ${error.message}`));
  tab.on('console', message => {
    if (message.type() === 'error' && !/40[49]|403/.test(message.text())) tell(tab.url(), message.text());
  });
  tab.on('request', request => {
    if (!request.url().startsWith(desk.origin) && !/^(data|about):/.test(request.url())) tell(tab.url(), `asks ${request.url()}`);
  });
  await tab.goto(desk.link);
  await tab.waitForURL(`${desk.origin}/`);
  return tab;
}

async function accessible(tab, where) {
  // The page's own policy keeps scripts of others out, and so those of the check: they come in by the browser itself.
  await tab.evaluate(AXE);
  const { violations } = await tab.evaluate(tags => globalThis.axe.run(document, { runOnly: tags }), WCAG);
  for (const { id, nodes } of violations) tell(where, `${id}: ${nodes.map(node => node.html).slice(0, 3).join(' ')}`);
}

const SCREENS = [['320', { width: 320, height: 640 }], ['1024', { width: 1024, height: 768 }], ['1600', { width: 1600, height: 1000 }]];

/** Each page on each screen, by day and by night. */
async function look(tab, name) {
  for (const colorScheme of ['light', 'dark']) {
    await tab.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    for (const [width, viewport] of SCREENS) {
      await tab.setViewportSize(viewport);
      const where = `${name}, ${width} px, ${colorScheme}`;
      const over = await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(where, over <= 0, `${over} px too wide`);
      if (width !== '1600') await accessible(tab, where);
      if (process.env.DESK_PICTURES) {
        await tab.screenshot({ path: path.join(process.env.DESK_PICTURES, `${name}-${width}-${colorScheme}.png`) });
      }
    }
  }
  await tab.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
  await tab.setViewportSize({ width: 1024, height: 768 });
}

// Where there is no program yet, the desk asks for one.
const empty = fs.mkdtempSync(path.join(os.tmpdir(), 'desk-empty-'));
const asking = await open(empty);
const unsure = await enter(asking);
await look(unsure, 'choose');
await unsure.fill('#new', path.join(empty, 'ours'));
await unsure.locator('form[action="/begin"] button').click();
await unsure.waitForSelector('.doors');
expect('begin', fs.existsSync(path.join(empty, 'ours/program.toml')), 'nothing was laid out');
await unsure.context().close();
asking.child.kill();
fs.rmSync(empty, { recursive: true });

const desk = await open();
const tab = await enter(desk);
const go = where => tab.goto(`${desk.origin}${where}`);
const before = roster();
const lines = before.split('\n');
const row = lines.findIndex(line => line.startsWith('north-camp,')) + 1;
const [, name, companion] = lines[row - 1].split(',');

await look(tab, 'today');
await go('/event/north-camp');
await look(tab, 'list');
await go(`/row/${row}`);
await tab.waitForFunction(() => document.getElementById('picture').complete);
await look(tab, 'row');
await go('/give/north-camp');
await look(tab, 'give');
await go('/labels/north-camp');
await look(tab, 'labels');
await go('/facts');
await look(tab, 'facts');
await go('/fact?name=lead%2Dlength');
await tab.fill('#value', '12 ft');
await tab.locator('.find button').click();
await tab.waitForSelector('form[action="/fact-save"]');
await look(tab, 'fact');

// Answers, one after another: by one key each, and taken back; nothing where the keys are off.
const scores = () => fs.readFileSync(path.join(folder, 'out/private/scores.csv'), 'utf8');
const decided = () => (scores().match(/,right,[a-p]{8}\r/g) ?? []).length;
await go('/answers');
await look(tab, 'answers');
const shown = () => tab.textContent('.given-answer:not(.short)');
const firstAnswer = await shown();
const next = async was => tab.waitForFunction(was => document.querySelector('.judged .given-answer')?.textContent !== was, was);
await tab.keyboard.press('r');
await next(firstAnswer);
const one = decided();
expect('answers', one > 0, 'R writes no decision');
await look(tab, 'answers-decided');
const secondAnswer = await shown();
await tab.keyboard.press('n');
await next(secondAnswer);
expect('answers', decided() === one, '“Not now” decides');
await tab.keyboard.press('w');
await tab.waitForFunction(() => document.querySelector('.done p')?.textContent.includes('wrong'));
await tab.keyboard.press('Control+r').catch(() => {});
await go('/answers');
expect('answers', decided() === one, 'a key of the browser decides');
await tab.keyboard.press('u');
await tab.waitForFunction(() => document.querySelector('.done p')?.textContent.includes('right'));
await tab.keyboard.press('u');
await tab.waitForFunction(() => !document.querySelector('.done'));
expect('answers', decided() === 0, 'decisions are not taken back');
await tab.locator('#is-right').focus();
await tab.keyboard.press('Enter');
await tab.waitForSelector('.done');
expect('answers', decided() === one, 'the button decides nothing by the keyboard');
await tab.keyboard.press('u');
await tab.waitForFunction(() => !document.querySelector('.done'));
await tab.locator('#keys').click();
await tab.waitForFunction(() => !document.querySelector('kbd'));
await tab.keyboard.press('r');
await tab.waitForTimeout(300);
expect('answers', decided() === 0, 'a key decides though the keys are off');
await tab.locator('#keys').click();

// A finding that can be written for sure.
await go(`/row/${row}`);
fs.writeFileSync(file, before.replace(name, name.replace(' ', '  ')));
await go('/findings');
await look(tab, 'findings');
const button = tab.locator('form[action="/mend"] button').first();
await button.focus();
await tab.keyboard.press('Enter');
await tab.waitForSelector('.done');
expect('findings', roster() === before, 'the mend is not what stood there before');
await look(tab, 'findings-written');

// Withdrawing asks twice; nothing is done before.
const register = () => fs.readFileSync(path.join(folder, 'records/certificates.jsonl'), 'utf8');
const records = register();
await go(`/withdraw/${row}`);
await look(tab, 'withdraw');
await tab.fill('#why', 'It was given to somebody who was not there.');
await tab.keyboard.press('Enter');
await tab.waitForSelector('#sure');
await look(tab, 'withdraw-sure');
expect('withdraw', register() === records, 'it is withdrawn before it was asked twice');

// A tick by the keyboard alone: the list does not load again, and the focus stays on the box.
await go('/event/north-camp');
const box = tab.locator(`#r${row} .tick`);
await box.focus();
const was = await box.getAttribute('aria-checked');
await tab.keyboard.press('Space');
await tab.waitForSelector('#news .done');
expect('tick', await box.getAttribute('aria-checked') !== was, 'the box is as it was');
expect('tick', roster() !== before, 'the file does not hold the tick');
expect('tick', await tab.evaluate(row => document.activeElement?.closest('li')?.id === `r${row}`, row), 'the focus is lost');
expect('tick', (await tab.textContent('#news')).includes(name), 'what was done is not told');
await look(tab, 'ticked');
await tab.locator('#news button').press('Enter');
await tab.waitForFunction(([id, was]) => document.querySelector(`#r${id} .tick`).getAttribute('aria-checked') === was, [row, was]);
expect('undo', roster() === before, 'the file is not as it was');

// A name is mended, and the certificate is drawn while it is typed.
await go(`/row/${row}`);
const field = tab.locator('.main input:not([type=hidden])').first();
const drawn = await tab.getAttribute('#picture', 'src');
await field.fill(`${name} Zz`);
await tab.waitForFunction(drawn => document.getElementById('picture').getAttribute('src') !== drawn, drawn);
await tab.waitForFunction(() => document.getElementById('picture').naturalWidth > 0);
expect('typing', roster() === before, 'what is typed is written before it is saved');
await field.press('Enter');
await tab.waitForSelector('.done');
expect('mend', roster() === before.replace(`${name},${companion}`, `${name} Zz,${companion}`), 'more or less than the name was written');
await look(tab, 'mended');
await go('/changes');
await look(tab, 'changes');

// A lesson beside its pages: at the same place when its file is saved, and a figure chosen by the keyboard.
await go('/lessons');
await look(tab, 'lessons');
const lesson = path.join(folder, 'lessons/water-and-heat.md');
const written = fs.readFileSync(lesson, 'utf8');
await go('/lesson?file=lessons%2Fwater-and-heat.md');
await tab.waitForFunction(() => [...document.querySelectorAll('.page')].every(page => page.naturalWidth > 0));
await look(tab, 'lesson');
const figure = tab.locator('.lines a.figure').nth(1);
await figure.press('Enter');
await tab.waitForSelector('#chosen');
expect('figure', (await tab.textContent('#chosen')).includes('water-hot'), 'its fact is not told');
await look(tab, 'figure');
await tab.evaluate(() => scrollTo(0, 300));
const pages = await tab.locator('.page').evaluateAll(pages => pages.map(page => page.getAttribute('src')));
fs.writeFileSync(lesson, written.replace('Mules are', 'Fifty mules are'));
await tab.waitForFunction(() => document.querySelector('.lines')?.textContent.includes('Fifty mules'), null, { timeout: 5000 })
  .catch(() => tell('lesson', 'it does not follow its file'));
await tab.waitForFunction(pages => [...document.querySelectorAll('.page')].some((page, at) => page.getAttribute('src') !== pages[at]), pages, { timeout: 5000 })
  .catch(() => tell('lesson', 'its pages are as they were'));
expect('lesson', await tab.locator('.page').evaluateAll(pages => pages.every(page => page.naturalWidth > 0)), 'a page is shown before it can be drawn');
expect('lesson', await tab.evaluate(() => scrollY) === 300, 'it is not shown at the same place');
expect('lesson', await tab.locator('#chosen').count() === 1, 'the figure is no longer chosen');
fs.writeFileSync(lesson, written.replace('# Water', 'Water'));
await tab.waitForSelector('.trouble', { timeout: 5000 }).catch(() => tell('lesson', 'that it cannot be read is not told'));
expect('lesson', await tab.locator('.page').count() === pages.length, 'its last pages do not stay');
await look(tab, 'unread');
fs.writeFileSync(lesson, written);
await tab.waitForFunction(() => !document.querySelector('.trouble'), null, { timeout: 5000 })
  .catch(() => tell('lesson', 'it stays unread'));

// A list that is saved in another program shows here by itself.
await go('/event/north-camp');
fs.writeFileSync(file, before);
await tab.waitForFunction(([row, name]) => document.querySelector(`#r${row} .who a`).textContent === name, [row, name], { timeout: 5000 })
  .catch(() => tell('follow', 'the list does not follow its file'));

// Somebody who was not on the list, twice.
await tab.fill('#n1', 'Wanda Walkin');
await tab.locator('.walk-in button').click();
await tab.waitForSelector('h1.person');
expect('walk-in', roster().startsWith(before) && roster().includes('Wanda Walkin'), 'the row is not added behind the others');
await go('/event/north-camp');
await tab.fill('#n1', 'wanda walkin');
await tab.locator('.walk-in button').click();
await look(tab, 'again');

// Two desks and one row: whoever is later is shown both.
const other = await open();
const second = await enter(other);
await second.goto(`${other.origin}/row/${row}`);
await go(`/row/${row}`);
const theirs = second.locator('.main input:not([type=hidden])').nth(1);
await tab.locator('.main input:not([type=hidden])').nth(1).fill('Ours');
await theirs.fill('Theirs');
await theirs.press('Enter');
await second.waitForSelector('.done');
await tab.locator('.main input:not([type=hidden])').nth(1).press('Enter');
await tab.waitForSelector('.both');
const both = await tab.textContent('.both');
expect('conflict', both.includes('Ours') && both.includes('Theirs') && both.includes(companion), both);
expect('conflict', roster().includes('Theirs') && !roster().includes('Ours'), 'it was written over');
await look(tab, 'conflict');

// Without a script, by plain forms.
const plain = await open();
const still = await enter(plain, { javaScriptEnabled: false });
await still.goto(`${plain.origin}/event/north-camp`);
const unticked = roster();
await still.locator(`#r${row} .tick`).click();
expect('no script', roster() !== unticked, 'a tick is not written');
await still.locator('.done button').click();
expect('no script', roster() === unticked, 'a tick is not taken back');

// A page of elsewhere, in the same browser, can read and change nothing.
const elsewhere = http.createServer((_, response) => response.writeHead(200, { 'content-type': 'text/html' }).end('<!doctype html><title>x</title>'));
await new Promise(done => elsewhere.listen(0, '127.0.0.1', done));
const foreign = await tab.context().newPage();
await foreign.goto(`http://127.0.0.1:${elsewhere.address().port}/`);
const settled = roster();
const seen = await foreign.evaluate(async ([origin, row]) => {
  const tried = [];
  for (const options of [{}, { mode: 'no-cors' }, { method: 'POST', mode: 'no-cors', body: new URLSearchParams({ row, column: 3, now: 'no' }) }]) {
    const answer = await fetch(`${origin}/tick`, { credentials: 'include', ...options }).catch(() => null);
    tried.push(answer ? (await answer.text().catch(() => '')).length : 0);
  }
  return tried;
}, [desk.origin, String(row)]);
expect('elsewhere', seen.every(length => length === 0), `a page of elsewhere reads ${seen}`);
expect('elsewhere', roster() === settled, 'a page of elsewhere changes the list');

for (const { child } of [desk, other, plain]) child.kill();
elsewhere.close();
await browser.close();
fs.rmSync(folder, { recursive: true });
faults.forEach(fault => console.log(fault));
console.log(`the front desk: ${faults.length} faults`);
process.exit(faults.length === 0 ? 0 : 1);
