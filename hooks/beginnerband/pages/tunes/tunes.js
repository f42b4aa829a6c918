/* Tune pages: the reader's own part on top, fingerings under the notes on or off, one part printed alone. Without it
   everything is shown. */
(() => {
  "use strict";

  const FINGERINGS = "bb-fingerings";
  const PART = "bb-part";

  const { kept, keep } = window.bandKit;

  /** Puts the part of the instrument `id` on top and folds the rest; all as it was for an empty id.
   * @param {HTMLElement} tune @param {string} id */
  function show(tune, id) {
    const rest = tune.querySelector("details.bb-rest");
    if (rest) {
      const own = tune.querySelector(":scope > .bb-own");
      if (own) rest.querySelector(".bb-own-place")?.replaceWith(own);
      own?.classList.remove("bb-own");
      rest.replaceWith(...[...rest.childNodes].slice(1));
    }
    const sheets = /** @type {HTMLElement[]} */ ([...tune.querySelectorAll(".bb-sheet[data-players]")]);
    const mine = id ? sheets.find((sheet) => sheet.dataset.players?.split(" ").includes(id)) : undefined;
    const first = tune.querySelector(".bb-choose")?.nextSibling;
    const about = tune.querySelector("#about");
    if (!mine || !first || !about) return;
    const fold = document.createElement("details");
    const summary = document.createElement("summary");
    fold.className = "bb-fold bb-rest";
    summary.textContent = "More: what it asks, other keys and parts, drums";
    const place = document.createElement("span");
    place.className = "bb-own-place";
    mine.before(place);
    /** @type {Node[]} */
    const between = [];
    for (let node = /** @type {Node | null} */ (first); node && node !== about; node = node.nextSibling)
      if (node !== mine) between.push(node);
    about.before(mine, fold);
    mine.classList.add("bb-own");
    fold.append(summary, ...between);
    mine.querySelector(".bb-play")?.dispatchEvent(new Event("bb-choose"));
  }

  const tune = /** @type {HTMLElement | null} */ (document.querySelector("[data-bb-tune]"));
  const part = /** @type {HTMLSelectElement | null} */ (document.querySelector("[data-bb-part]"));
  if (tune && part) {
    const known = [...part.options].map((option) => option.value);
    const last = kept(PART) || "";
    part.value = known.includes(last) ? last : "";
    show(tune, part.value);
    part.addEventListener("change", () => {
      keep(PART, part.value);
      show(tune, part.value);
    });
  }

  /** @param {boolean} on */
  function fingerings(on) {
    document.documentElement.classList.toggle("bb-hide-under", !on);
    keep(FINGERINGS, on ? "on" : "off");
  }

  const boxes = /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("[data-bb-under-switch]"));
  for (const box of boxes) {
    box.checked = kept(FINGERINGS) !== "off";
    fingerings(box.checked);
    /** @type {HTMLElement} */ (box.closest("[hidden]")).hidden = false;
    box.addEventListener("change", () => fingerings(box.checked));
  }

  const prints = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-bb-print]"));
  for (const button of prints) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const sheet = document.getElementById(button.dataset.bbPrint || "");
      document.documentElement.classList.add("bb-print-one");
      sheet?.classList.add("bb-printing");
      window.print();
    });
  }

  window.addEventListener("afterprint", () => {
    document.documentElement.classList.remove("bb-print-one");
    for (const sheet of document.querySelectorAll(".bb-printing")) sheet.classList.remove("bb-printing");
  });
})();
