/* The decision path works without this: it only closes sibling answers in older browsers, keeps the open answer in
   view, and adds "Start again". */
(() => {
  "use strict";

  document.querySelectorAll(".bb-path").forEach((path) => {
    var restart = path.querySelector("[data-bb-restart]");

    path.addEventListener(
      "toggle",
      (event) => {
        var opened = event.target;
        if (!opened.open) {
          return;
        }
        Array.prototype.forEach.call(opened.parentElement.children, (other) => {
          if (other !== opened && other.tagName === "DETAILS") {
            other.open = false;
          }
        });
        restart.hidden = false;
        var calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
        opened.scrollIntoView({ block: "nearest", behavior: calm ? "auto" : "smooth" });
      },
      true,
    );

    restart.addEventListener("click", () => {
      path.querySelectorAll("details[open]").forEach((open) => {
        open.open = false;
      });
      restart.hidden = true;
      path.querySelector("summary").focus();
    });
  });
})();
