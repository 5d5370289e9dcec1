'use strict';
// The answer form: makes a letter or a file of what was put in. Nothing leaves the page but by the reader's own hand.

const answerFile = (() => {
  // The rule of packstring's spreadsheet cells: a text that a spreadsheet could run as a formula gets an apostrophe
  // before it, and so does one that already looks so marked; reading takes it off again.
  const RISKY = /^'*[=+\-@\t\r\n\0\uff1d\uff0b\uff0d\uff20]/;
  const guarded = text => RISKY.test(text) ? `'${text}` : text;
  const cell = text => `"${guarded(text.replace(/\r\n?/g, '\n').trim()).replaceAll('"', '""')}"`;

  /** Rows of cells as a CSV file (RFC 4180) in UTF-8, with the mark that spreadsheets know it by. */
  const csv = rows => '\ufeff' + rows.map(row => row.map(cell).join(',') + '\r\n').join('');

  /** A file's name from words of any kind: small ASCII letters, digits and hyphens. */
  const fileName = words => words.map(word => word.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase()
    .replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, '')).filter(word => word).join('-').slice(0, 60) + '.csv';

  // Longer addresses are cut or refused by mail programs and systems (common practice, no source).
  const LONGEST = 1900;

  /** A link that opens a letter; null where it would be too long. */
  function letterTo(write, subject, text) {
    const body = encodeURIComponent(text.replace(/\n/g, '\r\n'));
    const link = `${write}?subject=${encodeURIComponent(subject)}&body=${body}`;
    return link.length <= LONGEST ? link : null;
  }

  return { csv, fileName, letterTo };
})();

if (typeof document !== 'undefined') (() => {
  const form = document.getElementById('answers.form');
  const get = id => document.getElementById(`answers.${id}`);
  const says = name => document.querySelector(`[id="answers.words"] [data-word="${name}"]`).textContent;
  const fill = (words, values) => words.replace(/\{(\w+)\}/g, (mark, name) => values[name] ?? mark);
  const label = field => form.querySelector(`label[for="${CSS.escape(field.id)}"]`).textContent;
  form.hidden = false;

  const person = () => ['name', 'email', 'companion', 'event'].map(name => get(name)).filter(field => field);

  function answer(question) {
    const chosen = [...question.querySelectorAll('input:checked')].map(box => box.value);
    if (chosen.length > 0 || /choice|several/.test(question.dataset.kind)) return chosen.join('; ');
    return question.querySelector('input, textarea').value.trim();
  }
  const questions = () => [...form.querySelectorAll('.question')]
    .map((question, at) => ({ number: at + 1, id: question.dataset.question, words: question.dataset.words, answer: answer(question) }));

  /** What is wrong with a field of the person, as the name of a sentence; null where nothing is. */
  const amiss = field => field.required && field.value.trim() === '' ? 'missing' : field.validity.typeMismatch ? 'unfit' : null;

  /** Says at the field what is wrong with it, or takes that away. */
  function mark(field, wrong) {
    const id = `${field.id}.says`;
    document.getElementById(id)?.remove();
    if (!wrong) {
      field.removeAttribute('aria-invalid');
      field.removeAttribute('aria-describedby');
      return;
    }
    const words = document.createElement('span');
    words.id = id;
    words.className = 'says wrong';
    words.textContent = says(`${wrong}-here`);
    field.before(words);
    field.setAttribute('aria-invalid', 'true');
    field.setAttribute('aria-describedby', id);
  }

  /** Whether all about the person is there and can be; else says so and leads to it. */
  function complete() {
    for (const field of person()) mark(field, amiss(field));
    const wrong = person().filter(amiss);
    if (wrong.length === 0) return true;
    const names = kind => wrong.filter(field => amiss(field) === kind).map(label).join('; ');
    status(['missing', 'unfit'].filter(names).map(kind => fill(says(kind), { names: names(kind) })));
    wrong[0].focus();
    return false;
  }

  function status(sentences) {
    get('status').replaceChildren(...sentences.map(sentence => {
      const line = document.createElement('p');
      line.textContent = sentence;
      return line;
    }));
  }

  function open() {
    const numbers = questions().filter(({ answer }) => !/[\p{L}\p{N}]/u.test(answer)).map(({ number }) => number);
    return numbers.length > 0 ? [fill(says('open-questions'), { numbers: numbers.join(', ') })] : [];
  }

  function letter() {
    const shown = field => field.tagName === 'SELECT' ? field.selectedOptions[0].textContent : field.value.trim();
    const head = person().filter(field => field.value.trim()).map(field => `${label(field)}: ${shown(field)}`);
    const list = questions().map(({ number, words, answer }) => `${number}. ${words}\n${answer || says('blank')}`);
    return [form.dataset.program, head.join('\n'), ...list].join('\n\n') + '\n';
  }

  form.addEventListener('submit', event => {
    event.preventDefault();
    if (!complete()) return;
    const text = letter();
    const { write } = form.dataset;
    const link = write ? answerFile.letterTo(write, fill(says('subject'), { name: get('name').value.trim() }), text) : null;
    get('text').value = text;
    get('letter').hidden = false;
    get('open').hidden = !link;
    if (link) get('open').firstElementChild.href = link;
    status([says(link ? 'ready' : write ? 'long' : 'no-address'), ...open()]);
    if (link) get('open').firstElementChild.focus();
  });

  get('save').addEventListener('click', () => {
    if (!complete()) return;
    const list = questions();
    const fields = person();
    const rows = [
      [...fields.map(field => field.name), ...list.map(({ id }) => id)],
      [...fields.map(field => field.value), ...list.map(({ answer }) => answer)],
    ];
    const file = answerFile.fileName([form.dataset.file, get('event')?.value ?? '', get('name').value]);
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([answerFile.csv(rows)], { type: 'text/csv;charset=utf-8' }));
    link.download = file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    status([fill(says('saved'), { file }), ...open()]);
  });

  // What is in the letter is what was there when it was made.
  form.addEventListener('input', event => {
    if (event.target === get('text')) return;
    if (event.target.hasAttribute('aria-invalid')) mark(event.target, amiss(event.target));
    get('letter').hidden = true;
    status([]);
  });
})();
