/* Shows what answers a question: the direct answer (search-answer.js), as links into the look-up, and below it the pages
   (search-rank.js), in the places, classes and words of the theme's own search, whose keys work on them. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  const AT_FIRST = 4; // so many pages stand above the keyboard of a phone; the others are drawn after them
  const BEST = 1000; // the theme opens the result with the highest score on Enter

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
   * @param {(name: string) => Promise<unknown>} fetched
   * @returns {(question: string, wanted: () => boolean) => Promise<void>} shows what the tables answer, if it is wanted
   * still once they are there */
  function showsAnswers(site, fetched) {
    const place = element("div", "", "bb-search-answers");
    place.setAttribute("role", "status");
    document.querySelector(".md-search-result__list")?.before(place);
    /** @type {Promise<LookUpBook | undefined> | undefined} */
    let opening;

    async function open() {
      if (!window.bandLookUp) await fetched("look-up-data.js");
      if (!window.bandLookUp?.openBook) await fetched("look-up.js");
      return window.bandLookUp?.openBook?.(window.bandLookUp.tables);
    }

    return async (question, wanted) => {
      const { asksForNotes, answers } = /** @type {BandSearch} */ (search);
      const asks = asksForNotes(question);
      if (asks) opening ||= open().catch(() => (opening = undefined)); // tried again with the next letter
      const book = asks && (await opening);
      if (wanted())
        place.replaceChildren(
          ...(book ? answers(question, book, /** @type {BandSearch} */ (search)) : []).map((one) => link(one, site)),
        );
    };
  }

  /** @param {string} site
   * @param {SearchDoc[]} docs
   * @param {SearchRanks} ranks
   * @returns {(question: string, found: Ranked[], wanted: () => boolean) => Promise<void>} shows what is found, as long as
   * it is wanted */
  function showsPages(site, docs, ranks) {
    const said = document.querySelector(".md-search-result__meta");
    const list = document.querySelector(".md-search-result__list");
    const words = JSON.parse(document.getElementById("__config")?.textContent || "{}").translations;
    const titles = new Map([...docs].reverse().map((doc) => [doc.location, doc.title])); // the first of each address
    said?.setAttribute("role", "status");

    /** A page found: its title, and the line of it that says most of what is asked; it opens at the part where that is.
     * One text for many, since each that is read by itself costs time.
     * @param {Ranked} one
     * @param {number} at
     * @param {string} question */
    function item({ place, part, line }, at, question) {
      const title = titles.get(place) || "";
      const { href } = new URL(site + place + (part && !place.includes("#") ? `#${part}` : ""));
      return `<li class="md-search-result__item">
        <a href="${href.replaceAll("&", "&amp;")}" class="md-search-result__link" tabindex="-1">
          <article class="md-search-result__article md-typeset" data-md-score="${BEST - at}">
            <div class="md-search-result__icon md-icon"></div>
            <h1>${/[<&]/.test(title) ? title : ranks.marked(title, question)}</h1>
            ${line && `<p>${ranks.marked(line, question)}</p>`}
          </article>
        </a>
      </li>`;
    }

    /** @param {number} count
     * @param {string} question */
    function counted(count, question) {
      if (!question) return words["search.result.placeholder"];
      const [none, one, other] = ["none", "one", "other"].map((name) => words[`search.result.${name}`]);
      return [none, one][count] || other.replace("#", count);
    }

    return async (question, found, wanted) => {
      const items = (/** @type {number} */ from, /** @type {number} */ to) =>
        found
          .slice(from, to)
          .map((one, at) => item(one, from + at, question))
          .join("");
      if (list) list.innerHTML = items(0, AT_FIRST);
      if (said) said.textContent = counted(found.length, question);
      await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
      if (wanted()) list?.insertAdjacentHTML("beforeend", items(AT_FIRST, found.length));
    };
  }

  Object.assign(search, { showsAnswers, showsPages });
})();
