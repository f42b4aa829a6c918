/* Narrows a list to the rows that hold every word typed. Without it the whole list simply stands there. */
(() => {
  "use strict";

  function plain(text) {
    return text.toLowerCase().replace(/♭/g, "b").replace(/♯/g, "#");
  }

  function start(input) {
    var place = document.getElementById(input.dataset.bbFilter);
    var count = input.closest("label").parentElement.querySelector(".bb-filter-count");
    var rows = Array.prototype.slice.call(place.querySelectorAll("[data-bb-row]"));
    var texts = rows.map((row) => plain(row.textContent));

    function narrow() {
      var words = plain(input.value).split(/\s+/).filter(Boolean);
      var shown = 0;
      rows.forEach((row, index) => {
        row.hidden = !words.every((word) => texts[index].indexOf(word) >= 0);
        shown += row.hidden ? 0 : 1;
      });
      place.querySelectorAll("[data-bb-group]").forEach((group) => {
        group.hidden = !group.querySelector("[data-bb-row]:not([hidden])");
      });
      count.textContent = words.length ? shown + (shown === 1 ? " match" : " matches") : "";
    }

    input.closest("label").hidden = false;
    input.addEventListener("input", narrow);
    window.addEventListener("hashchange", () => {
      input.value = "";
      narrow();
    });
    if (input.value) {
      narrow();
    }
  }

  document.querySelectorAll("[data-bb-filter]").forEach(start);
})();
