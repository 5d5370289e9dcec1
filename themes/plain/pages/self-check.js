'use strict';
// Self-check: judges what was put in by the key that stands on the page. It says right and wrong only where that is
// certain; else the reader compares. Figures are held against the fact exactly, as fractions of whole numbers.

const selfCheck = (() => {
  const folded = text => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/['’‘ʼ]/g, '')
    .replace(/[^\p{L}\p{N}]+/gu, ' ').trim();

  // ---- exact numbers: { n, d } with d > 0 ----

  const fraction = (n, d = 1n) => d < 0n ? { n: -n, d: -d } : { n, d };
  const size = n => n < 0n ? -n : n;
  const less = (a, b) => a.n * b.d < b.n * a.d;
  const same = (a, b) => a.n * b.d === b.n * a.d;
  const apart = (a, b) => fraction(size(a.n * b.d - b.n * a.d), a.d * b.d);
  const times = (a, n) => fraction(a.n * BigInt(n), a.d);
  const exact = text => {
    const [n, d = '1'] = text.split('/');
    return fraction(BigInt(n), BigInt(d));
  };

  const SMALL = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve',
    'thirteen', 'fourteen', 'fifteen', 'sixteen', 'seventeen', 'eighteen', 'nineteen'];
  const TENS = ['twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety'];
  const LARGE = { hundred: 100n, thousand: 1000n, million: 1000000n };

  /** Number words from the start of a text: the value, and what follows. Null where there are none. */
  function spelled(text) {
    let total = 0n, part = 0n, read = 0;
    const words = text.replace(/-/g, ' ').split(' ');
    for (const word of words) {
      const small = SMALL.indexOf(word), ten = TENS.indexOf(word);
      if (small >= 0) part += BigInt(small);
      else if (ten >= 0) part += BigInt(ten * 10 + 20);
      else if (LARGE[word] && (part > 0n || word !== 'hundred')) {
        part = (part || 1n) * LARGE[word];
        if (word !== 'hundred') { total += part; part = 0n; }
      } else if (!(word === 'and' && read > 0 && (SMALL.includes(words[read + 1]) || TENS.includes(words[read + 1])))) break;
      read += 1;
    }
    return read === 0 ? null : { value: fraction(total + part), rest: words.slice(read).join(' ') };
  }

  /** A number from the start of a text, with the place of its last digit and of its last digit but zeros. */
  function number(text) {
    const digits = /^(\d{1,3}(?:,\d{3})+|\d+)(\.\d+)?(?![\d,.]*\d)(?: ?(million|thousand)\b)?/.exec(text);
    if (!digits) {
      const words = spelled(text);
      return words && { ...words, ...places(words.value) };
    }
    const decimals = (digits[2] ?? '.').slice(1);
    const scale = LARGE[digits[3]] ?? 1n;
    const value = fraction(BigInt(digits[1].replace(/,/g, '') + decimals) * scale, 10n ** BigInt(decimals.length));
    const rest = text.slice(digits[0].length).trim();
    // A number with a fraction is for the reader's eye.
    if (/^\d|^\/ ?\d|^[⁄\u00bc-\u00be]/.test(rest)) return null;
    const place = fraction(scale, 10n ** BigInt(decimals.length));
    return { value, rest, place, coarse: decimals || digits[3] ? place : places(value).coarse };
  }

  function places(value) {
    let coarse = 1n;
    while (value.n !== 0n && value.n % (coarse * 10n) === 0n) coarse *= 10n;
    return { place: fraction(1n), coarse: fraction(coarse) };
  }

  /** An answer in the words of the figure reader, by the phrases of the page's language: `tongue` is what the page
      has of it, none in English. "treinta y cinco pies" becomes "thirty-five feet". */
  function glossed(answer, tongue) {
    let text = answer.normalize('NFC').toLowerCase();
    if (!tongue) return text;
    if (tongue.decimal === ',') text = text.replace(/\d[\d.,]*\d/g, digits => digits.replace(/[.,]/g, mark => mark === ',' ? '.' : ','));
    const parts = text.split(/([^\p{L}]+)/u);
    const longest = Math.max(...Object.keys(tongue.phrases).map(phrase => phrase.split(' ').length));
    // Words stand at even places, what is between them at odd ones.
    const phrase = at => {
      for (let end = Math.min(at + 2 * longest - 2, parts.length - 1); end >= at; end -= 2) {
        const words = parts.slice(at, end + 1).join('').replace(/\s+/g, ' ');
        if (Object.hasOwn(tongue.phrases, words)) return { english: tongue.phrases[words], end };
      }
      return { english: parts[at], end: at };
    };
    let said = '';
    for (let at = 0; at < parts.length; at += 2) {
      let { english, end } = phrase(at);
      if (english === 'and' && /\b(twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety) $/.test(said) && at + 2 < parts.length) {
        const one = phrase(at + 2);
        const unit = one.english === 'a' ? 'one' : one.english;
        if (SMALL.indexOf(unit) > 0 && SMALL.indexOf(unit) < 10) {
          said = said.trimEnd();
          english = `-${unit}`;
          end = one.end;
        }
      }
      if (english === 'thousand' && !/(\d|\b(hundred|[a-z-]*(?:one|two|three|four|five|six|seven|eight|nine|ten|een|ty|elve|even))) $/.test(said)) english = 'one thousand';
      if (english === 'a' && /\b(hundred|thousand) $/.test(said)) english = 'one';
      said += english + (parts[end + 1] ?? '');
      at = end;
    }
    return said;
  }

  const BEFORE = [
    [/^(it is|its|they must be|the answer is|keep|must be|is|are|from|of|to|the)\b/, null],
    [/^(about|around|approximately|roughly|circa|ca\.?|~)(?= |\d)/, 'about'],
    [/^(at most|no more than|not more than|up to|maximum|max\.?|a maximum of|within)\b/, 'at_most'],
    [/^(at least|no less than|not less than|minimum|min\.?|a minimum of)\b/, 'at_least'],
    [/^exactly\b/, 'exactly'],
  ];
  const AFTER = [[/ ?(at most|maximum|max\.?|or less)$/, 'at_most'], [/ ?(at least|minimum|or more)$/, 'at_least']];

  /** What a figure says: numbers (one, or two of a range), unit in small letters, limits. Null: it cannot be read. */
  function figure(answer, tongue) {
    let text = glossed(answer, tongue).normalize('NFKC').toLowerCase().replace(/[\s\u00a0]+/g, ' ').trim().replace(/\.$/, '');
    const limits = new Set();
    for (let again = true; again;) {
      again = false;
      for (const [form, limit] of BEFORE) {
        const found = form.exec(text);
        if (!found) continue;
        if (limit) limits.add(limit);
        text = text.slice(found[0].length).trim();
        again = true;
      }
    }
    for (const [form, limit] of AFTER) {
      if (!form.test(text)) continue;
      limits.add(limit);
      text = text.replace(form, '').trim();
    }
    const first = number(text);
    if (!first) return null;
    const numbers = [first];
    const on = /^(?:-|–|to )\s*(.+)$/.exec(first.rest);
    if (on) {
      const second = number(on[1]);
      if (!second) return null;
      numbers.push(second);
    }
    const unit = numbers.at(-1).rest.trim().replace(/^-/, '').replace(/ ?\/ ?/g, '/');
    return { numbers, unit, limits };
  }

  /** Whether a number is the fact's, as scoring has it. */
  function fits(stated, fact, isOwn, about) {
    if (same(stated.value, fact)) return true;
    const out = times(apart(stated.value, fact), 2);
    if (!less(stated.place, out)) return true;
    const near = !less({ n: size(fact.n), d: fact.d }, times(apart(stated.value, fact), 50));
    return (!isOwn || about) && near && !less(stated.coarse, out);
  }

  /** Out by more than one part in twenty, and by more than it can have been rounded by. */
  const isFar = (stated, fact, isOwn) =>
    less({ n: size(fact.n), d: fact.d }, times(apart(stated.value, fact), 20)) && less(isOwn ? stated.place : stated.coarse, apart(stated.value, fact));

  /** right, wrong, near, unit (which one?), unread (no figure), or look. */
  function judgeFigure(answer, key, tongue) {
    const read = figure(answer, tongue);
    if (!read) return 'unread';
    const known = key.units[read.unit];
    if (!known) return read.unit === '' ? 'unit' : 'look';
    for (const limit of read.limits) if (limit !== 'about' && limit !== key.limit) return 'look';
    const isOwn = known.join() === key.own.join(), about = read.limits.has('about');
    const facts = known.map(exact);
    if (facts.length !== read.numbers.length) return 'look';
    if (read.numbers.every((stated, at) => fits(stated, facts[at], isOwn, about))) return 'right';
    if (facts.length === 1 && isFar(read.numbers[0], facts[0], isOwn && !about)) return 'wrong';
    return 'near';
  }

  const JOINING = /[\n,;•]|\band\b|\bor\b|\d+[.)]/i;
  const BARE = new Set(['a', 'an', 'the', 'it', 'is', 'its', 'has', 'or', 'and']);
  const stem = word => word.length > 3 && /[^s]s$/.test(word) ? word.slice(0, -1) : word;
  const telling = (text, bare) => folded(text).split(' ').filter(word => word && !bare.has(word)).map(stem).join(' ');

  /** Words of the page's language that the reader takes for any of these. */
  const meaning = (tongue, english) => Object.keys(tongue?.phrases ?? {})
    .filter(own => /^\p{L}+$/u.test(own) && english.includes(tongue.phrases[own]));

  /** How many of a list an answer names, and whether it names anything else. */
  function judgeList(answer, accept, count, tongue) {
    const found = new Set();
    let strange = false;
    const bare = new Set([...BARE, ...meaning(tongue, [...BARE]).map(folded)]);
    const words = text => telling(text, bare);
    const joining = meaning(tongue, ['and', 'or']);
    const parts = answer.split(JOINING).flatMap(part => joining.length === 0 ? [part]
      : part.split(new RegExp(`(?<=^|\\s)(?:${joining.join('|')})(?=\\s)`, 'iu')));
    for (const part of parts.map(words).filter(part => part)) {
      const at = accept.findIndex(wordings => wordings.some(wording => words(wording) === part));
      if (at < 0) strange = true; else found.add(at);
    }
    return { found: found.size, verdict: found.size >= count && !strange ? 'right' : 'some' };
  }

  return { figure, glossed, judgeFigure, judgeList };
})();

if (typeof document !== 'undefined') (() => {
  const form = document.getElementById('self.form');
  // Lines: the decimal mark, then a phrase, a tab and the reader's words for it.
  const [decimal, ...phrases] = (form.dataset.tongue ?? '').split('\n');
  const tongue = decimal ? { decimal, phrases: Object.fromEntries(phrases.map(line => line.split('\t'))) } : null;
  const says = name => document.querySelector(`[id="self.words"] [data-word="${name}"]`).textContent;
  const fill = (words, values) => words.replace(/\{(\w+)\}/g, (mark, name) => values[name] ?? mark);

  /** The fact's own unit, by the fullest of its names without a rate. */
  const ownUnit = ({ units, own }) => Object.keys(units)
    .filter(name => units[name].join() === own.join() && !/[/ ]/.test(name))
    .reduce((longest, name) => name.length > longest.length ? name : longest, '');

  /** The verdict on a question, and what is said. */
  function judge(question) {
    const { kind, key, count, unit } = question.dataset;
    const plain = verdict => ({ verdict, words: says(verdict) });
    if (kind === 'choice' || kind === 'several') {
      const boxes = [...question.querySelectorAll('input')];
      if (!boxes.some(box => box.checked)) return plain('empty');
      const right = new Set((key ?? '').split(' ').filter(Boolean).map(place => boxes[place - 1]));
      if (right.size === 0) return plain('look');
      return plain(boxes.every(box => box.checked === right.has(box)) ? 'right' : 'wrong');
    }
    const answer = question.querySelector('input, textarea').value;
    if (!/[\p{L}\p{N}]/u.test(answer)) return plain('empty');
    if (kind === 'open') return { verdict: 'look', words: says('open') };
    if (kind === 'name-some') {
      const { found, verdict } = selfCheck.judgeList(answer, JSON.parse(key), Number(count), tongue);
      return verdict === 'right' ? plain('right') : { verdict: 'look', words: fill(says('some'), { n: found, all: count }) };
    }
    if (!key) return plain('look');
    const data = JSON.parse(key);
    const verdict = selfCheck.judgeFigure(answer, data, tongue);
    if (verdict === 'unit') {
      const example = `${answer.trim()} ${unit ?? ownUnit(data)}`;
      return { verdict: 'look', words: fill(says('unit'), { example }) };
    }
    return ['near', 'unread'].includes(verdict) ? { verdict: 'look', words: says(verdict) } : plain(verdict);
  }

  function show(question) {
    const { verdict, words } = judge(question);
    const said = question.querySelector('.says');
    said.textContent = words;
    said.className = `says ${verdict}`;
    if (verdict !== 'empty') question.querySelector('details').open = true;
    return verdict;
  }

  const questions = [...form.querySelectorAll('.question')];
  for (const question of questions) {
    question.querySelector('.check-one').hidden = false;
    question.querySelector('.check-one button').addEventListener('click', () => show(question));
    // Enter in a field checks that question; a verdict on what is no longer there is taken away.
    question.addEventListener('keydown', event => {
      if (event.key !== 'Enter' || event.target.tagName !== 'INPUT') return;
      event.preventDefault();
      show(question);
    });
    question.addEventListener('input', () => {
      question.querySelector('.says').textContent = '';
      question.querySelector('.says').className = 'says';
    });
  }
  form.querySelector('.check-all').hidden = false;
  form.addEventListener('submit', event => {
    event.preventDefault();
    const counts = { right: 0, wrong: 0, look: 0, empty: 0 };
    for (const question of questions) counts[show(question)] += 1;
    document.getElementById('self.sum').textContent = fill(says('sum'), counts);
  });
})();
