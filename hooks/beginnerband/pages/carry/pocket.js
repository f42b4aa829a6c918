/* The pocket page: the phone's light or dark, and the coming lesson opened by its date. */
(() => {
  "use strict";
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const follow = () =>
    document.documentElement.setAttribute("data-md-color-scheme", dark.matches ? "slate" : "default");
  follow();
  dark.addEventListener("change", follow);

  const now = new Date();
  const today = [now.getFullYear(), now.getMonth() + 1, now.getDate()]
    .map((part) => String(part).padStart(2, "0"))
    .join("-");
  const lessons = [...document.querySelectorAll("[data-last]")].filter((lesson) => lesson.dataset.last);
  const coming = lessons.find((lesson) => lesson.dataset.last >= today);
  if (!coming) return;
  coming.open = true;
  coming.classList.add("bb-pocket-coming");
})();
