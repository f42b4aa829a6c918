/* Puts a concert programme together from data-pieces; keeps it in the address and in this browser. */
(() => {
  "use strict";

  /** A piece as concert.py sends it; a tune that everybody plays as one has no week and no date.
   * @typedef {{ id: string, title: string, seconds: number, page: string, week?: number | null, date?: string, composer: string, who: [line: string, players: string][] }} Piece */
  /** Something in the programme: a piece, or something of the leader's own.
   * @typedef {{ id: string, title?: undefined, seconds?: undefined } | { id?: undefined, title: string, seconds: number }} Item */
  /** @typedef {{ title: string, date: string, gap: number, items: Item[] }} Concert */

  const root = /** @type {HTMLElement} */ (document.querySelector(".bb-concert[data-pieces]"));
  if (!root) return;
  const { make, kept } = window.bandKit;
  const STORE = "bb-concert";
  const pieces = /** @type {Piece[]} */ (JSON.parse(root.dataset.pieces || "[]"));
  const byId = new Map(pieces.map((piece) => [piece.id, piece]));
  /** @type {Concert} */
  let state = { title: "", date: "", gap: Number(root.dataset.gap), items: [] };

  /** @param {number} seconds */
  const clock = (seconds) => window.bandWhen.clock(Math.round(seconds));

  /* The address holds: #t=title&d=2026-06-20&g=30&p=piece,piece,~Welcome*90 */
  function toHash() {
    const set = new URLSearchParams();
    if (state.title) set.set("t", state.title);
    if (state.date) set.set("d", state.date);
    set.set("g", String(state.gap));
    set.set(
      "p",
      state.items.map((item) => item.id ?? `~${item.title.replace(/[,*~]/g, " ")}*${item.seconds}`).join(","),
    );
    return `#${set.toString()}`;
  }

  /** @param {string} hash
   * @returns {Concert | null} */
  function fromHash(hash) {
    const set = new URLSearchParams(hash.replace(/^#/, ""));
    if (!set.has("p")) return null;
    const gap = Number(set.get("g"));
    const date = set.get("d") || "";
    return {
      title: (set.get("t") || "").slice(0, 80),
      date: /^\d{4}-\d\d-\d\d$/.test(date) ? date : "",
      gap: gap >= 0 && gap <= 600 ? gap : Number(root.dataset.gap),
      items: (set.get("p") || "")
        .split(",")
        .slice(0, 60)
        .flatMap((word) => {
          if (byId.has(word)) return { id: word };
          const own = /^~([^*]{1,60})\*(\d{1,5})$/.exec(word);
          return own ? { title: own[1], seconds: Number(own[2]) } : [];
        }),
    };
  }

  function keep() {
    const hash = toHash();
    history.replaceState(null, "", hash);
    window.bandKit.keep(STORE, hash); // and where the browser keeps nothing, the address still has it
  }

  /** @param {Item} item
   * @returns {number} */
  function seconds(item) {
    return (item.id === undefined ? item.seconds : byId.get(item.id)?.seconds) || 0;
  }

  function total() {
    const music = state.items.reduce((sum, item) => sum + seconds(item), 0);
    return music + state.gap * Math.max(0, state.items.length - 1);
  }

  /** A day for people, as everywhere in the handbook: 21 April 2027.
   * @param {string} day */
  function said(day) {
    return new Date(`${day}T12:00`).toLocaleDateString(root.dataset.dates, {
      day: "numeric",
      month: "long",
      year: "numeric",
    });
  }

  /** Why a piece comes too late for the day, or nothing.
   * @param {Piece} piece */
  function late(piece) {
    if (piece.week === null) return "some notes come after the course";
    if (state.date && piece.date && piece.date > state.date) return `its notes are known only from ${said(piece.date)}`;
    return "";
  }

  /** @param {string} label
   * @param {Record<string, string>} attributes
   * @param {string | number} value
   * @param {(value: string) => void} changed */
  function field(label, attributes, value, changed) {
    const row = make("label", {}, `${label} `);
    const input = make("input", attributes);
    input.value = String(value);
    input.addEventListener("change", () => {
      changed(input.value);
      update();
    });
    row.append(input);
    return row;
  }

  function settings() {
    const box = make("fieldset", { class: "bb-help" });
    box.append(make("legend", {}, "The evening"));
    box.append(
      field("Title", { type: "text", maxlength: "80", placeholder: "Our first concert" }, state.title, (value) => {
        state.title = value;
      }),
      field("Date", { type: "date" }, state.date, (value) => {
        state.date = value;
      }),
      field("Seconds between pieces", { type: "number", min: "0", max: "600", step: "10" }, state.gap, (value) => {
        state.gap = Math.min(600, Math.max(0, Number(value) || 0));
      }),
    );
    return box;
  }

  function choices() {
    const box = make("fieldset", { class: "bb-choices" });
    box.append(make("legend", {}, "Pieces"));
    pieces.forEach((piece) => {
      const row = make("label");
      const tick = make("input", { type: "checkbox", value: piece.id });
      tick.checked = state.items.some((item) => item.id === piece.id);
      tick.addEventListener("change", () => {
        if (tick.checked) state.items.push({ id: piece.id });
        else state.items = state.items.filter((item) => item.id !== piece.id);
        update();
      });
      const note = late(piece);
      row.append(tick, make("span", {}, `${piece.title}, ${clock(piece.seconds)}${note ? ` (${note})` : ""}`));
      box.append(row);
    });
    box.append(own());
    return box;
  }

  function own() {
    const row = make("div", { class: "bb-row bb-links" });
    const title = make("input", {
      type: "text",
      maxlength: "60",
      "aria-label": "Something else, as a welcome",
      placeholder: "Something else, as a welcome",
    });
    const length = make("input", {
      type: "number",
      min: "0",
      max: "60",
      step: "0.5",
      value: "2",
      "aria-label": "Its minutes",
    });
    const add = make("button", { type: "button" }, "Add");
    add.addEventListener("click", () => {
      const name = title.value.trim();
      if (!name) {
        title.focus();
        return;
      }
      state.items.push({ title: name, seconds: Math.round(Number(length.value) * 60) || 0 });
      update();
    });
    row.append(title, length, make("span", {}, "minutes"), add);
    return row;
  }

  function programme() {
    const word = root.dataset.programme || "";
    const found = make("section", { "aria-label": large(word) });
    found.append(make("h2", {}, state.title || large(word)));
    found.append(make("p", {}, root.dataset.band + (state.date ? `, ${said(state.date)}` : "")));
    if (!state.items.length) {
      found.append(make("p", { class: "bb-help" }, "Nothing chosen yet: choose pieces above."));
      return found;
    }
    const list = make("ol", { class: "bb-programme" });
    state.items.forEach((item, place) => {
      list.append(entry(item, place));
    });
    found.append(list);
    found.append(
      make(
        "p",
        { class: "bb-total", role: "status" },
        `Running time ${clock(total())}, with ${state.gap} seconds between pieces`,
      ),
    );
    const print = make("button", { type: "button" }, `Print the ${word}`);
    print.addEventListener("click", () => {
      window.print();
    });
    const clear = make("button", { type: "button" }, "Start again");
    clear.addEventListener("click", () => {
      state.items = [];
      update();
    });
    const row = make("p", { class: "bb-links" });
    row.append(print, clear);
    found.append(row);
    return found;
  }

  /** @param {string} text */
  function large(text) {
    return text.charAt(0).toUpperCase() + text.slice(1);
  }

  /** @param {Item} item
   * @param {number} place */
  function entry(item, place) {
    const piece = byId.get(item.id || "");
    const name = piece?.title ?? item.title ?? "";
    const line = make("li");
    const row = make("div", { class: "bb-row" });
    const strong = make("strong");
    if (piece) strong.append(make("a", { href: piece.page }, name));
    else strong.textContent = name;
    row.append(strong, make("span", {}, clock(seconds(item))));
    for (const { words, by, disabled } of [
      { words: "Up", by: -1, disabled: place === 0 },
      { words: "Down", by: 1, disabled: place === state.items.length - 1 },
    ]) {
      const button = make("button", { type: "button", "aria-label": `${words}: ${name}` }, words);
      button.disabled = disabled;
      button.addEventListener("click", () => {
        state.items.splice(place + by, 0, state.items.splice(place, 1)[0]);
        update();
      });
      row.append(button);
    }
    const off = make("button", { type: "button", "aria-label": `Remove: ${name}` }, "Remove");
    off.addEventListener("click", () => {
      state.items.splice(place, 1);
      update();
    });
    row.append(off);
    line.append(row);
    if (piece) {
      const who = piece.who.map((one) => `${one[0]}: ${one[1]}`).join("; ");
      if (piece.composer) line.append(make("div", {}, large(piece.composer)));
      line.append(make("div", {}, `${large(who)}.`));
      const note = late(piece);
      if (note) line.append(make("div", { class: "bb-help" }, `Mind: ${note}.`));
    }
    return line;
  }

  /** Finds what has the focus again, though the lists are drawn anew.
   * @param {Element | null} element */
  function sign(element) {
    if (!element || !root.contains(element)) return "";
    if (element instanceof HTMLInputElement && element.type === "checkbox") {
      return `input[value="${CSS.escape(element.value)}"]`;
    }
    const label = element.getAttribute("aria-label");
    return label === null ? "" : `[aria-label="${CSS.escape(label)}"]`;
  }

  function update() {
    keep();
    const focused = sign(document.activeElement);
    root.replaceChildren(box, choices(), programme());
    const again = focused && root.querySelector(focused);
    if (again instanceof HTMLInputElement || again instanceof HTMLButtonElement) again.focus(); // not if disabled
  }

  const planned = root.dataset.first ? fromHash(`g=${root.dataset.gap}&p=${root.dataset.first}`) : null;
  state = fromHash(location.hash) || fromHash(kept(STORE) || "") || planned || state;
  const box = make("div", { class: "bb-settings" });
  box.append(settings());
  root.append(box);
  root.hidden = false;
  for (const plain of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".bb-concert-table"))) {
    plain.hidden = true;
  }
  update();
})();
