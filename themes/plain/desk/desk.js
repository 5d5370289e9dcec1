// The front desk without loading each page anew: ticks and undo in place, the certificate as it is typed, and the list as
// it is in the file by now. Everything works without this, by plain forms.
"use strict";

(() => {
  const main = () => document.getElementById("main");
  let busy = 0;

  /** Leaves each page of a lesson as it is until the next can be drawn at once, so that nothing jumps. */
  const followPages = (next) => {
    const before = [...document.querySelectorAll(".page")].map((page) => page.getAttribute("src"));
    [...next.querySelectorAll(".page")].forEach((page, at) => {
      const source = page.getAttribute("src");
      if (!before[at] || before[at] === source) return;
      page.setAttribute("src", before[at]);
      const early = new Image();
      early.src = source;
      early.decode().catch(() => {}).then(() => page.setAttribute("src", source));
    });
  };

  /** Puts another page of the desk in the place of this one, and leaves the focus and the view where they were. */
  const show = (text, address) => {
    const page = new DOMParser().parseFromString(text, "text/html");
    const next = page.getElementById("main");
    if (!next) {
      location.reload();
      return;
    }
    followPages(next);
    const focused = document.activeElement && document.activeElement.id;
    const top = document.querySelector(".prints")?.scrollTop ?? 0;
    main().replaceWith(next);
    const prints = document.querySelector(".prints");
    if (prints) prints.scrollTop = top;
    const edge = page.querySelector(".edge");
    if (edge && document.querySelector(".edge")) document.querySelector(".edge").replaceWith(edge);
    document.title = page.title;
    document.body.dataset.version = page.body.dataset.version;
    if (address) history.replaceState(null, "", address);
    // Of answers one after another, the next one's question.
    const again = (focused && document.getElementById(focused)) || document.getElementById("ask");
    (again || next).focus({ preventScroll: Boolean(again) });
  };

  /** Sends a form; what comes back takes the place of the page. */
  const send = async (form) => {
    busy += 1;
    try {
      const body = new URLSearchParams(new FormData(form));
      const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin" });
      const where = new URL(answer.url);
      const stays = answer.redirected && where.pathname === location.pathname;
      if (!stays && answer.redirected) {
        location.assign(where.pathname + where.search + where.hash);
        return;
      }
      show(await answer.text(), stays ? where.pathname + (where.searchParams.get("page") ? `?page=${where.searchParams.get("page")}` : "") : null);
    } catch {
      form.submit();
    } finally {
      busy -= 1;
    }
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (["/tick", "/undo", "/answers", "/answers-later", "/answers-undo"].includes(new URL(form.action).pathname)) {
      event.preventDefault();
      const box = form.querySelector(".tick");
      if (box) {
        // At once; what the file holds follows.
        const isOn = box.getAttribute("aria-checked") === "true";
        box.setAttribute("aria-checked", String(!isOn));
        box.firstElementChild.textContent = isOn ? "" : "✓";
      }
      send(form);
    }
  });

  // Boxes to tick are ticked by the space bar, and by nothing twice.
  document.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && event.target.matches && event.target.matches("button.tick") && event.repeat) event.preventDefault();
  });

  // One key each for what is shown with a key: only by itself, once for each press, and never while words are typed.
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || busy) return;
    if (event.target.closest && event.target.closest("input:not([type=hidden]), textarea, select")) return;
    const buttons = [...document.querySelectorAll("button[data-key][aria-keyshortcuts]")];
    const button = buttons.find((button) => button.dataset.key.toLowerCase() === event.key.toLowerCase());
    if (!button) return;
    event.preventDefault();
    button.click();
  });

  /** The certificate as it is typed. What is asked for last is shown, whatever comes back first. */
  let asked = 0;
  let waiting = null;
  const draw = async (form) => {
    const mine = (asked += 1);
    const picture = document.getElementById("picture");
    const told = document.getElementById("picture-told");
    if (!picture) return;
    picture.classList.add("is-old");
    try {
      const body = new URLSearchParams(new FormData(form));
      const answer = await fetch("/typed", { method: "POST", body, credentials: "same-origin" });
      const drawn = await answer.json();
      if (mine !== asked) return;
      if (drawn.picture) {
        picture.src = drawn.picture;
        picture.classList.remove("is-old");
      }
      told.replaceChildren(...drawn.told.map((finding) => {
        const line = document.createElement("li");
        line.className = `told ${finding.level}`;
        const words = finding.level === "note" ? finding.message : `${told.dataset.says} ${finding.message}`;
        line.textContent = words;
        return line;
      }));
    } catch {
      // The picture stays as it was; what is typed is not lost.
    }
  };
  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (form && form.id === "mend" && event.target.closest(".main")) {
      clearTimeout(waiting);
      waiting = setTimeout(() => draw(form), 120);
    }
  });

  /** Whether something was typed that is not saved yet. */
  const isTyping = () => [...document.querySelectorAll("input:not([type=hidden]), textarea")].some((field) => field.value !== field.defaultValue);

  /** Waits for a change in the folder, and shows the page as it is by then. */
  const follow = async () => {
    for (;;) {
      const since = document.body.dataset.version;
      let now = since;
      try {
        const answer = await fetch(`/changed?since=${since}`, { credentials: "same-origin" });
        if (!answer.ok) return;
        now = await answer.text();
      } catch {
        await new Promise((done) => setTimeout(done, 2000));
        continue;
      }
      if (now === since || busy || document.body.dataset.version !== since) continue;
      document.body.dataset.version = now;
      if (isTyping()) continue;
      try {
        const answer = await fetch(location.href, { credentials: "same-origin" });
        const text = await answer.text();
        if (answer.ok && !busy && !isTyping()) show(text, null);
      } catch {
        // The next change is followed again.
      }
    }
  };
  if (document.body.dataset.version) follow();
})();
