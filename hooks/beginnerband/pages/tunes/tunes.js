/* Tune pages: the reader's own part on top, fingerings under the notes on or off, one part printed alone. Without it
   everything is shown. */
(() => {
  "use strict";

  const FINGERINGS = "bb-fingerings";
  const PART = "bb-part";

  const { kept, keep } = window.bandKit;

  /** All that stands between the choice of a part and what is said of the tune, in order.
   * @param {HTMLElement} tune
   * @param {Element} about */
  function music(tune, about) {
    const nodes = [...tune.childNodes];
    const choice = nodes.findIndex((node) => node instanceof HTMLElement && node.matches(".bb-tune-top"));
    return nodes.slice(choice + 1, nodes.indexOf(about));
  }

  /** Puts the part of the instrument `id` on top, below its own heading, and folds the rest; all as it was for an empty
   * id.
   * @param {HTMLElement} tune
   * @param {Element} about
   * @param {ChildNode[]} every
   * @param {string} id */
  function show(tune, about, every, id) {
    const rest = tune.querySelector("details.bb-rest");
    if (rest) {
      about.before(...every);
      rest.remove();
    }
    const elements = every.filter((node) => node instanceof HTMLElement);
    const own = elements.findIndex((one) => one.matches(".bb-sheet") && one.dataset.players?.split(" ").includes(id));
    if (!id || own < 0) return;
    const mine = elements[own];
    /** @type {ChildNode[]} */
    const top = [
      ...elements
        .slice(0, own)
        .filter((one) => one.matches("h2"))
        .slice(-1),
      mine,
    ];
    const fold = document.createElement("details");
    const summary = document.createElement("summary");
    fold.className = "bb-fold bb-rest";
    summary.textContent = "More: what it asks, other keys and parts, drums";
    fold.append(summary, ...every.filter((node) => !top.includes(node)));
    about.before(...top, fold);
    mine.querySelector(".bb-play")?.dispatchEvent(new Event("bb-choose"));
  }

  const tune = /** @type {HTMLElement | null} */ (document.querySelector("[data-bb-tune]"));
  const part = /** @type {HTMLSelectElement | null} */ (document.querySelector("[data-bb-part]"));
  const about = tune?.querySelector("#about");
  if (tune && about && part) {
    const every = music(tune, about);
    const known = [...part.options].map((option) => option.value);
    const last = kept(PART) || "";
    part.value = known.includes(last) ? last : "";
    show(tune, about, every, part.value);
    part.addEventListener("change", () => {
      keep(PART, part.value);
      show(tune, about, every, part.value);
    });
  }

  /** @param {boolean} on */
  function fingerings(on) {
    document.documentElement.classList.toggle("bb-hide-under", !on);
    for (const box of boxes) box.checked = on;
    keep(FINGERINGS, on ? "on" : "off");
  }

  const boxes = /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("[data-bb-under-switch]"));
  if (boxes.length) fingerings(kept(FINGERINGS) !== "off");
  for (const box of boxes) {
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
