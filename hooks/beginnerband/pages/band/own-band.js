/* On a device with a band of its own: shows its players' parts and rows where they were computed, says for whom a page
   was not made, and where the handbook must be built again. What is for some players only bears their ids in
   data-players. */
(() => {
  "use strict";
  const built =
    /** @type {{ name: string, players: string[], names: { [key: string]: string }, first: { [id: string]: string }, root: string } | undefined} */ (
      /** @type {any} */ (window).bbBuiltBand
    );
  const script = /** @type {HTMLScriptElement | null} */ (document.currentScript);
  const heading = document.querySelector("article h1");
  if (!built || !script || !heading) return;
  const root = new URL("..", script.src).href;
  const page = location.href.slice(root.length).split(/[?#]/)[0];
  const room = page.split(/[/.]/)[0];
  if (!["look-up", "tunes", "pieces", "course"].includes(room)) return;

  /** @type {{ name?: string, players?: { instrument: string, reading?: string }[] }} */
  let band = {};
  try {
    band = JSON.parse(localStorage.getItem("bb-set-up") || "{}").band || {};
  } catch {
    return;
  }
  const mine = (band.players || []).map((each) => `${each.instrument}/${each.reading || built.first[each.instrument]}`);
  const missing = mine.filter((key) => !built.players.includes(key));
  const spare = built.players.filter((key) => !mine.includes(key));
  if (!missing.length && !spare.length) return;
  const here = new Set(built.players.filter((key) => mine.includes(key)).map((key) => key.split("/")[0]));

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
    const whose = `On this device ${band.name || "a band of your own"} is set up.`;
    const again = "build the handbook again with your band.yml";
    if (room === "look-up") return `${whose} The look-up shows its instruments.`;
    const names = missing.map((key) => built?.names[key] || key).join(", ");
    const found = [whose];
    if (elsewhere.length) found.push("Only what is for its instruments is shown here.");
    if (missing.length) found.push(`This page was not made for all of it: ${again} for ${names}.`);
    if (room === "pieces") {
      const lost = linesLost();
      if (lost.length) found.push(`Nobody here plays the ${lost.join(" or the ")}.`);
      if (elsewhere.length || !missing.length) {
        found.push(`Lines were shared out for ${built?.name}: to share them out anew, ${again}.`);
      }
    } else if (!missing.length && !elsewhere.length) {
      found.push("Everything here was made for each of its instruments, and for others that it does not have.");
    }
    return found.join(" ");
  }

  /** Lines of a piece in the table of who plays what that are left without a player. */
  function linesLost() {
    const rows = /** @type {HTMLTableRowElement[]} */ ([...document.querySelectorAll(".bb-who tr[data-players]")]);
    const line = (/** @type {HTMLTableRowElement} */ row) => row.cells[1].textContent || "";
    const covered = rows.filter((row) => !elsewhere.includes(row)).map(line);
    return [...new Set(rows.map(line))].filter((each) => !covered.includes(each));
  }
})();
