/* Answers the theme's search in place of the theme's worker, once somebody searches: only then are the scripts fetched
   that do it (search.js). Where they cannot be had, the theme's worker answers. Runs before the theme's own script. */
(() => {
  "use strict";
  const Theirs = window.Worker;
  const here = document.currentScript;
  if (!Theirs || !(here instanceof HTMLScriptElement)) return;
  const folder = here.src;
  const site = new URL("../", folder).href;

  const [SETUP, READY, QUERY] = [0, 1, 2]; // kinds of messages between the theme and its worker
  const AT_ONCE = 100; // documents read before the page may do something else

  /** @param {string} name */
  const fetched = (name) => window.bandKit.fetched(new URL(name, folder).href);

  const nextTask = () => new Promise((done) => setTimeout(done));

  /** The letter typed is on the screen before its results are worked out. */
  const shownFirst = () => new Promise((done) => requestAnimationFrame(done)).then(nextTask);

  /** @param {SearchDoc[]} docs
   * @returns {Promise<(question: string) => Promise<void>>} what finds pages for a question and shows them */
  async function open(docs) {
    await fetched("search.js");
    const search = /** @type {BandSearch} */ (window.bandSearch);
    const ranks = search.ranks(search);
    for (let at = 0; at < docs.length; at += AT_ONCE) {
      ranks.add(docs.slice(at, at + AT_ONCE));
      await nextTask(); // typing goes on meanwhile
    }
    const showAnswers = search.showsAnswers(site, fetched);
    const showPages = search.showsPages(site, docs, ranks);
    let asked = 0;
    return async (question) => {
      const mine = ++asked;
      const wanted = () => mine === asked; // letters typed on meanwhile: these need no results of their own
      await shownFirst();
      if (!wanted()) return;
      const found = ranks.rank(question);
      showAnswers(question, wanted);
      await nextTask();
      if (wanted()) await showPages(question, found, wanted);
    };
  }

  class Answering extends EventTarget {
    /** @type {Worker | undefined} */
    theirs;
    /** @type {((question: string) => Promise<void>) | undefined} */
    ask;

    /** @param {string} address of the theme's worker */
    constructor(address) {
      super();
      this.address = address;
    }

    /** @param {{ type: number, data: any }} message */
    postMessage(message) {
      if (this.theirs) this.theirs.postMessage(message);
      else if (message.type === QUERY) this.ask?.(message.data);
      else if (message.type === SETUP) this.setUp(message);
    }

    /** @param {{ type: number, data: { docs: SearchDoc[] } }} message */
    async setUp(message) {
      try {
        this.ask = await open(message.data.docs);
        this.tell({ type: READY });
      } catch {
        this.theirs = new Theirs(this.address);
        this.theirs.addEventListener("message", ({ data }) => this.tell(data));
        this.theirs.postMessage(message);
      }
    }

    /** @param {unknown} data */
    tell(data) {
      this.dispatchEvent(new MessageEvent("message", { data }));
    }
  }
  window.Worker = /** @type {any} */ (Answering);

  // The theme looks at the box when a key is let go; pasted and spoken words come without one, and so does
  // emptying it.
  const box = document.querySelector("[data-md-component=search-query]");
  const look = () => box?.dispatchEvent(new KeyboardEvent("keyup", { bubbles: true }));
  box?.addEventListener("input", look);
  box?.closest("form")?.addEventListener("reset", () => setTimeout(look)); // once it is empty
})();
