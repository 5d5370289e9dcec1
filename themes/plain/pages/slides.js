// The deck in a browser, and the presenter's window: the same page once more, with the script and the clock.
'use strict';

const says = document.body.dataset;
const slides = [...document.querySelectorAll('.slide')];
const lessons = slides.filter(slide => slide.classList.contains('lesson'));
const presenting = location.search === '?presenter';
const marked = id => document.getElementById(id);
const filled = (words, values) => words.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
let here = 0;
/** The other of the two windows. */
let other = presenting ? window.opener : null;

const addressed = () => {
  try { return slides.findIndex(slide => slide.id === decodeURIComponent(location.hash.slice(1))); } catch { return -1; }
};
const within = at => Math.min(Math.max(at, 0), slides.length - 1);

function go(at, told = true) {
  const from = here;
  here = within(at);
  slides.forEach((slide, index) => slide.classList.toggle('here', index === here));
  // Not pushed: the browser's back button leaves the deck, as the audience's does.
  history.replaceState(null, '', `#${encodeURIComponent(slides[here].id)}`);
  if (presenting) read(); else if (document.body.classList.contains('one')) fit(slides[here]);
  const place = filled(says.of, { n: here + 1, all: slides.length });
  if (!presenting) {
    marked('way.place').textContent = place;
    marked('way.back').disabled = here === 0;
    marked('way.on').disabled = here === slides.length - 1;
  }
  if (told && from !== here) other?.postMessage({ slide: here }, '*');
}

/** Sizes, as shares of the slide's width, from large to small. */
const SIZES = [
  [0.036, 0.36], [0.032, 0.36], [0.029, 0.33], [0.036, 0.27], [0.032, 0.27], [0.029, 0.27], [0.026, 0.27], [0.026, 0.22],
  [0.026, 0.18], [0.0245, 0.18], [0.023, 0.18], [0.023, 0.14], [0.022, 0.14], [0.021, 0.14], [0.02, 0.12], [0.019, 0.12],
];

/** The largest sizes in which all of a slide can be seen. */
function fit(slide) {
  for (const [type, drawn] of SIZES) {
    slide.style.setProperty('--type', type);
    slide.style.setProperty('--drawn', drawn);
    if (slide.scrollHeight <= slide.clientHeight + 1) return;
  }
}

/** Slides that were not shown yet are fitted before they are printed. */
function fitAll() {
  if (!document.body.classList.contains('one')) return;
  for (const slide of slides) {
    slides[here].classList.remove('here');
    slide.classList.add('here');
    fit(slide);
    slide.classList.remove('here');
  }
  slides[here].classList.add('here');
}

/** A load for each lesson along the foot of each slide. */
function layTrail() {
  for (const slide of slides.filter(slide => slide.dataset.turn)) {
    const trail = document.createElement('div');
    trail.className = 'trail';
    trail.setAttribute('aria-hidden', 'true');
    lessons.forEach((lesson, index) => {
      const post = document.createElement('span');
      const ahead = Number(slide.dataset.turn) - (index + 1);
      post.className = `post${ahead > 0 ? ' passed' : ahead === 0 ? ' here' : ''}`;
      if (ahead === 0) post.textContent = index + 1;
      trail.append(post);
    });
    slide.append(trail);
  }
}

// ---- keys, touch, size

const STEPS = {
  ArrowRight: 1, ArrowDown: 1, PageDown: 1, ' ': 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1, Backspace: -1,
};
const isAtWork = element => element.closest?.('button, input, a') !== null;

function pressed(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (isAtWork(event.target) && (event.key === ' ' || event.key === 'Enter')) return;
  if (!presenting && !document.body.classList.contains('one') && event.key !== 'p') return;
  if (presenting && event.key in SCROLLS && scrolled(SCROLLS[event.key])) event.preventDefault();
  else if (event.key in STEPS) go(here + STEPS[event.key]);
  else if (event.key === 'Home') go(0);
  else if (event.key === 'End') go(slides.length - 1);
  else if (event.key === 'p' && !presenting) present();
  else if (event.key === 'f') toggleFull();
  else return;
  event.preventDefault();
}

/** The keys up and down first read on a script that is longer than its column. */
const SCROLLS = { ArrowDown: 1, ArrowUp: -1 };
function scrolled(way) {
  const reading = document.querySelector('.reading');
  const was = reading.scrollTop;
  reading.scrollTop += way * reading.clientHeight / 2;
  return reading.scrollTop !== was;
}

function toggleFull() {
  if (document.fullscreenElement) document.exitFullscreen();
  else document.documentElement.requestFullscreen?.().catch(() => {});
}

const SWIPE = 50;
let touched = null;
function letGo(event) {
  if (!touched || !document.body.classList.contains('one')) return;
  const across = event.changedTouches[0].clientX - touched.clientX;
  const down = event.changedTouches[0].clientY - touched.clientY;
  touched = null;
  if (Math.abs(across) < SWIPE || Math.abs(across) < 2 * Math.abs(down)) return;
  // Toward the start of a line leads on, whichever way the language is written.
  const onward = (across < 0) === (document.dir !== 'rtl');
  go(here + (onward ? 1 : -1));
}

/** On narrow and tall screens the slides stay one under another. */
const wide = matchMedia('(min-width: 700px) and (min-aspect-ratio: 1/1)');
function stage() {
  const one = wide.matches;
  document.body.classList.toggle('one', one);
  document.querySelector('main').classList.toggle('stage', one);
  for (const id of ['way.back', 'way.on', 'way.present']) marked(id).hidden = !one;
  marked('way.place').hidden = !one;
  document.querySelector('.keys').hidden = !one;
  if (one) go(here, false);
}

// ---- the presenter's window

function present() {
  const page = `${location.href.split(/[?#]/)[0]}?presenter#${encodeURIComponent(slides[here].id)}`;
  other = window.open(page, 'presenter', 'width=1100,height=820');
  if (!other) marked('way.place').textContent = says.blocked;
}

const clockTime = new Intl.DateTimeFormat(document.documentElement.lang, { hour: 'numeric', minute: '2-digit' });
/** `09:15` as the reader's language writes it. */
const onClock = time => clockTime.format(new Date(`2000-01-01T${time}`));
const MINUTE = 60_000;
/** When the clock and each lesson began, and what is ticked off: kept when the page is loaded again. */
let begun = null;
let entered = {};
let ticked = [];
const KEPT = `presenter ${location.pathname}`;
function keep() {
  try { sessionStorage.setItem(KEPT, JSON.stringify({ begun, entered, ticked })); } catch { /* some browsers refuse it from disk */ }
}
function takeUp() {
  try { ({ begun, entered, ticked } = JSON.parse(sessionStorage.getItem(KEPT)) ?? { begun, entered, ticked }); } catch { /* then all begins anew */ }
}
const planned = lesson => Number(lesson.dataset.minutes);

function element(kind, className, ...inner) {
  const made = document.createElement(kind);
  made.className = className;
  made.append(...inner);
  return made;
}

function openPresenter() {
  document.body.classList.add('presenting');
  const begin = element('button', '', says.begin);
  begin.type = 'button';
  begin.addEventListener('click', () => {
    begun = Date.now();
    const lesson = lessonOf(slides[here]);
    entered = lesson ? { [lesson.id]: begun } : {};
    keep();
    tick();
    // So that the space bar leads on again, and does not begin anew.
    begin.blur();
  });
  document.body.prepend(
    element('header', 'clock', element('p', 'time'), element('p', 'used'), element('p', 'times'), element('p', 'sheet'), element('p', 'since'), begin),
    element('section', 'reading'),
    element('div', 'three', ...['before', 'now', 'next'].map(name =>
      element('figure', name, element('figcaption', '', says[name]), element('div', 'small stage')))),
  );
  takeUp();
  setInterval(() => { tick(); other?.postMessage({ presenter: true }, '*'); }, 1000);
}

const lessonOf = slide => lessons[Number(slide.dataset.turn) - 1];
const copy = slide => {
  const made = slide.cloneNode(true);
  [made, ...made.querySelectorAll('[id]')].forEach(inside => inside.removeAttribute('id'));
  made.querySelectorAll('.script').forEach(inside => inside.remove());
  made.classList.add('here');
  made.inert = true;
  return made;
};

/** What there is to say, to tick off, and the three small slides. */
function read() {
  const slide = slides[here];
  const reading = document.querySelector('.reading');
  const heading = slide.querySelector('h1, h2, h3').cloneNode(true);
  heading.removeAttribute('id');
  const lines = [...slide.querySelectorAll('.script > .line')].map((line, number) => {
    const made = line.cloneNode(true);
    const tick = element('input', '');
    tick.type = 'checkbox';
    tick.setAttribute('aria-label', line.querySelector('.cue-word').textContent);
    const name = `${slide.id} ${number}`;
    tick.checked = ticked.includes(name);
    made.classList.toggle('done', tick.checked);
    tick.addEventListener('change', () => {
      made.classList.toggle('done', tick.checked);
      ticked = ticked.filter(other => other !== name).concat(tick.checked ? [name] : []);
      keep();
    });
    made.prepend(tick);
    return made;
  });
  const title = element('h2', '');
  title.append(...heading.childNodes);
  reading.replaceChildren(title, ...(lines.length ? lines : [element('p', 'quiet', says.noScript)]));
  reading.scrollTop = 0;
  const shown = { before: here - 1, now: here, next: here + 1 };
  for (const [name, at] of Object.entries(shown)) {
    const small = document.querySelector(`.${name} .small`);
    small.replaceChildren(...(slides[at] ? [copy(slides[at])] : name === 'next' ? [element('p', 'last', says.last)] : []));
    if (slides[at]) fit(small.firstChild);
  }
  const lesson = lessonOf(slide);
  if (lesson && !(lesson.id in entered)) entered[lesson.id] = Date.now();
  keep();
  tick();
}

/** The clock, the minutes used of the lesson's, and how the run sheet stands. */
function tick() {
  const put = (name, words) => { document.querySelector(`.clock .${name}`).textContent = words; };
  put('time', clockTime.format(new Date()));
  const lesson = lessonOf(slides[here]);
  const used = lesson ? Math.floor((Date.now() - (entered[lesson.id] ?? Date.now())) / MINUTE) : 0;
  put('used', !lesson ? '' : begun ? filled(says.used, { used, planned: planned(lesson) }) : filled(says.planned, { planned: planned(lesson) }));
  const { from, to } = lesson?.dataset ?? {};
  put('times', from ? filled(says.times, { from: onClock(from), to: onClock(to) }) : '');
  document.querySelector('.clock button').textContent = begun ? says.again : says.begin;
  put('since', begun ? filled(says.begun, { time: clockTime.format(begun) }) : says.notBegun);
  if (!begun || !lesson) { put('sheet', ''); return; }
  // By the run sheet, this lesson starts after the minutes of those before it.
  const before = lessons.slice(0, lessons.indexOf(lesson)).reduce((sum, passed) => sum + planned(passed), 0);
  const gone = (Date.now() - begun) / MINUTE;
  const late = Math.floor(gone - (before + planned(lesson)));
  const early = Math.floor(before - gone);
  put('sheet', late > 0 ? filled(says.behind, { n: late }) : early > 0 ? filled(says.ahead, { n: early }) : says.onTime);
}

// ---- begin

addEventListener('keydown', pressed);
addEventListener('message', event => {
  // Only the other window of this deck is listened to: the one that was opened, or that opened this one. A deck that was
  // loaded again knows by whom it is called whom it has opened.
  if (!presenting && event.source?.opener === window && event.source !== other) {
    other = event.source;
    other.postMessage({ slide: here }, '*');
  }
  if (!other || event.source !== other || !Number.isInteger(event.data?.slide)) return;
  go(event.data.slide, false);
});
addEventListener('hashchange', () => { const at = addressed(); if (at >= 0 && at !== here) go(at); });
here = within(addressed());
layTrail();
// A list beside a picture goes into two columns; boxes run across.
for (const slide of slides) {
  const drawn = slide.querySelector('.shown > .picture, .shown > .series');
  const besides = slide.querySelector('.shown > :not(.picture, .series, .signal, .ask)');
  slide.classList.toggle('beside', drawn !== null && besides !== null);
}
if (presenting) {
  openPresenter();
  addEventListener('resize', () => document.querySelectorAll('.small > .slide').forEach(fit));
  go(here, false);
} else {
  addEventListener('beforeprint', fitAll);
  addEventListener('resize', stage);
  document.addEventListener('touchstart', event => { touched = event.touches.length === 1 ? event.touches[0] : null; }, { passive: true });
  document.addEventListener('touchend', letGo);
  marked('way.back').addEventListener('click', () => go(here - 1));
  marked('way.on').addEventListener('click', () => go(here + 1));
  marked('way.present').addEventListener('click', present);
  stage();
}
