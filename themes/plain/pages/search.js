'use strict';
// Search: every word that was put in must begin a word of a place. What is found in a heading comes first.

const siteSearch = (() => {
  const folded = text => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/['’‘ʼ]/g, '');
  const wordsOf = text => folded(text).split(/[^\p{L}\p{N}]+/u).filter(word => word);

  /** `[page, heading, address, text]` as it is looked through. */
  const entry = ([page, heading, href, text]) =>
    ({ page, heading, href, text, inHeading: wordsOf(heading || page), inPage: wordsOf(page), inText: wordsOf(text) });

  const WHOLE = 2, BEGINS = 1;
  const best = (list, word) => list.includes(word) ? WHOLE : list.some(other => other.startsWith(word)) ? BEGINS : 0;

  /** The places where every word is found, the best first; of equals, in the order of the site. */
  function find(entries, query) {
    const words = wordsOf(query);
    if (words.length === 0) return [];
    return entries
      .map((place, at) => {
        const worth = words.map(word => 6 * best(place.inHeading, word) + 2 * best(place.inPage, word) + 3 * best(place.inText, word));
        return { place, at, worth: worth.every(part => part > 0) ? worth.reduce((sum, part) => sum + part, 0) : 0 };
      })
      .filter(({ worth }) => worth > 0)
      .sort((one, other) => other.worth - one.worth || one.at - other.at)
      .map(({ place }) => place);
  }

  const LINE = 160;

  /** A line of the text about the first word that was found, in pieces: `[words, found]`. */
  function line(text, query) {
    const words = wordsOf(query);
    const pieces = text.split(/([\p{L}\p{N}\p{M}'’]+)/u);
    const isFound = piece => { const [own, ...more] = wordsOf(piece); return own !== undefined && more.length === 0 && words.some(word => own.startsWith(word)); };
    const first = Math.max(pieces.findIndex(isFound), 0);
    let from = first, length = pieces[first].length;
    while (from > 0 && length + pieces[from - 1].length < LINE / 3) length += pieces[--from].length;
    let to = first + 1;
    while (to < pieces.length && length + pieces[to].length < LINE) length += pieces[to++].length;
    const isCut = from > 0;
    // A line begins with a word.
    while (from < first && !/[\p{L}\p{N}]/u.test(pieces[from])) from += 1;
    const shown = pieces.slice(from, to).map(piece => [piece, isFound(piece)]);
    if (isCut) shown.unshift(['… ', false]);
    if (to < pieces.length) shown.push([' …', false]);
    return shown;
  }

  return { entry, find, line };
})();

const searchEntries = [];
/** Each part of the index calls this with its pages: `[title, address, [[heading, anchor, text], …]]`. */
function searchPart(pages) {
  for (const [page, path, places] of pages) for (const [heading, anchor, text] of places) {
    searchEntries.push(siteSearch.entry([page, heading, anchor ? `${path}#${anchor}` : path, text]));
  }
}

if (typeof document !== 'undefined') (() => {
  const get = id => document.getElementById(`search.${id}`);
  const says = name => document.querySelector(`[id="search.says"] [data-word="${name}"]`).textContent;
  const fill = (words, values) => words.replace(/\{(\w+)\}/g, (mark, name) => values[name] ?? mark);
  const MOST = 40;
  const form = get('form'), field = get('words'), results = get('results');
  form.hidden = false;

  // A page from disk may load a script, though it may not fetch a file.
  let loaded;
  const index = () => loaded ??= Promise.all(form.dataset.parts.split(' ').filter(part => part).map(part => new Promise((done, failed) => {
    const script = document.createElement('script');
    script.src = part;
    script.addEventListener('load', done);
    script.addEventListener('error', failed);
    document.head.append(script);
  })));

  function item(place) {
    const line = document.createElement('li');
    const link = document.createElement('a');
    link.href = place.href;
    link.textContent = place.heading || place.page;
    const where = document.createElement('span');
    where.className = 'quiet';
    where.textContent = place.page === '' ? says('fact') : place.heading ? place.page : '';
    const text = document.createElement('p');
    for (const [piece, found] of siteSearch.line(place.text, field.value)) {
      const part = found ? document.createElement('mark') : document.createTextNode(piece);
      if (found) part.textContent = piece;
      text.append(part);
    }
    line.append(link, ' ', where, text);
    return line;
  }

  async function look() {
    const asked = field.value;
    if (asked.trim() === '') {
      results.replaceChildren();
      get('count').textContent = says('begin');
      return;
    }
    try { await index(); } catch {
      get('count').textContent = says('failed');
      return;
    }
    if (asked !== field.value) return;
    const found = siteSearch.find(searchEntries, asked);
    results.replaceChildren(...found.slice(0, MOST).map(item));
    const words = found.length === 0 ? 'none' : found.length === 1 ? 'one' : found.length > MOST ? 'more' : 'other';
    get('count').textContent = fill(says(words), { words: asked.trim(), n: found.length, shown: MOST });
    // So that who comes back from a result finds the others again.
    try { history.replaceState(null, '', `#${encodeURIComponent(asked)}`); } catch { /* some browsers refuse it from disk */ }
  }

  let waiting;
  field.addEventListener('input', () => { clearTimeout(waiting); waiting = setTimeout(look, 120); });
  form.addEventListener('submit', event => { event.preventDefault(); clearTimeout(waiting); look(); });

  // Down from the field and on through what was found; up again; Escape back to the field.
  document.addEventListener('keydown', event => {
    const links = [...results.querySelectorAll('a')];
    const at = links.indexOf(document.activeElement);
    if (event.key === 'ArrowDown' && (document.activeElement === field || at >= 0) && links[at + 1]) links[at + 1].focus();
    else if (event.key === 'ArrowUp' && at >= 0) (links[at - 1] ?? field).focus();
    else if (event.key === 'Escape' && at >= 0) field.focus();
    else return;
    event.preventDefault();
  });

  const asked = (() => { try { return decodeURIComponent(location.hash.slice(1)); } catch { return ''; } })();
  if (asked && !document.getElementById(asked)) {
    field.value = asked;
    look();
  }
})();
