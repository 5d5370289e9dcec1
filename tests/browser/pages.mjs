// Looks at finished pages as their readers would: with a validator, with the rules of WCAG, on a narrow screen, in the
// dark, by keyboard, and from disk. Nothing here knows how the pages are made.
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import http from 'node:http';
import { createRequire } from 'node:module';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(path.join(process.env.CHECK_PAGES_TOOLS, 'package.json'));
const { chromium } = require('playwright-core');
const AXE = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

const WIDE = { width: 1280, height: 900 };
const NARROW = { width: 320, height: 640 };
const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
/** A page with its style and scripts, without its pictures and its type, in whose place stands another until it comes: what a slow telephone has to fetch before it is of use. */
const HEAVIEST = 100_000;
const TYPES = {
  html: 'text/html; charset=utf-8', css: 'text/css; charset=utf-8', js: 'text/javascript; charset=utf-8',
  svg: 'image/svg+xml', png: 'image/png', jpg: 'image/jpeg', ttf: 'font/ttf', woff2: 'font/woff2', json: 'application/json',
  pdf: 'application/pdf', xml: 'application/xml', txt: 'text/plain; charset=utf-8',
};

/** Every fault of every page in a folder: `{ pages, faults: [{ page, fault, what }] }`. */
export async function checkFolder(folder) {
  const root = fs.realpathSync(folder);
  const files = fs.readdirSync(root, { recursive: true })
    .map(file => file.split(path.sep).join('/'))
    .filter(file => fs.statSync(path.join(root, file)).isFile())
    .sort();
  const pages = files.filter(file => file.endsWith('.html'));
  const faults = [];
  const tell = (page, fault, what) => faults.push({ page, fault, what: String(what).replace(/\s+/g, ' ').slice(0, 300) });

  validate(root, pages, tell);
  const server = await serve(root, new Set(files));
  const browser = await chromium.launch({
    executablePath: process.env.CHECK_PAGES_CHROMIUM,
    args: ['--no-sandbox', '--disable-dev-shm-usage'],
  });
  const origin = `http://127.0.0.1:${server.address().port}`;
  const anchors = new Map();
  const links = [];
  for (const page of pages) {
    const told = (fault, what) => tell(page, fault, what);
    const url = `${origin}/${page.split('/').map(encodeURIComponent).join('/')}`;
    await look(browser, url, origin, { viewport: WIDE }, told, async (tab, weight) => {
      await searched(tab);
      const bytes = await weight();
      if (bytes > HEAVIEST) told('too-heavy', `${bytes} bytes without its pictures and type`);
      await accessible(tab, 'wide', told);
      anchors.set(page, new Set(await tab.$$eval('[id]', marked => marked.map(element => element.id))));
      links.push(...(await tab.$$eval('a[href]', found => found.map(link => link.href))).map(href => ({ page, href })));
      await byKeyboard(tab, told);
    });
    await look(browser, url, origin, { viewport: NARROW }, told, async tab => {
      const over = await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (over > 0) told('too-wide', `${over} px wider than a screen of ${NARROW.width} px`);
      await accessible(tab, 'narrow', told);
    });
    await look(browser, url, origin, { viewport: WIDE, colorScheme: 'dark' }, told, tab => accessible(tab, 'dark', told));
    await look(browser, pathToFileURL(path.join(root, page)).href, 'file://', { viewport: WIDE }, told, async () => {});
  }
  lead(links, origin, anchors, new Set(files), tell);
  await browser.close();
  server.close();
  return { pages: pages.length, faults };
}

/** The Nu Html Checker over all pages at once. */
function validate(root, pages, tell) {
  const jar = require.resolve('vnu-jar/build/dist/vnu.jar');
  const paths = pages.map(page => path.join(root, page));
  const run = spawnSync('java', ['-Xss2m', '-jar', jar, '--format', 'json', '--exit-zero-always', ...paths], {
    encoding: 'utf8', maxBuffer: 1 << 28,
  });
  for (const message of JSON.parse(run.stderr).messages.filter(message => message.type !== 'info')) {
    const page = path.relative(root, decodeURIComponent(new URL(message.url).pathname));
    tell(page, 'html', `line ${message.lastLine}: ${message.message}`);
  }
}

/** The folder as a plain web server would give it. */
async function serve(root, files) {
  const server = http.createServer((request, response) => {
    const name = decodeURIComponent(new URL(request.url, 'http://x').pathname).slice(1);
    const file = name === '' || name.endsWith('/') ? `${name}index.html` : name;
    if (!files.has(file)) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, { 'content-type': TYPES[file.split('.').pop()] ?? 'application/octet-stream' });
    fs.createReadStream(path.join(root, file)).pipe(response);
  });
  await new Promise(done => server.listen(0, '127.0.0.1', done));
  return server;
}

/** Looks for something where the page searches, so that it fetches what it searches in. */
async function searched(tab) {
  const field = tab.locator('input[type="search"]');
  if (await field.count() === 0) return;
  await field.fill('a');
  await tab.waitForLoadState('networkidle');
  await field.fill('');
}

/** Opens a page, tells what it asks of elsewhere, what it does not find and what goes wrong in it. */
async function look(browser, url, origin, screen, told, then) {
  const context = await browser.newContext({ ...screen, reducedMotion: 'reduce' });
  const tab = await context.newPage();
  await tab.route('**/*', route => {
    const asked = route.request().url();
    if (asked.startsWith(origin) || /^(data|blob|about):/.test(asked)) return route.continue();
    told('elsewhere', asked);
    return route.abort();
  });
  tab.on('response', response => {
    if (response.status() >= 400 && !response.url().endsWith('/favicon.ico')) told('missing', response.url().slice(origin.length));
  });
  tab.on('requestfailed', request => {
    if (request.url().startsWith('file:')) told('missing', `${request.url()} (from disk)`);
  });
  tab.on('console', message => {
    if (message.type() === 'error' && !message.text().startsWith('Failed to load resource')) told('console', message.text());
  });
  tab.on('pageerror', error => told('console', error.message));
  const fetched = [];
  tab.on('response', response => {
    if (response.ok() && response.request().resourceType() !== 'image' && response.request().resourceType() !== 'font') fetched.push(response);
  });
  await tab.goto(url, { waitUntil: 'load' });
  await then(tab, async () => {
    const bodies = await Promise.all(fetched.map(response => response.body()));
    return bodies.reduce((sum, body) => sum + body.length, 0);
  });
  await context.close();
}

async function accessible(tab, how, told) {
  await tab.evaluate(AXE);
  const { violations } = await tab.evaluate(tags => axe.run(document, { runOnly: { type: 'tag', values: tags } }), WCAG);
  for (const { id, help, nodes } of violations) {
    const where = nodes.slice(0, 3).map(node => node.target.join(' ')).join('; ');
    told(id === 'color-contrast' ? 'contrast' : 'wcag', `${how}: ${id}: ${help}: ${nodes.length} times, at ${where}`);
  }
}

/** Goes through the page with the Tab key: everything that can be used is reached, and can be seen when it is. */
async function byKeyboard(tab, told) {
  const usable = await tab.evaluate(() => {
    const asked = 'a[href], button, input, select, textarea, summary, [role=button], [role=link], [tabindex="0"]';
    const groups = new Set();
    const shown = [...document.querySelectorAll(asked)].filter(element => {
      if (element.disabled || element.type === 'hidden' || !element.checkVisibility({ visibilityProperty: true })) return false;
      if (element.type !== 'radio' || !element.name) return true;
      // One stop for a group of radio buttons.
      const first = !groups.has(element.name);
      groups.add(element.name);
      return first;
    });
    shown.forEach((element, at) => element.setAttribute('data-stop', at));
    return shown.map(element => element.outerHTML.slice(0, 80));
  });
  const reached = new Set();
  await tab.evaluate(() => document.activeElement?.blur());
  for (let press = 0; press < usable.length + 10; press += 1) {
    await tab.keyboard.press('Tab');
    const stop = await tab.evaluate(() => {
      const element = document.activeElement;
      if (!element || element === document.body) return null;
      const marked = element.matches('[data-stop]') ? element
        : element.type === 'radio' ? document.querySelector(`[data-stop][name="${CSS.escape(element.name)}"]`) : null;
      const style = getComputedStyle(element);
      const marks = current => [current.outlineStyle, current.outlineWidth, current.boxShadow, current.backgroundColor, current.borderColor].join();
      const focused = marks(style);
      element.blur();
      const seen = marks(getComputedStyle(element)) !== focused;
      element.focus();
      return { at: marked?.dataset.stop, seen, what: element.outerHTML.slice(0, 80) };
    });
    if (!stop) continue;
    if (stop.at !== undefined && reached.has(stop.at)) break;
    if (stop.at !== undefined) reached.add(stop.at);
    if (!stop.seen) told('focus', `nothing shows that the focus is here: ${stop.what}`);
  }
  usable.forEach((what, at) => {
    if (!reached.has(String(at))) told('keyboard', `the Tab key does not reach ${what}`);
  });
}

/** Whether each link within the folder leads to a file, and to a place in it. */
function lead(links, origin, anchors, files, tell) {
  for (const { page, href } of links.filter(({ href }) => href.startsWith(`${origin}/`))) {
    const url = new URL(href);
    const name = decodeURIComponent(url.pathname).slice(1);
    const file = name === '' || name.endsWith('/') ? `${name}index.html` : name;
    const place = decodeURIComponent(url.hash.slice(1));
    if (!files.has(file)) tell(page, 'link', `there is no ${file}`);
    else if (place && anchors.has(file) && !anchors.get(file).has(place)) tell(page, 'link', `${file} has no place “${place}”`);
  }
}
