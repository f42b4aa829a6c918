/* Tune pages: fingerings under the notes on or off, and one part printed alone. Without it everything is shown. */
(() => {
  "use strict";

  const KEY = "bb-fingerings";

  function remembered() {
    try {
      return localStorage.getItem(KEY) !== "off";
    } catch (_error) {
      return true;
    }
  }

  function show(on) {
    document.documentElement.classList.toggle("bb-hide-under", !on);
    try {
      localStorage.setItem(KEY, on ? "on" : "off");
    } catch (_error) {
      /* private browsing: the choice lasts for this page */
    }
  }

  document.querySelectorAll("[data-bb-under-switch]").forEach((box) => {
    box.checked = remembered();
    show(box.checked);
    box.closest("[hidden]").hidden = false;
    box.addEventListener("change", () => {
      show(box.checked);
    });
  });

  document.querySelectorAll("[data-bb-print]").forEach((button) => {
    button.hidden = false;
    button.addEventListener("click", () => {
      const sheet = document.getElementById(button.dataset.bbPrint);
      document.documentElement.classList.add("bb-print-one");
      sheet.classList.add("bb-printing");
      window.print();
    });
  });

  window.addEventListener("afterprint", () => {
    document.documentElement.classList.remove("bb-print-one");
    document.querySelectorAll(".bb-printing").forEach((sheet) => {
      sheet.classList.remove("bb-printing");
    });
  });
})();
