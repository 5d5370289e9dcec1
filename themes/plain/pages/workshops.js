'use strict';
// Workshops that are over step back: below those to come, the latest first, and nobody signs up for them.
{
  const next = document.getElementById('workshops.next');
  const over = document.getElementById('workshops.over');
  const past = over.querySelector('ul');
  for (const workshop of [...next.children].filter(it => new Date(it.dataset.ends) < new Date())) {
    for (const open of workshop.querySelectorAll('.open')) open.remove();
    const name = workshop.querySelector('h2');
    const below = document.createElement('h3');
    below.textContent = name.textContent;
    name.replaceWith(below);
    past.prepend(workshop);
  }
  over.hidden = past.children.length === 0;
  next.hidden = next.children.length === 0;
  document.getElementById('workshops.all').hidden = next.hidden;
  document.getElementById('workshops.none').hidden = !next.hidden;
}
