/* The decision path works without this: it only closes sibling answers in older browsers, keeps the open answer in
   view, and adds "Start again". */
(() => {
  "use strict";

  for (const path of document.querySelectorAll(".bb-path")) {
    const restart = /** @type {HTMLElement} */ (path.querySelector("[data-bb-restart]"));

    path.addEventListener(
      "toggle",
      (event) => {
        const opened = /** @type {HTMLDetailsElement} */ (event.target);
        if (!opened.open) return;
        for (const other of opened.parentElement?.children || []) {
          if (other !== opened && other instanceof HTMLDetailsElement) other.open = false;
        }
        restart.hidden = false;
        const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
        opened.scrollIntoView({ block: "nearest", behavior: calm ? "auto" : "smooth" });
      },
      true,
    );

    restart.addEventListener("click", () => {
      for (const open of /** @type {NodeListOf<HTMLDetailsElement>} */ (path.querySelectorAll("details[open]"))) {
        open.open = false;
      }
      restart.hidden = true;
      path.querySelector("summary")?.focus();
    });
  }
})();
