/* The course: the coming lesson by date, steps that tick off with a running clock, practice ticks, the mover's notes.
   Every page works without this script; it only adds to what is there. */
(() => {
  "use strict";

  const { kept, keep } = window.bandKit;
  const when = window.bandWhen;

  /** @param {number} seconds */
  const clock = (seconds) => when.clock(Math.floor(Math.abs(seconds)));

  /** What this device keeps under a key; nothing where it cannot be read.
   * @param {string} key */
  function read(key) {
    try {
      return JSON.parse(kept(key) || "null");
    } catch {
      return null;
    }
  }

  /** @param {string} selector
   * @param {ParentNode} [within]
   * @returns {any[]} */
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];

  /* The coming lesson. */
  for (const box of all(".bb-coming")) {
    const items = /** @type {HTMLElement[]} */ (all("li[data-date]", box));
    const days = items.map((item) => item.dataset.date || "");
    const next = items[when.coming(days, when.day(new Date()))];
    if (!next) continue;
    next.classList.add("bb-next");
    box.classList.add("bb-chosen");
  }

  /* The coming lesson in the list of lessons and in the menu, which opens at it. */
  for (const list of all("[data-bb-days]")) {
    const lessons = /** @type {string} */ (list.dataset.bbDays).split(",").map((one) => one.split(" "));
    const days = lessons.map(([date]) => date);
    const next = lessons[when.coming(days, when.day(new Date()))];
    if (!next) continue;
    const links = all(`.bb-lessons a[href$="${next[1]}"], .md-nav--primary a.md-nav__link[href$="${next[1]}"]`);
    for (const link of all("a[data-bb-coming]")) {
      link.href = next[1];
      link.hidden = false;
    }
    for (const link of links) link.append(" ", window.bandKit.make("small", { class: "bb-coming-mark" }, "coming"));
    const inMenu = [...links].find((link) => link.matches(".md-nav__link"));
    const menu = /** @type {HTMLInputElement | null} */ (document.getElementById("__drawer"));
    menu?.addEventListener("change", () => {
      if (menu.checked && inMenu) requestAnimationFrame(() => inMenu.scrollIntoView({ block: "center" }));
    });
  }

  /* Ticks of a practice record. */
  for (const sheet of all("body[data-sheet]")) {
    const key = `bb-sheet-${sheet.dataset.sheet}`;
    const boxes = /** @type {HTMLInputElement[]} */ (all(".bb-record input", sheet));
    const ticked = read(key) || [];
    for (const [place, box] of boxes.entries()) {
      box.checked = Boolean(ticked[place]);
      box.addEventListener("change", () => keep(key, JSON.stringify(boxes.map((each) => each.checked))));
    }
  }

  for (const card of all(".bb-card")) underWay(card);

  /** A lesson under way: which step, since when.
   * @param {HTMLElement} card */
  function underWay(card) {
    const key = `bb-lesson-${card.dataset.lesson}`;
    const steps = /** @type {HTMLElement[]} */ (all(".bb-step", card));
    const ticks = steps.map((step) => /** @type {HTMLInputElement} */ (step.querySelector(".bb-tick")));
    const minutes = steps.map((step) => Number(step.dataset.minutes));
    const whole = minutes.reduce((sum, each) => sum + each, 0);
    const [panel, start, reset, total, said] = ["", "-start", "-reset", "-total", "-said"].map(
      (part) => /** @type {HTMLElement} */ (card.querySelector(`.bb-clock${part}`)),
    );
    /** Ticked steps, seconds spent by step, and since when (milliseconds) the clock runs.
     * @type {{ done: boolean[], spent: number[], since: number | null }} */
    let state = { done: [], spent: [], since: null, ...read(key) };
    let timer = 0;

    const current = () => ticks.findIndex((tick) => !tick.checked);

    /** For those who do not see it: the step under way when that changes; the seconds are not read out. */
    function say() {
      const at = current();
      const name = ticks[at]?.getAttribute("aria-label")?.replace("Done: ", "");
      if (at < 0) said.textContent = "All steps done.";
      else said.textContent = state.since ? `Now: ${name}, ${minutes[at]} minutes.` : `Paused at: ${name}.`;
    }

    /** Puts the time since the last look into the step under way. */
    function settle() {
      if (!state.since) return;
      const at = current();
      const now = Date.now();
      if (at >= 0) state.spent[at] = (state.spent[at] || 0) + (now - state.since) / 1000;
      state.since = now;
    }

    function show() {
      const at = current();
      let used = 0;
      for (const [place, step] of steps.entries()) {
        const spent = state.spent[place] || 0;
        const left = minutes[place] * 60 - spent;
        const out = /** @type {HTMLElement} */ (step.querySelector(".bb-step-clock"));
        used += spent;
        step.classList.toggle("bb-done", ticks[place].checked);
        step.classList.toggle("bb-step-now", place === at && Boolean(state.since));
        out.hidden = !(place === at && (state.since || spent));
        out.classList.toggle("bb-over", left < 0);
        out.textContent = clock(left);
      }
      total.textContent = used ? `${clock(used)} of ${whole}:00` : "";
      start.textContent = state.since ? "Pause" : used ? "Go on" : "Start the clock";
      reset.hidden = !used && !state.done.some(Boolean);
    }

    function run() {
      clearInterval(timer);
      if (!state.since || current() < 0) {
        window.bandAwake.letGo(card);
        return;
      }
      window.bandAwake.keep(card);
      timer = window.setInterval(() => {
        settle();
        keep(key, JSON.stringify(state));
        show();
      }, 1000);
    }

    window.bandAwake.said((words) => {
      for (const says of card.querySelectorAll(".bb-awake")) says.textContent = words;
    });

    function changed() {
      keep(key, JSON.stringify(state));
      show();
      run();
      say();
    }

    for (const [place, box] of ticks.entries()) {
      box.checked = Boolean(state.done[place]);
      box.addEventListener("click", () => {
        // the box has changed already: count the time for the step that was under way before
        const after = box.checked;
        box.checked = !after;
        settle();
        box.checked = after;
        state.done[place] = after;
        if (current() < 0) state.since = null;
        changed();
      });
    }
    start.addEventListener("click", () => {
      settle();
      state.since = state.since ? null : Date.now();
      changed();
    });
    reset.addEventListener("click", () => {
      state = { done: [], spent: [], since: null };
      for (const box of ticks) box.checked = false;
      changed();
      start.focus();
    });
    panel.hidden = false;
    settle();
    show();
    run();
  }

  /* Who moves to which instrument, after which lesson, and what they must still learn. */
  for (const form of all(".bb-mover")) {
    /** As progress.py sends it: what a note is called, and from which week on what is missing and what has changed.
     * @type {{ [to: string]: { notes: { [note: string]: string }, from: { [from: string]: [week: number, learn: string[], changed: string[]][] } } }} */
    const data = JSON.parse(document.querySelector(".bb-mover-data")?.textContent || "{}");
    const answer = form.querySelector(".bb-mover-answer");
    const show = () => {
      const { from, to, week } = form.elements;
      const steps = (data[to.value].from[from.value] || []).filter((step) => step[0] <= Number(week.value));
      const last = steps.at(-1) || [0, [], []];
      const named = (/** @type {string[]} */ notes) => notes.map((note) => data[to.value].notes[note]).join(", ");
      answer.textContent =
        (last[1].length ? `To learn: ${named(last[1])}. ` : "No new notes. ") +
        (last[2].length ? `Same name, other fingers: ${named(last[2])}.` : "");
    };
    form.addEventListener("change", show);
    form.addEventListener("submit", (/** @type {Event} */ event) => event.preventDefault());
    form.hidden = false;
    show();
  }
})();
