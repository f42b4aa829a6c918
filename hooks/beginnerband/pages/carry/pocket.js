/* The pocket page: the phone's light or dark, and the coming lesson opened by its date. */
(() => {
  "use strict";
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const follow = () =>
    document.documentElement.setAttribute("data-md-color-scheme", dark.matches ? "slate" : "default");
  follow();
  dark.addEventListener("change", follow);

  const { coming: place, day } = window.bandWhen;
  const lessons = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll("[data-last]")]);
  const days = lessons.map((lesson) => lesson.dataset.last || "");
  const coming = lessons[place(days, day(new Date()))];
  if (!coming) return;
  coming.open = true;
  coming.classList.add("bb-pocket-coming");
})();
