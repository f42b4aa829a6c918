/* Shows the direct answer (search-answer.js) above what the theme's search finds, as links into the look-up. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  /** @param {string} tag
   * @param {string} text safe HTML, as the look-up's tables have it
   * @param {string} [kind] */
  function element(tag, text, kind) {
    const made = document.createElement(tag);
    made.innerHTML = text;
    if (kind) made.className = kind;
    return made;
  }

  /** @param {SearchAnswer} answer
   * @param {string} site */
  function link({ who, asked, ways, more, address }, site) {
    const made = document.createElement("a");
    made.href = site + address;
    made.className = "bb-search-answer";
    const first = element("span", `${who}${asked && ", "}${asked}: `);
    first.dataset.mdScore = "100000"; // the theme opens the highest on Enter
    first.append(element("b", ways));
    made.append(first);
    if (more) made.append(element("small", more));
    return made;
  }

  /** @param {string} site the address of the handbook
   * @param {(name: string) => Promise<unknown>} fetched */
  function showAnswers(site, fetched) {
    const box = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-md-component=search-query]"));
    const results = document.querySelector(".md-search-result__list");
    if (!box || !results || !search) return;
    const place = element("div", "", "bb-search-answers");
    place.setAttribute("role", "status");
    results.before(place);
    /** @type {LookUpBook | undefined} */
    let book;
    /** @type {Promise<void> | undefined} */
    let opening;

    async function open() {
      if (!window.bandLookUp) await fetched("look-up-data.js");
      if (!window.bandLookUp?.openBook) await fetched("look-up.js");
      const lookUp = window.bandLookUp;
      if (lookUp?.openBook) book = lookUp.openBook(lookUp.tables);
    }

    async function show() {
      const question = /** @type {HTMLInputElement} */ (box).value;
      const asks = /** @type {BandSearch} */ (search).asksForNotes(question);
      if (asks && !opening) opening = open();
      if (asks) await opening;
      if (question !== box?.value) return; // typed on meanwhile; that call shows the answer
      const found =
        asks && book
          ? /** @type {BandSearch} */ (search).answers(question, book, /** @type {BandSearch} */ (search))
          : [];
      place.replaceChildren(...found.map((answer) => link(answer, site)));
    }

    box.addEventListener("input", show);
    box.addEventListener("keyup", show);
    show();
  }

  search.showAnswers = showAnswers;
})();
