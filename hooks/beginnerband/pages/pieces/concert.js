/* Puts a concert programme together from data-pieces; keeps it in the address and in this browser. */
(() => {
  "use strict";

  const root = document.querySelector(".bb-concert[data-pieces]");
  if (!root) return;
  const STORE = "bb-concert";
  const pieces = JSON.parse(root.dataset.pieces);
  const byId = new Map(pieces.map((piece) => [piece.id, piece]));
  let state = { title: "", date: "", gap: Number(root.dataset.gap), items: [] };

  function make(tag, attributes, text) {
    const element = document.createElement(tag);
    Object.keys(attributes || {}).forEach((name) => {
      element.setAttribute(name, attributes[name]);
    });
    if (text !== undefined) element.textContent = text;
    return element;
  }

  const clock = (seconds) => window.bandWhen.clock(Math.round(seconds));

  /* The address holds: #t=title&d=2026-06-20&g=30&p=piece,piece,~Welcome*90 */
  function toHash() {
    const set = new URLSearchParams();
    if (state.title) set.set("t", state.title);
    if (state.date) set.set("d", state.date);
    set.set("g", String(state.gap));
    set.set(
      "p",
      state.items.map((item) => item.id || `~${item.title.replace(/[,*~]/g, " ")}*${item.seconds}`).join(","),
    );
    return `#${set.toString()}`;
  }

  function fromHash(hash) {
    const set = new URLSearchParams(hash.replace(/^#/, ""));
    if (!set.has("p")) return null;
    const gap = Number(set.get("g"));
    return {
      title: (set.get("t") || "").slice(0, 80),
      date: /^\d{4}-\d\d-\d\d$/.test(set.get("d") || "") ? set.get("d") : "",
      gap: gap >= 0 && gap <= 600 ? gap : Number(root.dataset.gap),
      items: set
        .get("p")
        .split(",")
        .slice(0, 60)
        .map((word) => {
          if (byId.has(word)) return { id: word };
          const own = /^~([^*]{1,60})\*(\d{1,5})$/.exec(word);
          return own ? { title: own[1], seconds: Number(own[2]) } : null;
        })
        .filter(Boolean),
    };
  }

  function remembered() {
    try {
      return fromHash(localStorage.getItem(STORE) || "");
    } catch (_error) {
      return null;
    }
  }

  function keep() {
    const hash = toHash();
    history.replaceState(null, "", hash);
    try {
      localStorage.setItem(STORE, hash);
    } catch (_error) {
      /* private browsing: the address still has it */
    }
  }

  function seconds(item) {
    return item.id ? byId.get(item.id).seconds : item.seconds;
  }

  function total() {
    const music = state.items.reduce((sum, item) => sum + seconds(item), 0);
    return music + state.gap * Math.max(0, state.items.length - 1);
  }

  /* A day for people, as everywhere in the handbook: 21 April 2027. */
  function said(day) {
    return new Date(`${day}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  }

  function late(piece) {
    if (piece.week === null) return "some notes come after the course";
    if (state.date && piece.date && piece.date > state.date) return `its notes are known only from ${said(piece.date)}`;
    return "";
  }

  function field(label, attributes, value, changed) {
    const row = make("label", {}, `${label} `);
    const input = make("input", attributes);
    input.value = value;
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
    const found = make("section", { "aria-label": "Programme" });
    found.append(make("h2", {}, state.title || "Programme"));
    found.append(make("p", {}, root.dataset.band + (state.date ? `, ${said(state.date)}` : "")));
    if (!state.items.length) {
      found.append(make("p", { class: "bb-help" }, "Nothing chosen yet: tick pieces above."));
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
    const print = make("button", { type: "button" }, "Print the programme");
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

  function large(text) {
    return text.charAt(0).toUpperCase() + text.slice(1);
  }

  function entry(item, place) {
    const piece = item.id ? byId.get(item.id) : null;
    const name = piece ? piece.title : item.title;
    const line = make("li");
    const row = make("div", { class: "bb-row" });
    const strong = make("strong");
    if (piece) strong.append(make("a", { href: piece.page }, name));
    else strong.textContent = name;
    row.append(strong, make("span", {}, clock(seconds(item))));
    [
      ["Up", -1, place === 0],
      ["Down", 1, place === state.items.length - 1],
    ].forEach((move) => {
      const button = make("button", { type: "button", "aria-label": `${move[0]}: ${name}` }, move[0]);
      button.disabled = move[2];
      button.addEventListener("click", () => {
        state.items.splice(place + move[1], 0, state.items.splice(place, 1)[0]);
        update();
      });
      row.append(button);
    });
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

  /* What has the focus keeps it, though the lists are drawn anew. */
  function sign(element) {
    if (!element || !root.contains(element)) return "";
    return element.type === "checkbox"
      ? `input[value="${CSS.escape(element.value)}"]`
      : element.hasAttribute("aria-label")
        ? `[aria-label="${CSS.escape(element.getAttribute("aria-label"))}"]`
        : "";
  }

  function update() {
    keep();
    const focused = sign(document.activeElement);
    const box = root.querySelector(".bb-settings");
    root.replaceChildren(box, choices(), programme());
    const again = focused && root.querySelector(focused);
    if (again && !again.disabled) again.focus();
  }

  const planned = root.dataset.first ? fromHash(`g=${root.dataset.gap}&p=${root.dataset.first}`) : null;
  state = fromHash(location.hash) || remembered() || planned || state;
  const box = make("div", { class: "bb-settings" });
  box.append(settings());
  root.append(box);
  root.hidden = false;
  document.querySelectorAll(".bb-concert-table").forEach((plain) => {
    plain.hidden = true;
  });
  update();
})();
