/* The pocket page: the phone's light or dark, and the coming lesson opened by its date. */
(() => {
  "use strict";
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const follow = () =>
    document.documentElement.setAttribute("data-md-color-scheme", dark.matches ? "slate" : "default");
  follow();
  dark.addEventListener("change", follow);

  /* On paper the charts are open, and shut again after it as they were. */
  const charts = [.../** @type {NodeListOf<HTMLDetailsElement>} */ (document.querySelectorAll("#charts details"))];
  /** @type {HTMLDetailsElement[]} */
  let shut = [];
  addEventListener("beforeprint", () => {
    shut = charts.filter((chart) => !chart.open);
    for (const chart of shut) chart.open = true;
  });
  addEventListener("afterprint", () => {
    for (const chart of shut) chart.open = false;
  });

  const { coming: place, day } = window.bandWhen;
  const lessons = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll("[data-last]")]);
  const days = lessons.map((lesson) => lesson.dataset.last || "");
  const coming = lessons[place(days, day(new Date()))];
  if (!coming) return;
  coming.open = true;
  coming.classList.add("bb-pocket-coming");
})();
