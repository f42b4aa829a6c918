/* On a device with a band of its own: shows its players' parts and rows where they were computed, says for whom a page
   was not made, and where the handbook must be built again. What is for some players only bears their ids in
   data-players; what was worked out for the whole built band (keys, lessons, the sharing of lines) bears data-bb-built,
   and says for whom. */
(() => {
  "use strict";
  const built = /** @type {BuiltBand | undefined} */ (/** @type {any} */ (window).bbBuiltBand);
  const script = /** @type {HTMLScriptElement | null} */ (document.currentScript);
  const heading = document.querySelector("article h1");
  if (!built || !script || !heading) return;
  const root = new URL("..", script.src).href;
  const page = location.href.slice(root.length).split(/[?#]/)[0];
  const room = page.split(/[/.]/)[0];
  if (!["look-up", "tunes", "pieces", "course"].includes(room)) return;

  /** @type {Bag} */
  let band = {};
  try {
    band = JSON.parse(localStorage.getItem("bb-set-up") || "{}").band || {};
  } catch {
    return;
  }
  const heads = Object.fromEntries(
    (band.players || []).map((/** @type {Bag} */ each) => [
      `${each.instrument}/${each.reading || built.first[each.instrument]}`,
      each.players ?? 1,
    ]),
  );
  const mine = Object.keys(heads);
  const missing = mine.filter((key) => !(key in built.players));
  const spare = Object.keys(built.players).filter((key) => !mine.includes(key));
  const counts = mine.filter((key) => key in built.players && heads[key] !== built.players[key]);
  const otherPlayers = missing.length + spare.length + counts.length > 0;
  const course = { ...built.course.usual, ...band.course };
  const otherCourse = Object.keys(built.course.usual).some(
    (key) => JSON.stringify(course[key]) !== JSON.stringify(built.course.here[key]),
  );
  const otherWords = Object.keys(built.said).some((key) => (band[key] ?? built.usual[key]) !== built.said[key]);
  if (!otherPlayers && !otherWords && (!otherCourse || room === "look-up")) return;
  const here = new Set(mine.filter((key) => key in built.players).map((key) => key.split("/")[0]));

  /** What is for players that this band does not have. */
  const others = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("article [data-players]")]).filter(
    (each) => !(each.dataset.players || "").split(" ").some((id) => here.has(id)),
  );
  const elsewhere = room === "look-up" || !here.size ? [] : [...others, ...others.flatMap(column), ...jumps()];

  /** The cells below a heading of a table.
   * @param {HTMLElement} head
   * @returns {Element[]} */
  function column(head) {
    const table = head.closest("table");
    if (!table || !(head instanceof HTMLTableCellElement)) return [];
    return [...table.rows].flatMap((row) => row.cells[head.cellIndex] || []);
  }

  /** Links to what is left out. */
  function jumps() {
    const links = /** @type {HTMLAnchorElement[]} */ ([...document.querySelectorAll("article .bb-jumps a[href*='#']")]);
    return links.filter((link) => {
      const target = document.getElementById(decodeURIComponent(link.hash.slice(1)));
      return target && others.some((each) => each.contains(target));
    });
  }

  /** @param {boolean} all */
  function show(all) {
    for (const each of elsewhere) {
      each.classList.toggle("bb-not-here", !all);
      if (each instanceof HTMLOptionElement) each.disabled = !all; // some browsers show every option
    }
  }

  const note = document.createElement("aside");
  note.className = "bb-own-band";
  note.setAttribute("aria-label", "Your own band");
  const said = document.createElement("p");
  said.textContent = words();
  const link = document.createElement("a");
  link.href = new URL("set-up.html", root).href;
  link.textContent = "Your set-up";
  said.append(" ", link, ".");
  note.append(said);
  if (elsewhere.length) {
    show(false);
    note.append(choice());
  }
  heading.after(note);

  function choice() {
    const label = document.createElement("label");
    const tick = document.createElement("input");
    tick.type = "checkbox";
    tick.addEventListener("change", () => show(tick.checked));
    label.append(tick, ` Show what is for others in ${built?.name} too`);
    const line = document.createElement("p");
    line.append(label);
    return line;
  }

  function words() {
    const found = [`On this device ${band.name || "a band of your own"} is set up.`];
    const again = "build the handbook again with your band.yml";
    const names = missing.map((key) => built?.names[key] || key).join(", ");
    if (room === "look-up" && otherPlayers) found.push("The look-up shows its instruments.");
    if (elsewhere.length) found.push("Only what is for its instruments is shown here.");
    if (missing.length && room !== "look-up")
      found.push(`This page was not made for all of it: ${again} for ${names}.`);
    const lost = room === "pieces" ? linesLost() : [];
    if (lost.length) found.push(`Nobody here plays the ${lost.join(" or the ")}.`);
    const stale = workedOut();
    if (stale) found.push(`${stale} for ${built?.name}: to have that for your band, ${again}.`);
    if (otherWords) found.push(`Words, paper and tuning note are still those of ${built?.name}: ${again} for yours.`);
    return found.join(" ");
  }

  /** What on this page was worked out for the whole built band, and would come out otherwise; or nothing. */
  function workedOut() {
    if (room === "tunes" && (otherPlayers || otherCourse)) {
      return "Keys, and the lesson from which everyone can play, were worked out";
    }
    if (room === "pieces" && (otherPlayers || otherCourse)) {
      return "Keys, who plays which line, and the lesson from which everyone can play were worked out";
    }
    if (room !== "course") return "";
    if (page.startsWith("course/today") && (otherPlayers || otherCourse)) {
      return "Keys, and the lessons from which everyone can play, were worked out";
    }
    if (otherPlayers && otherCourse) return "Lessons were put together, with their dates, rooms and minutes,";
    if (otherCourse) return "Dates, rooms and minutes of the lessons are set";
    return otherPlayers ? "Lessons and their order were put together" : "";
  }

  if (workedOut()) {
    const lists = /^(tunes|pieces)\/(index|concert)/.test(page) ? ", article caption" : "";
    for (const place of document.querySelectorAll(`[data-bb-built]${lists}`)) {
      const whose = document.createElement("small");
      whose.textContent = ` (for ${built?.name})`;
      place.append(whose);
    }
  }

  /** Lines of a piece in the table of who plays what that are left without a player. */
  function linesLost() {
    const rows = /** @type {HTMLTableRowElement[]} */ ([...document.querySelectorAll(".bb-who tr[data-players]")]);
    const line = (/** @type {HTMLTableRowElement} */ row) => row.cells[1].textContent || "";
    const covered = rows.filter((row) => !elsewhere.includes(row)).map(line);
    return [...new Set(rows.map(line))].filter((each) => !covered.includes(each));
  }
})();
