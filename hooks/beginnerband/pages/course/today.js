/* What can we play today: shows what the band can play at one lesson, the coming one by date, and in which way. Without
   this script the list stands under the lessons. */
(() => {
  "use strict";
  const box = /** @type {HTMLElement | null} */ (document.querySelector(".bb-today"));
  const choice = /** @type {HTMLElement | null} */ (box?.querySelector(".bb-today-choice"));
  const week = /** @type {HTMLSelectElement | null} */ (box?.querySelector(".bb-today-week"));
  const count = box?.querySelector(".bb-today-count");
  if (!box || !choice || !week || !count) return;
  const when = window.bandWhen;
  const sections = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-week]")]);

  /** What is written of an entry at a lesson.
   * @param {HTMLElement} item
   * @param {number} at */
  function ways(item, at) {
    const known = [
      ["by ear", item.dataset.ear],
      ["from paper", item.dataset.paper],
    ].filter((way) => way[1] !== undefined && Number(way[1]) <= at);
    const said = known.length > 1 ? "by ear or on paper" : known[0]?.[0] || "";
    return said.charAt(0).toUpperCase() + said.slice(1);
  }

  function show() {
    const at = Number(week?.value);
    let shown = 0;
    for (const section of sections) {
      section.hidden = Number(section.dataset.week) > at;
      if (section.hidden) continue;
      for (const item of /** @type {NodeListOf<HTMLElement>} */ (section.querySelectorAll("li"))) {
        const words = item.querySelector(".bb-today-ways");
        if (words) words.textContent = ways(item, at);
        shown += 1;
      }
    }
    if (count) count.textContent = shown ? `${shown} to choose from` : "nothing yet: sing, clap and buzz";
  }

  const days = [...week.options].map((option) => option.dataset.date || "");
  week.selectedIndex = Math.max(when.coming(days, when.day(new Date())), 0);
  choice.hidden = false;
  box.classList.add("bb-today-chosen");
  week.addEventListener("change", show);
  show();
})();
