'use strict';
// The facts page: a filter over its facts. Every word that is put in must begin a word of a fact. Without this script the
// groups open by hand.

(() => {
  const folded = text => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/['’‘ʼ]/g, '');
  const wordsOf = text => folded(text).split(/[^\p{L}\p{N}]+/u).filter(word => word);

  const plurals = new Intl.PluralRules(document.documentElement.lang);
  const form = document.querySelector('.filter');
  const field = document.getElementById('facts.filter');
  const count = document.getElementById('facts.count');
  const groups = [...document.querySelectorAll('.group')].map(group => ({
    group,
    facts: [...group.querySelectorAll('.fact')].map(fact => ({ fact, words: wordsOf(fact.textContent) })),
  }));
  // The list names the facts of every page, so that those of the others are found too.
  const list = document.querySelector('.all-facts');
  const links = [...list.querySelectorAll('li')].map(item => ({
    item,
    words: wordsOf(item.textContent),
    isElsewhere: !item.firstElementChild.getAttribute('href').startsWith('#'),
  }));
  // Who filters changes what is open, and gets it back in the end.
  let opened = null;

  function filter() {
    const wanted = wordsOf(field.value);
    if (wanted.length > 0) opened ??= groups.map(({ group }) => group.open);
    let found = 0;
    groups.forEach(({ group, facts }, at) => {
      let here = 0;
      for (const { fact, words } of facts) {
        const fits = wanted.every(word => words.some(own => own.startsWith(word)));
        fact.hidden = !fits;
        here += Number(fits);
      }
      group.hidden = here === 0;
      if (opened) group.open = wanted.length > 0 ? here > 0 : opened[at];
      found += here;
    });
    const led = links.filter(({ item, words, isElsewhere }) => {
      const fits = wanted.every(word => words.some(own => own.startsWith(word)));
      item.hidden = !fits;
      return fits && isElsewhere;
    });
    if (opened) list.open = wanted.length > 0 && led.length > 0;
    if (wanted.length === 0) opened = null;
    else found += led.length;
    count.textContent = wanted.length === 0 ? '' : (count.dataset[plurals.select(found)] ?? count.dataset.other).replace('{n}', found);
  }

  /** Who is led to a fact finds it open, in browsers too that do not open it themselves. */
  function lead() {
    const fact = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const group = fact && fact.closest('.group');
    if (!group || (group.open && !fact.hidden)) return;
    if (fact.hidden) { field.value = ''; filter(); }
    group.open = true;
    fact.scrollIntoView();
  }

  form.hidden = false;
  form.addEventListener('submit', event => event.preventDefault());
  field.addEventListener('input', filter);
  addEventListener('hashchange', lead);
  addEventListener('pageshow', () => { if (field.value) filter(); lead(); });
  // Paper shows all.
  addEventListener('beforeprint', () => {
    opened ??= groups.map(({ group }) => group.open);
    groups.forEach(({ group }) => { group.open = true; });
  });
  addEventListener('afterprint', filter);
})();
