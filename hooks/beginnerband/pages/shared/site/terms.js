/* Explanations of terms: hover and focus are CSS alone. This adds Escape, and on touch the first tap opens the
   explanation and the second follows the link to the glossary. */
(() => {
  "use strict";

  /** @type {Element | null} */
  let open = null;

  /** What `target` stands in that `selector` matches.
   * @param {EventTarget | null} target
   * @param {string} selector */
  function within(target, selector) {
    return target instanceof Element ? target.closest(selector) : null;
  }

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
      const term = within(event.target, ".bb-term");
      const to = /** @type {MouseEvent | FocusEvent} */ (event).relatedTarget;
      if (term && !(to instanceof Node && term.contains(to))) {
        term.classList.remove("bb-shut");
      }
    });
  });

  document.addEventListener("click", (event) => {
    const word = within(event.target, ".bb-term-word");
    const term = within(event.target, ".bb-term");
    if (!term) {
      close();
      return;
    }
    const touch =
      /** @type {PointerEvent} */ (event).pointerType === "touch" || window.matchMedia("(hover: none)").matches;
    if (word && touch && open !== term) {
      event.preventDefault();
      close();
      open = term;
      term.classList.add("bb-open");
    }
  });
})();
