/* The course: the coming lesson by date, steps that tick off with a running clock, practice ticks, the mover's notes.
   Every page works without this script; it only adds to what is there. */
(() => {
  "use strict";

  function read(key) {
    try {
      return JSON.parse(localStorage.getItem(key) || "null");
    } catch (_e) {
      return null;
    }
  }
  function write(key, value) {
    try {
      localStorage.setItem(key, JSON.stringify(value));
    } catch (_e) {
      /* storage full or shut: ticks last as long as the page */
    }
  }
  const when = window.bandWhen;
  const clock = (seconds) => when.clock(Math.floor(Math.abs(seconds)));

  /* The coming lesson. */
  document.querySelectorAll(".bb-coming").forEach((box) => {
    var items = Array.prototype.slice.call(box.querySelectorAll("li[data-date]"));
    const days = items.map((item) => item.dataset.date);
    const next = items[when.coming(days, when.day(new Date()))];
    if (!next) return;
    next.classList.add("bb-next");
    box.classList.add("bb-chosen");
  });

  /* Ticks of a practice record. */
  document.querySelectorAll("body[data-sheet]").forEach((sheet) => {
    var key = `bb-sheet-${sheet.dataset.sheet}`,
      boxes = sheet.querySelectorAll(".bb-record input"),
      kept = read(key) || [];
    boxes.forEach((box, place) => {
      box.checked = !!kept[place];
      box.addEventListener("change", () => {
        write(
          key,
          Array.prototype.map.call(boxes, (each) => each.checked),
        );
      });
    });
  });

  /* A lesson under way: which step, since when. */
  document.querySelectorAll(".bb-card").forEach((card) => {
    var key = `bb-lesson-${card.dataset.lesson}`;
    var steps = Array.prototype.slice.call(card.querySelectorAll(".bb-step"));
    var ticks = steps.map((step) => step.querySelector(".bb-tick"));
    var panel = card.querySelector(".bb-clock"),
      start = card.querySelector(".bb-clock-start");
    var reset = card.querySelector(".bb-clock-reset"),
      total = card.querySelector(".bb-clock-total");
    var state = read(key) || {},
      timer = null;
    state.done = state.done || [];
    state.spent = state.spent || [];
    var minutes = steps.map((step) => Number(step.dataset.minutes));
    var whole = minutes.reduce((sum, each) => sum + each, 0);

    var said = card.querySelector(".bb-clock-said");
    /* For those who do not see it: the step under way when that changes; the seconds are not read out. */
    function say() {
      var at = current(),
        name = at < 0 ? "" : ticks[at].getAttribute("aria-label").replace("Done: ", "");
      said.textContent =
        at < 0 ? "All steps done." : !state.since ? `Paused at: ${name}.` : `Now: ${name}, ${minutes[at]} minutes.`;
    }
    function current() {
      return ticks.findIndex((tick) => !tick.checked);
    }
    function settle() {
      // put the time since the last look into the step under way
      var at = current(),
        now = Date.now();
      if (state.since && at >= 0) {
        state.spent[at] = (state.spent[at] || 0) + (now - state.since) / 1000;
      }
      if (state.since) {
        state.since = now;
      }
    }
    function show() {
      var at = current(),
        used = 0;
      steps.forEach((step, place) => {
        var spent = state.spent[place] || 0,
          out = step.querySelector(".bb-step-clock"),
          left = minutes[place] * 60 - spent;
        used += spent;
        step.classList.toggle("bb-done", ticks[place].checked);
        step.classList.toggle("bb-step-now", place === at && !!state.since);
        out.hidden = !(place === at && (state.since || spent));
        out.classList.toggle("bb-over", left < 0);
        out.textContent = clock(left);
      });
      total.textContent = used ? `${clock(used)} of ${whole}:00` : "";
      start.textContent = state.since ? "Pause" : used ? "Go on" : "Start the clock";
      reset.hidden = !used && !state.done.some(Boolean);
    }
    function tick() {
      settle();
      write(key, state);
      show();
    }
    function run() {
      clearInterval(timer);
      if (state.since && current() >= 0) {
        timer = setInterval(tick, 1000);
      }
    }
    ticks.forEach((box, place) => {
      box.checked = !!state.done[place];
      box.addEventListener("click", () => {
        // the box has changed already: count the time for the step that was under way before
        var after = box.checked;
        box.checked = !after;
        settle();
        box.checked = after;
        state.done[place] = after;
        if (current() < 0) {
          state.since = null;
        }
        write(key, state);
        show();
        run();
        say();
      });
    });
    start.addEventListener("click", () => {
      settle();
      state.since = state.since ? null : Date.now();
      write(key, state);
      show();
      run();
      say();
    });
    reset.addEventListener("click", () => {
      state = { done: [], spent: [], since: null };
      ticks.forEach((box) => {
        box.checked = false;
      });
      write(key, state);
      show();
      run();
      start.focus();
      say();
    });
    panel.hidden = false;
    settle();
    show();
    run();
  });

  /* Who moves to which instrument, after which lesson, and what they must still learn. */
  document.querySelectorAll(".bb-mover").forEach((form) => {
    var data = JSON.parse(document.querySelector(".bb-mover-data").textContent);
    var answer = form.querySelector(".bb-mover-answer");
    function show() {
      var from = form.elements.from.value,
        to = form.elements.to.value,
        week = Number(form.elements.week.value);
      var steps = (data[to].from[from] || []).filter((step) => step[0] <= week);
      var last = steps.length ? steps[steps.length - 1] : [0, [], []];
      var missing = last[1],
        changed = last[2];
      function named(note) {
        return data[to].notes[note];
      }
      answer.textContent =
        (missing.length ? `To learn: ${missing.map(named).join(", ")}. ` : "No new notes. ") +
        (changed.length ? `Same name, other fingers: ${changed.map(named).join(", ")}.` : "");
    }
    form.addEventListener("change", show);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
    });
    form.hidden = false;
    show();
  });
})();
