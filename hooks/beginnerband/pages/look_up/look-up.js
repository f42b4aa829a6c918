/* The look-up: shows what the tables in `bbLookUp` say (pages/look_up_data.py describes them). It computes no music: it
   only goes from one table to the next. The choice is in the address, as #cornet/treble-bb/G4, #.../concert/F4 or
   #.../hand/1-2, so it can be linked to and shared; the last one is remembered. Works inlined and from disk.
   Texts in the tables are safe HTML; nothing from the address is ever put into the page. */
(() => {
  "use strict";
  const D = window.bbLookUp, $ = (id) => document.getElementById("bb-lu-" + id), root = document.getElementById("bb-look-up");
  if (!D || !root) return;
  const CHOICE = "bb-look-up", SHOWN = "bb-look-up-shown", STEP = 5, NOTE_X = 56;
  let reader, from = "written", note, code = "0", keeping, asksAddress;

  /* What is kept on this phone; a browser may refuse. */
  const store = (act) => { try { return act(localStorage); } catch { return null; } };
  const keyOf = (r) => r.id + "/" + r.move, nameOf = (r) => (r.both ? r.name + ", " + D.reads[r.move] : r.name);
  const readerOf = (key) => D.readers.find((r) => keyOf(r) === key);
  const shown = () => {
    const keys = store((s) => JSON.parse(s.getItem(SHOWN)).filter(readerOf));
    return keys && keys[0] ? keys.map(readerOf) : D.readers.filter((r) => r.band);
  };

  /* Notes are {i: index of the name, m: MIDI number}. C flat is below the C its octave begins with, B sharp above. */
  const octave = (n) => (n.m - D.notes[n.i][2]) / 12 - 1;
  const plain = (n) => D.notes[n.i][0] + octave(n);
  const alter = (n) => D.notes[n.i][0][1];
  const letter = (n, how) => D.notes[n.i][0][0] + (alter(n) ? D.signs[alter(n)][how] : "");
  const sign = (n) => letter(n, 0) + octave(n), said = (n) => letter(n, 1) + " " + octave(n);
  const name = (n) => `<span class="bb-lu-name"><b>${letter(n, 0)}</b><small>${octave(n)}</small></span>`;
  const usual = (m) => ({ i: D.usual[m % 12], m });
  const place = (n, clef) => octave(n) * 7 + D.notes[n.i][1] - D.bottom[clef];
  const parse = (text) => {
    const [, known, o] = /^([A-G][b#]?)(-?\d)$/.exec((text || "").replace("♭", "b").replace("♯", "#")) || [];
    const i = D.notes.findIndex((n) => n[0] === known);
    return i < 0 ? null : { i, m: 12 * (+o + 1) + D.notes[i][2] };
  };
  const concertOf = (r, n) => ({ i: D.moves[r.move][0][n.i], m: n.m + r.shift });
  const writtenOf = (r, n) => ({ i: D.moves[r.move][1][n.i], m: n.m - r.shift });
  const limits = (r, level, start) => r[level].map((m) => (start === "concert" ? m + r.shift : m));
  const within = (n, [low, high]) => n.m >= low && n.m <= high;
  const nearest = (n, range) =>
    [0, -1, 1, -2, 2, -3, 3, -4, 4, -5, 5].map((k) => ({ i: n.i, m: n.m + 12 * k })).find((x) => within(x, range));
  const hand = (r) => D.hands[r.hand];
  const ways = (r, written) =>
    ((D.charts[r.hand] || [])[written.m + r.shift - r.base - D.chartFrom] || []).map(([w, cents, poor]) => ({
      code: hand(r).ways[w][0], words: hand(r).ways[w][1], cents, poor,
    }));
  const good = (r, written) => ways(r, written).filter((w) => !w.poor);
  const cents = (c) => (c > 0 ? "+" : c < 0 ? "−" : "") + Math.abs(c) + " cents";

  /* Pictures: the outlines are in the page once, by id. */
  const y = (at) => (8 - at) * STEP;
  const use = (id, x, top) => `<use href="#bb-${id}" x="${x}" y="${top}"/>`;
  const path = (d, width) => `<path d="${d}" stroke-width="${width}"/>`;
  const lines = (x, width) => path([0, 10, 20, 30, 40].map((at) => `M${x} ${at}h${width}`).join(""), 1.2);
  const clefAt = (clef, mark) => use(clef, 4, clef === "treble" ? 30 : 10) +
    (mark ? `<text x="20" y="-18" font-size="13" stroke="none">${mark > 1 ? 15 : 8}</text>` : "");
  const head = (n, at, x) => {
    let d = "";
    for (let line = -2; line >= at; line -= 2) d += `M${x - 4} ${y(line)}h24`;
    for (let line = 10; line <= at; line += 2) d += `M${x - 4} ${y(line)}h24`;
    return path(d, 1.6) + use("note", x, y(at)) + (alter(n) ? use(alter(n) === "b" ? "flat" : "sharp", x - 11, y(at)) : "");
  };
  const svg = (cls, box, inside, label) =>
    `<svg class="bb-${cls}" viewBox="${box}" ${label ? `role="img" aria-label="${label}"` : 'aria-hidden="true"'}` +
    ` stroke="currentColor" fill="${cls === "staff" ? "currentColor" : "none"}">${inside}</svg>`;
  const staff = (r, n) => {
    const at = place(n, r.clef) - 7 * r.marks[0], top = Math.min(-18, y(at) - 9), bottom = Math.max(58, y(at) + 9);
    return svg("staff", [0, top, 86, bottom - top].join(" "), lines(0, 86) + clefAt(r.clef, r.marks[0]) + head(n, at, NOTE_X),
      said(n) + ", " + r.clef + " clef");
  };
  const fill = (drawing, x, n) => drawing.replaceAll("{x}", x).replace("{n}", n);
  const valves = (r) => [1, 2, 3, 4].slice(0, hand(r).valves);
  const fingers = (r, way) => {
    const h = hand(r), index = h.ways.findIndex((w) => w[0] === way.code);
    const inside = h.valves ? valves(r).map((n) => fill(D.valve[+way.code.includes(n)], 32 * n - 32, n)).join("")
      : fill(h.slide[+(way.code[0] === "T")], h.spots[index], way.code.slice(-1));
    return svg("fingers", `0 0 ${h.width} 54`, `<g stroke-width="2">${inside}</g>`, way.words);
  };

  /* The answer, and after it (drawn in the next frame) what the others read. Each is a function that gives the HTML. */
  const link = (r, n, cls, inside) => `<li><a class="${cls}" href="#${address(r, "written", n)}">${inside}</a></li>`;
  const figure = (picture, title, big, words) =>
    `<figure>${picture}<figcaption><small>${title}</small>${big}${words}</figcaption></figure>`;
  const apart = (semitones) => {
    const count = Math.abs(semitones) / 12;
    return count ? `${count > 1 ? count + " octaves" : "an octave"} ${semitones > 0 ? "higher" : "lower"}` : "in unison";
  };
  const sameInstrument = (a, b) => a.id === b.id;
  const hidden = (r) => D.readers.filter((o) => o !== r && sameInstrument(o, r) && !shown().includes(o));
  const row = (r, concert) => {
    const n = nearest(writtenOf(r, concert), r.full);
    if (!n) return "";
    const [best] = good(r, n), more = hidden(r).filter((o) => o !== reader).map((o) => {
      const m = r !== reader && nearest(writtenOf(o, concert), o.full);
      return m ? `; ${sign(m)} in ${D.reads[o.move]}` : "";
    });
    return link(r, n, "bb-lu-row", `${staff(r, n)}<span class="bb-lu-by">${sameInstrument(r, reader) ? nameOf(r) : r.name}</span>${name(n)}` +
      `<small>${apart(n.m + r.shift - concert.m)}${more.join("")}</small>` +
      (best ? `<span class="bb-lu-how">${fingers(r, best)}<b>${best.code}</b></span>` : ""));
  };
  const answer = (r, n) => {
    const [best, ...rest] = good(r, n), concert = concertOf(r, n);
    const todo = (r.do[concert.m] || []).map((t) => D.texts[t]).join(" ");
    const level = within(n, r.start) ? "" : `Beyond the ${within(n, r.year) ? "starter" : "first-year"} range. `;
    return `<div class="bb-lu-main">` +
      figure(staff(r, n), "Written", name(n), D.places[place(n, r.clef) - D.lowest]) +
      (best ? figure(fingers(r, best), "Play", `<span class="bb-lu-name"><b>${best.code}</b></span>`, best.words)
        : figure("", "Strike the bar", `<span class="bb-lu-name"><b>${letter(n, 0)}</b></span>`, "")) + "</div>" +
      `<p>Sounds ${name(concert)} <small>concert pitch, ${Math.round(D.a4 * 2 ** ((concert.m - 69) / 12))} Hz.</small> ` +
      (best ? `${D.tune[best.cents - D.tuneFrom]} <small>(${cents(best.cents)}).</small> ${todo} ` : "") +
      (root.dataset.player ? `<button type="button" data-bb-note="${concert.m}">Hear it</button>` : "") + "</p>" +
      (level ? `<p class="bb-lu-level">${level}</p>` : "") +
      (rest[0] ? `<div class="bb-lu-or">Or ${rest.slice(0, 4).map((w) => figure(fingers(r, w), cents(w.cents), `<b>${w.code}</b>`, "")).join("")}</div>` : "");
  };
  const others = (r, n) => {
    const concert = concertOf(r, n), list = [...hidden(r), ...shown().filter((o) => o !== r)];
    return `<h2>The same sound on the others</h2><ul class="bb-lu-rows">${list.map((o) => row(o, concert)).join("")}</ul>`;
  };
  const handWords = (r) => hand(r).ways.find((w) => w[0] === code)[1];
  const handNotes = (r) => {
    const notes = [];
    for (let m = r.full[0]; m <= r.full[1]; m++) {
      const n = usual(m), way = ways(r, n).find((w) => w.code === code);
      if (way) notes.push([n, way]);
    }
    return notes;
  };
  const handAnswer = (r) => {
    const words = handWords(r);
    return `<div class="bb-lu-main">${figure(fingers(r, { code, words }), "", "", words)}</div>`;
  };
  const handCards = (r) => {
    const cards = handNotes(r).map(([n, way]) => link(r, n, "bb-lu-card" + (way.poor ? " bb-lu-poor" : ""), staff(r, n) +
      `${name(n)}<small>sounds ${sign(concertOf(r, n))}<br>${way.poor ? "out of tune: not for learners" : cents(way.cents)}</small>`));
    return "<h2>The notes it can sound</h2>" +
      (cards[0] ? `<ul class="bb-lu-cards">${cards.join("")}</ul>` : "<p>None in this instrument’s range.</p>");
  };
  const handSaid = (r) => `${r.name}, ${handWords(r)}. Written notes: ` +
    (handNotes(r).map(([n, way]) => said(n) + (way.poor ? " out of tune" : "")).join(", ") || "none") + ".";

  /* The tray: notes to pick, or valves to press. */
  const input = (type, field, value, checked, label) =>
    `<label><input type="${type}" name="${field}" value="${value}"${checked ? " checked" : ""} aria-label="${label}">`;
  const pick = (n, inside) =>
    input("radio", "note", plain(n), n.i === note.i && n.m === note.m, said(n)) + `<span>${inside}</span></label>`;
  const notesTray = (r) => {
    const concert = from === "concert", clef = concert ? r.concert : r.clef, mark = r.marks[+concert], columns = [];
    const [low, high] = limits(r, "full", from), places = [];
    for (let m = low; m <= high; m++)
      D.notes.forEach((x, i) => {
        if ((m - x[2]) % 12) return;
        const n = { i, m }, at = place(n, clef) - 7 * mark;
        places.push(at);
        (columns[at + 50] = columns[at + 50] || {})[alter(n) || "n"] = n;
      });
    const top = Math.min(-18, y(Math.max(...places)) - 9), bottom = Math.max(58, y(Math.min(...places)) + 9);
    const box = [0, top, 44, bottom - top].join(" "), picture = (inside) => svg("staff", box, lines(-99, 250) + inside);
    return `<div class="bb-lu-strip"><div aria-hidden="true"><i></i><span>${picture(clefAt(clef, mark))}</span></div>` +
      columns.map((c, at) => "<div>" + (c["#"] ? pick(c["#"], letter(c["#"], 0)) : "<i></i>") +
        (c.n ? pick(c.n, picture(head(c.n, at - 50, 14)) + name(c.n)) : `<span>${picture("")}</span>`) +
        (c.b ? pick(c.b, letter(c.b, 0)) : "") + "</div>").join("") + "</div>";
  };
  const handTray = (r) => `<div class="bb-lu-hand">` + (hand(r).valves
    ? valves(r).map((n) => input("checkbox", "valve", n, code.includes(n), "Valve " + n) + '<svg viewBox="0 0 32 54" fill="none"' +
      ` stroke="currentColor" stroke-width="2">${fill(D.valve[+code.includes(n)], 0, n)}</svg></label>`)
    : hand(r).ways.map(([w, words]) => input("radio", "place", w, w === code, words) + `<span>${w}</span></label>`)).join("") + "</div>";
  /* The tray is made anew for another player or start only: on a tap the browser has already marked the note in it. */
  let made = "";
  const tray = () => {
    const asked = [keyOf(reader), from, from === "hand" && code].join(" "), anew = asked !== made;
    if (anew) {
      const { name: held, value } = document.activeElement || {};
      $("from").querySelector(`[value=${from}]`).checked = true;
      $("by-hand").textContent = hand(reader).slide ? "position" : "fingering";
      $("by-hand").parentNode.hidden = !hand(reader).width;
      $("pick").innerHTML = from === "hand" ? handTray(reader) : notesTray(reader);
      made = asked;
      const again = /valve|place|note/.test(held) && $("pick").querySelector(held === "valve" ? `[value="${value}"]` : "input:checked");
      if (again) again.focus({ preventScroll: true });
    }
    const chosen = from !== "hand" && $("pick").querySelector(`[value="${plain(note)}"]`);
    if (!chosen || chosen.checked && !anew) return;
    chosen.checked = true;
    requestAnimationFrame(() => { // with the frame's own layout, not by one before it
      const box = chosen.closest("div"), strip = box.parentNode;
      if (strip) strip.scrollLeft = box.offsetLeft - (strip.clientWidth - box.offsetWidth) / 2;
    });
  };

  /* The choice, and its address. */
  const address = (r, start, n) =>
    keyOf(r) + (start === "written" ? "/" : `/${start}/`) + (start === "hand" ? code : encodeURIComponent(plain(n)));
  /* A note the new player has not learnt goes to the nearest octave they have, else their own first note is shown. */
  const fit = (r, n) => (n && (nearest(n, limits(r, "year", from)) || nearest(n, limits(r, "full", from)))) ||
    usual(limits(r, "start", from)[1]);
  const choose = (text) => {
    const parts = store(() => decodeURIComponent(text).split("/")) || [], mine = D.readers.filter((r) => r.id === parts[0]);
    if (!mine[0]) return false;
    reader = mine.find((r) => r.move === parts[1]) || mine.find((r) => r.band) || mine[0];
    const rest = parts.slice(parts[1] === reader.move ? 2 : 1);
    from = /^(concert|hand)$/.test(rest[0]) ? rest.shift() : "written";
    if (from === "hand" && !hand(reader).width) from = "written";
    const n = parse(rest[0]);
    note = n && within(n, limits(reader, "full", from)) ? n : fit(reader, n || note);
    code = ((hand(reader).ways.find((w) => w[0] === (from === "hand" && rest[0] || code)) || hand(reader).ways[0]) || "0")[0];
    return true;
  };
  const written = () => (from === "concert" ? writtenOf(reader, note) : note);
  const show = (write) => {
    const n = written(), byHand = from === "hand", [best] = good(reader, n);
    $("reader").value = keyOf(reader);
    tray();
    $("answer").firstChild.innerHTML = byHand ? handAnswer(reader) : answer(reader, n);
    $("answer").lastChild.setAttribute("aria-busy", "true");
    requestAnimationFrame(() => setTimeout(showRest));
    $("said").textContent = byHand ? handSaid(reader) :
      `${reader.name}, written ${said(n)}: ${best ? best.words + ". " : ""}Sounds ${said(concertOf(reader, n))}.`;
    asksAddress = asksAddress || write;
    clearTimeout(keeping);
    keeping = setTimeout(keep, 200);
  };
  /* What can wait: the others' rows until the answer is on the screen, the address and the memory until a pause. */
  const showRest = () => {
    const rest = $("answer").lastChild;
    if (!rest.hasAttribute("aria-busy")) return;
    rest.innerHTML = from === "hand" ? handCards(reader) : others(reader, written());
    rest.removeAttribute("aria-busy");
  };
  const keep = () => {
    const text = address(reader, from, note), write = asksAddress;
    clearTimeout(keeping);
    asksAddress = false;
    store((s) => s.setItem(CHOICE, text));
    if (write) try { history.replaceState(null, "", "#" + text); } catch { location.replace("#" + text); }
  };
  addEventListener("pagehide", keep);
  /* From written to concert and back it stays the same sound; to the hand it becomes that note's fingering. */
  const turn = (start) => {
    const n = from === "concert" ? writtenOf(reader, note) : note, [best] = good(reader, n);
    if (start === "hand" && best) code = best.code;
    note = start === "concert" ? concertOf(reader, n) : n;
    from = start;
  };

  /* Instruments: the list, and which of them this phone shows. */
  const lists = () => {
    const keys = shown(), group = (label, list) => list[0] ? `<optgroup label="${label}">` +
      list.map((r) => `<option value="${keyOf(r)}">${nameOf(r)}</option>`).join("") + "</optgroup>" : "";
    $("reader").innerHTML = group("Shown here", keys) + group("All others", D.readers.filter((r) => !keys.includes(r)));
    $("mine").innerHTML = D.readers.map((r) =>
      input("checkbox", "shown", keyOf(r), keys.includes(r), nameOf(r)) + nameOf(r) + "</label>").join("") +
      '<button type="button" id="bb-lu-reset">Back to the band’s own list</button>';
    if (reader) $("reader").value = keyOf(reader);
  };
  const picked = (field) => [...root.querySelectorAll(`[name=${field}]:checked`)].map((x) => x.value);
  root.addEventListener("change", ({ target }) => {
    if (target.id === "bb-lu-reader") choose(target.value + (from === "written" ? "" : "/" + from));
    else if (target.name === "note") note = parse(target.value);
    else if (target.name === "place") code = target.value;
    else if (target.name === "valve") code = picked("valve").join("-") || "0";
    else if (target.name === "from") turn(target.value);
    else if (target.name === "shown") {
      store((s) => s.setItem(SHOWN, JSON.stringify(picked("shown"))));
      lists();
      $("mine").querySelector(`[value="${target.value}"]`).focus();
    }
    show(true);
  });
  root.addEventListener("click", ({ target }) => {
    if (target.dataset.bbNote && !window.bandSound && !root.querySelector("script")) { // fetched when first wanted
      const player = root.appendChild(document.createElement("script"));
      player.onload = () => target.click();
      player.src = root.dataset.player;
    }
    if (target.id !== "bb-lu-reset") return;
    store((s) => s.removeItem(SHOWN));
    lists();
    show(true);
  });
  root.addEventListener("submit", (event) => event.preventDefault());
  addEventListener("hashchange", () => {
    asksAddress = false;
    if (choose(location.hash.slice(1))) {
      show();
      scrollTo(0, 0);
    }
  });

  root.hidden = false;
  document.documentElement.classList.add("bb-lu-open");
  lists();
  const asked = choose(location.hash.slice(1));
  if (!asked && !choose(store((s) => s.getItem(CHOICE)))) choose(D.readers[0].id);
  show(asked);
})();
