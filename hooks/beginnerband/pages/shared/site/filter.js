/* Narrows a list to the rows that hold every word typed. Without it the whole list simply stands there. */
(() => {
  "use strict";

  /** Letters as they are typed.
   * @param {string} text */
  function plain(text) {
    return text.toLowerCase().replace(/♭/g, "b").replace(/♯/g, "#");
  }

  /** @param {HTMLInputElement} input */
  function start(input) {
    const place = document.getElementById(input.dataset.bbFilter || "");
    const label = input.closest("label");
    const count = label?.parentElement?.querySelector(".bb-filter-count");
    if (!place || !label || !count) return;
    const rows = /** @type {HTMLElement[]} */ ([...place.querySelectorAll("[data-bb-row]")]);
    const groups = /** @type {NodeListOf<HTMLElement>} */ (place.querySelectorAll("[data-bb-group]"));
    const texts = rows.map((row) => plain(`${row.textContent} ${row.dataset.bbWords || ""}`)); // and words it is found by

    const narrow = () => {
      const words = plain(input.value).split(/\s+/).filter(Boolean);
      let shown = 0;
      rows.forEach((row, index) => {
        row.hidden = !words.every((word) => texts[index].includes(word));
        shown += row.hidden ? 0 : 1;
      });
      groups.forEach((group) => {
        group.hidden = !group.querySelector("[data-bb-row]:not([hidden])");
      });
      count.textContent = words.length ? shown + (shown === 1 ? " match" : " matches") : "";
    };

    label.hidden = false;
    input.addEventListener("input", narrow);
    window.addEventListener("hashchange", () => {
      input.value = "";
      narrow();
    });
    if (input.value) {
      narrow();
    }
  }

  /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("[data-bb-filter]")).forEach(start);
})();
