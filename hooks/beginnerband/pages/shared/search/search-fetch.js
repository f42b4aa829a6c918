/* Fetches the theme's script, and with it the search, once somebody is about to search: it reads the whole index when it
   runs. Which files, in which order, stands at the page's end. */
(() => {
  "use strict";
  const wanted = document.querySelector("[data-bb-search]");
  const box = document.querySelector("[data-md-component=search-query]");
  const toggle = document.getElementById("__search");
  if (!(wanted instanceof HTMLElement && box instanceof HTMLInputElement && toggle instanceof HTMLInputElement)) return;
  const addresses = wanted.dataset.bbSearch?.split(" ") || [];
  const WAITING = "Fetching the search.";
  const FAILED = "The search could not be fetched. Close it and try again.";
  const OURS = ["palette", "content", "header-title", "sidebar", "toc", "top"]; // theme.js does what these ask for
  const says = document.querySelector(".md-search-result__meta");
  let fetching = false;

  async function fetchSearch() {
    if (fetching) return;
    fetching = true;
    if (says) says.textContent = WAITING;
    for (const name of OURS) {
      for (const part of document.querySelectorAll(`[data-md-component=${name}]`)) {
        part.removeAttribute("data-md-component");
      }
    }
    try {
      for (const address of addresses) await window.bandKit.fetched(address);
    } catch {
      fetching = false;
      if (says) says.textContent = FAILED;
    }
  }

  box.addEventListener("focus", fetchSearch);
  toggle.addEventListener("change", () => {
    if (toggle.checked) box.focus(); // at once, or a phone shows no keys to type with
  });
  document.addEventListener("keydown", (event) => {
    const typing = event.target instanceof HTMLElement && event.target.matches("input, select, textarea");
    if (event.key !== "/" || typing || event.ctrlKey || event.metaKey || event.altKey || fetching) return;
    event.preventDefault();
    box.focus();
  });
  if (new URLSearchParams(location.search).has("q")) fetchSearch();
  if (document.activeElement === box) fetchSearch();
})();
