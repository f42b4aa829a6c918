/* The form: keeps a band on this device, shows what is covered, and gives and takes the files the build reads.
   set-up-table.js reads a spreadsheet's table, -check its rows, -cover says what a band covers, -files makes files. */
(() => {
  "use strict";

  const KEPT = "bb-set-up";
  const setUp = window.bandSetUp;
  const form = /** @type {HTMLElement} */ (document.getElementById("bb-set-up"));
  if (!form || !setUp) return;
  const rules = /** @type {SetUpRules} */ (JSON.parse(byId("bb-set-up-data").textContent || "{}"));
  const ROWS = [
    { id: "holiday", place: "bb-su-holidays" },
    { id: "learner", place: "bb-su-learners" },
    { id: "item", place: "bb-su-cupboard" },
  ];

  let state = fresh();

  /** @returns {SetUpState} */
  function fresh() {
    return { band: structuredClone(rules.band), learners: [], cupboard: [] };
  }

  /** @param {string} id */
  function byId(id) {
    return /** @type {HTMLElement} */ (document.getElementById(id));
  }

  /** @param {string} text */
  function say(text) {
    byId("bb-su-said").textContent = text;
  }

  /* What this device keeps */

  function load() {
    try {
      const kept = JSON.parse(localStorage.getItem(KEPT) || "null");
      if (kept?.band) state = { ...fresh(), ...kept };
    } catch {
      say("This browser keeps nothing: take the files away before you leave.");
    }
  }

  function keep() {
    try {
      localStorage.setItem(KEPT, JSON.stringify(state));
    } catch {
      say("This browser keeps nothing: take the files away before you leave.");
    }
    tell();
  }

  function tell() {
    let kept = "";
    try {
      kept = localStorage.getItem(KEPT) || "";
    } catch {
      /* shut */
    }
    const people = `${state.learners.length} ${state.learners.length === 1 ? "learner" : "learners"}`;
    byId("bb-su-kept").textContent = kept
      ? `Your band and ${people}, ${kept.length} characters, in this browser alone.`
      : "Nothing of this form.";
    byId("bb-su-all").textContent = kept ? JSON.stringify(JSON.parse(kept), null, 2) : "Nothing.";
  }

  /* Values by path, as course.start or wishes.0 */

  /**
   * @param {Bag} bag
   * @param {string} path
   */
  function get(bag, path) {
    return path
      .split(".")
      .reduce((inner, key) => (inner === null || inner === undefined ? undefined : inner[key]), bag);
  }

  /**
   * Sets a value; an empty one is taken out, with what it leaves empty.
   * @param {Bag} bag
   * @param {string} path
   * @param {any} value
   */
  function put(bag, path, value) {
    const [key, ...rest] = path.split(".");
    if (!rest.length) {
      if (value === undefined) delete bag[key];
      else bag[key] = value;
      return;
    }
    if (/^\d+$/.test(rest[0])) {
      const list = Array.isArray(bag[key]) ? [...bag[key]] : [];
      list[Number(rest[0])] = value;
      bag[key] = list.filter((each) => each !== undefined && each !== "");
      if (!bag[key].length) delete bag[key];
      return;
    }
    if (typeof bag[key] !== "object" || bag[key] === null) bag[key] = {};
    put(bag[key], rest.join("."), value);
    if (!Object.keys(bag[key]).length) delete bag[key];
  }

  /** @param {HTMLInputElement | HTMLSelectElement} field */
  function entered(field) {
    const kind = field.dataset.kind;
    if (kind === "tick") return /** @type {HTMLInputElement} */ (field).checked || undefined;
    if (field.value === "") return undefined;
    if (kind === "number") return Number(field.value);
    if (field.localName === "textarea") return field.value.trim().replace(/\s+/g, " "); // a line, however it was typed
    if (kind === "boolean") return field.value === "true";
    return field.value;
  }

  /**
   * Fills the fields below a place from a bag, and follows their changes.
   * @param {HTMLElement} place
   * @param {Bag} bag
   * @param {() => void} [changed]
   */
  function bind(place, bag, changed) {
    for (const field of fieldsOf(place, "[data-field]")) {
      const path = field.dataset.field || "";
      const value = get(bag, path);
      if (field.dataset.kind === "tick")
        /** @type {HTMLInputElement} */ (field).checked = /** @type {any} */ (value) === true;
      else field.value = value === undefined || value === null ? (field.options?.[0]?.value ?? "") : String(value);
      field.addEventListener("change", () => {
        put(bag, path, entered(field));
        changed?.();
        keep();
      });
    }
    for (const box of fieldsOf(place, "[data-in]")) {
      const key = box.dataset.in || "";
      box.checked = (bag[key] || []).includes(box.value);
      box.addEventListener("change", () => {
        const boxes = fieldsOf(place, `[data-in="${key}"]`);
        const ticked = boxes.filter((each) => each.checked).map((each) => each.value);
        put(bag, key, ticked.length ? ticked : undefined);
        keep();
      });
    }
  }

  /**
   * @param {HTMLElement} place
   * @param {string} selector
   * @returns {any[]}
   */
  function fieldsOf(place, selector) {
    return [...place.querySelectorAll(selector)].filter((each) => each.closest("template") === null);
  }

  /* Rows: holidays, learners, instruments */

  /** @param {string} id */
  function bags(id) {
    if (id === "learner") return state.learners;
    if (id === "item") return state.cupboard;
    if (!state.band.course) state.band.course = {};
    if (!state.band.course.holidays) state.band.course.holidays = [];
    return state.band.course.holidays;
  }

  /**
   * @param {string} id
   * @param {Bag} bag
   */
  function row(id, bag) {
    const template = /** @type {HTMLTemplateElement} */ (byId(`bb-su-${id}`));
    const made = /** @type {HTMLElement} */ (
      /** @type {Element} */ (template.content.firstElementChild).cloneNode(true)
    );
    const title = () => {
      const summary = made.querySelector("summary");
      if (summary) summary.textContent = bag.name || "A new learner";
    };
    title();
    bind(made, bag, () => {
      title();
      if (id === "learner" && setUp.fullName(bag.name || "", rules)) {
        say(`${bag.name} looks like a full name; initials or a nickname are enough.`);
      }
    });
    made.querySelector("[data-remove]")?.addEventListener("click", () => {
      const all = bags(id);
      all.splice(all.indexOf(bag), 1);
      made.remove();
      keep();
    });
    return made;
  }

  for (const button of form.querySelectorAll("[data-add]")) {
    button.addEventListener("click", () => {
      const id = /** @type {HTMLElement} */ (button).dataset.add || "";
      const bag = /** @type {Bag} */ (
        id === "learner"
          ? { name: "", age: "child" }
          : id === "item"
            ? { instrument: Object.keys(rules.instruments)[0] }
            : {}
      );
      bags(id).push(bag);
      const made = row(id, bag);
      if (made instanceof HTMLDetailsElement) made.open = true;
      byId(ROWS.find((each) => each.id === id)?.place || "").append(made);
      /** @type {HTMLElement | null} */ (made.querySelector("input, select"))?.focus();
      keep();
    });
  }

  /* Instruments */

  function instruments() {
    for (const line of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-instrument]"))) {
      const heads = /** @type {HTMLInputElement} */ (line.querySelector("[data-heads]"));
      const reading = /** @type {HTMLSelectElement | null} */ (line.querySelector("[data-reading]"));
      const id = line.dataset.instrument || "";
      const player = () => state.band.players.find((/** @type {Bag} */ each) => each.instrument === id);
      heads.value = player() ? String(player().players ?? 1) : "";
      if (reading) reading.value = player()?.reading ?? rules.instruments[id].readings[0];
      const changed = () => {
        const others = state.band.players.filter((/** @type {Bag} */ each) => each.instrument !== id);
        const count = Number(heads.value);
        if (!heads.value || count < 1) state.band.players = others;
        else {
          const mine = player() || { instrument: id };
          if (reading) mine.reading = reading.value;
          mine.players = count;
          if (!player()) state.band.players.push(mine);
        }
        const order = Object.keys(rules.instruments);
        const known = rules.band.players.map((/** @type {Bag} */ each) => each.instrument);
        const rank = (/** @type {Bag} */ each) =>
          known.includes(each.instrument)
            ? known.indexOf(each.instrument)
            : known.length + order.indexOf(each.instrument);
        state.band.players.sort((/** @type {Bag} */ a, /** @type {Bag} */ b) => rank(a) - rank(b));
        covered();
        keep();
        inLookUp();
      };
      heads.onchange = changed;
      if (reading) reading.onchange = changed;
    }
  }

  /** The look-up shows this device's band: every instrument and reading is computed there. */
  function inLookUp() {
    const keys = state.band.players.map(
      (/** @type {Bag} */ each) =>
        `${each.instrument}/${each.reading ?? rules.instruments[each.instrument]?.readings[0]}`,
    );
    try {
      localStorage.setItem("bb-look-up-shown", JSON.stringify(keys));
    } catch {
      /* shut: the look-up shows the band it was built for */
    }
  }

  /* What is covered: rules alone; the exact plan is the build's */

  function covered() {
    const place = byId("bb-su-covered");
    place.replaceChildren();
    const players = state.band.players.filter((/** @type {Bag} */ each) => rules.instruments[each.instrument]);
    const brass = players.filter((/** @type {Bag} */ each) => rules.instruments[each.instrument].brass);
    const list = document.createElement("ul");
    const lost = setUp.linesLost(brass, rules);
    for (const line of rules.lines) {
      const able = brass.filter((/** @type {Bag} */ each) => rules.instruments[each.instrument].covers.includes(line));
      const names = able.map((/** @type {Bag} */ each) => rules.instruments[each.instrument].name).join(", ");
      if (lost.includes(line)) entry(list, `${capital(line)}: nobody${names ? " left" : ""} for it`, true);
      else entry(list, `${capital(line)}: ${names}`, false);
    }
    if (!players.some((/** @type {Bag} */ each) => rules.basses.includes(each.instrument)) && rules.basses.length) {
      const names = rules.basses.map((/** @type {string} */ id) => rules.instruments[id].name).join(" or ");
      entry(list, `No ${names}: everything rests on one`, true);
    }
    place.append(list, balance(players));
  }

  /** @param {Bag[]} players */
  function balance(players) {
    const said = document.createElement("p");
    const found = setUp.unbalanced(players, rules);
    if (!found) return said;
    const { count, odd } = found;
    said.textContent = odd.length
      ? `${count} players. Not as usual, which need not be wrong: ${odd.join(", ")}.`
      : `${count} players, balanced as is usual.`;
    return said;
  }

  /**
   * @param {HTMLElement} list
   * @param {string} text
   * @param {boolean} lack
   */
  function entry(list, text, lack) {
    const item = document.createElement("li");
    item.textContent = lack ? `${text}.` : text;
    if (lack) item.className = "bb-su-lack";
    list.append(item);
  }

  /** @param {string} text */
  function capital(text) {
    return text[0].toUpperCase() + text.slice(1);
  }

  /* Files */

  for (const button of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll("[data-save]"))) {
    button.addEventListener("click", () => {
      const id = button.dataset.save || "";
      const trouble = outOfRange(id) || setUp.complaint(id, state, rules);
      if (trouble) {
        say(trouble);
        byId("bb-su-said").scrollIntoView({ block: "center" });
        return;
      }
      const file = setUp.files[id];
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([file.text(state)], { type: "text/plain" }));
      link.download = file.name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10000);
      say(`${file.name} is among your downloads. ${setUp.remark(id, state)}`.trim());
    });
  }

  /** What stands in a field of a file's part of the form and cannot be meant, by the field's own bounds.
   * @param {string} id */
  function outOfRange(id) {
    /** @type {{ [id: string]: string }} */
    const parts = {
      band: "#bb-su-band, #bb-su-course, #bb-su-players",
      learners: "#bb-su-learners",
      cupboard: "#bb-su-cupboard",
    };
    for (const part of parts[id] ? form.querySelectorAll(parts[id]) : []) {
      for (const field of /** @type {HTMLInputElement[]} */ (fieldsOf(/** @type {HTMLElement} */ (part), "input"))) {
        const { badInput, rangeUnderflow, rangeOverflow, stepMismatch, typeMismatch } = field.validity;
        const label = (field.closest("label")?.textContent || "").trim();
        if (rangeUnderflow || rangeOverflow || (stepMismatch && field.step === "1")) {
          return `${label}: ${field.value} cannot be; ${field.min} to ${field.max}${field.step === "1" ? ", whole" : ""}.`;
        }
        if (badInput || (typeMismatch && field.type !== "url")) return `${label}: what stands there cannot be read.`;
      }
    }
    return "";
  }

  byId("bb-su-read").addEventListener("change", async (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const said = [];
    for (const file of input.files || []) {
      const taken = setUp.take(file.name, await file.arrayBuffer(), state, rules);
      state = taken.state;
      said.push(...taken.said);
    }
    input.value = "";
    show();
    keep();
    inLookUp();
    say(said.join("\n"));
    byId("bb-su-said").scrollIntoView({ block: "center" });
  });

  form.querySelector("[data-forget]")?.addEventListener("click", () => {
    try {
      localStorage.removeItem(KEPT);
      localStorage.removeItem("bb-look-up-shown");
    } catch {
      /* shut: nothing was kept */
    }
    state = fresh();
    show();
    tell();
    say("Deleted. This device keeps nothing of this form any more.");
  });

  /* Showing */

  function show() {
    for (const { place } of ROWS) byId(place).replaceChildren();
    for (const id of ["bb-su-band", "bb-su-course"]) {
      const old = byId(id);
      const made = /** @type {HTMLElement} */ (old.cloneNode(true)); // without the old listeners
      old.replaceWith(made);
      bind(made, state.band);
      for (const button of made.querySelectorAll("[data-add]")) addHoliday(/** @type {HTMLElement} */ (button));
    }
    for (const { id, place } of ROWS)
      byId(place).replaceChildren(...bags(id).map((/** @type {Bag} */ bag) => row(id, bag)));
    instruments();
    covered();
    tell();
  }

  /** @param {HTMLElement} button */
  function addHoliday(button) {
    button.addEventListener("click", () => {
      const bag = /** @type {Bag} */ ({});
      bags("holiday").push(bag);
      byId("bb-su-holidays").append(row("holiday", bag));
      keep();
    });
  }

  const zones = /** @type {any} */ (Intl).supportedValuesOf?.("timeZone") || [];
  byId("bb-su-zones").replaceChildren(
    ...zones.map((/** @type {string} */ zone) => {
      const option = document.createElement("option");
      option.value = zone;
      return option;
    }),
  );
  load();
  show();
  form.hidden = false;
  for (const needless of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".bb-needs-script"))) {
    needless.hidden = true;
  }
})();
