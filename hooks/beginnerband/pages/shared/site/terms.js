/* Explanations of terms: hover and focus are CSS alone. This adds Escape, and on touch the first tap opens the
   explanation and the second follows the link to the glossary. */
(() => {
  "use strict";

  var open = null;

  function close() {
    if (open) {
      open.classList.remove("bb-open");
    }
    open = null;
  }

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") {
      return;
    }
    close();
    document.querySelectorAll(".bb-term:hover, .bb-term:focus-within").forEach((term) => {
      term.classList.add("bb-shut");
    });
  });

  ["mouseout", "focusout"].forEach((kind) => {
    document.addEventListener(kind, (event) => {
      var term = event.target.closest?.(".bb-term");
      if (term && !term.contains(event.relatedTarget)) {
        term.classList.remove("bb-shut");
      }
    });
  });

  document.addEventListener("click", (event) => {
    var word = event.target.closest(".bb-term-word");
    var term = event.target.closest(".bb-term");
    if (!term) {
      close();
      return;
    }
    var touch = event.pointerType === "touch" || window.matchMedia("(hover: none)").matches;
    if (word && touch && open !== term) {
      event.preventDefault();
      close();
      open = term;
      term.classList.add("bb-open");
    }
  });
})();
