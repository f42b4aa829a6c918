/* Puts the pages a question means in front of what the theme's search finds, once somebody searches: only then are the
   scripts fetched that do it (search.js). Runs before the theme's own script. */
(() => {
  "use strict";
  const Plain = window.Worker;
  const here = document.currentScript;
  if (!Plain || !(here instanceof HTMLScriptElement)) return;
  const folder = here.src;
  const site = new URL("../", folder).href;

  const [SETUP, QUERY, RESULT] = [0, 2, 3]; // kinds of messages between the theme and its worker
  const FEW = 0.4; // pages are put in front down to this share of the best
  const MOST = 12;
  const AT_ONCE = 100; // documents read before the page may do something else
  const BEST = 1000; // the theme opens the result with the highest score on Enter

  /** @param {string} name
   * @returns {Promise<unknown>} settled once the script has run, or could not be had */
  const fetched = (name) => window.bandKit.fetched(new URL(name, folder).href).catch(() => {});

  /** @type {Promise<unknown> | undefined} */
  let ready;
  /** @type {Map<string, SearchDoc>} */
  let docs = new Map();
  /** @type {SearchRanks | undefined} */
  let ranks;
  let asked = "";

  /** What was last asked: letters typed on before their frame is drawn need no results of their own.
   * @type {unknown} */
  let latest;

  /** The letter typed is on the screen before its results are worked out. */
  const shownFirst = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));

  /** @param {SearchDoc[]} all */
  async function open(all) {
    docs = new Map([...all].reverse().map((doc) => [doc.location, doc])); // the first of each address
    await fetched("search.js");
    const search = window.bandSearch;
    search?.showAnswers(site, fetched);
    const made = search?.ranks(search);
    for (let at = 0; made && at < all.length; at += AT_ONCE) {
      made.add(all.slice(at, at + AT_ONCE));
      await new Promise((done) => setTimeout(done)); // typing goes on meanwhile
    }
    ranks = made;
  }

  /** @param {string} question */
  function toTheTheme(question) {
    asked = question;
    const search = window.bandSearch;
    return ranks && search ? search.inTheIndexsWords(ranks.spelled(question)) : question;
  }

  /** @param {SearchDoc} doc */
  const pageOf = (doc) => doc.location.split("#")[0];

  /** A page found as the theme shows it: its title, and the line of it that says most of what is asked. The part where
   * that stands is a query for now, since the theme takes an address with a part in it for a part of another result.
   * @param {Ranked} one
   * @param {SearchRanks} made
   * @returns {SearchDoc[]} */
  function shown({ place, line, part }, made) {
    const doc = docs.get(place);
    if (!doc) return [];
    const [page, entry] = place.split("#");
    const location = entry || part ? `${page}?${entry || part}` : page;
    const text = line ? `<p>${made.marked(line, asked)}</p>` : "";
    const title = /[<&]/.test(doc.title) ? doc.title : made.marked(doc.title, asked);
    return [{ location, title, text, terms: {} }];
  }

  /** Lets each page found open at its part.
   * @param {Element} list */
  function openAtParts(list) {
    for (const link of list.querySelectorAll(":scope > .md-search-result__item > a:first-child")) {
      const address = new URL(/** @type {HTMLAnchorElement} */ (link).href);
      if (!address.search) continue;
      [address.hash, address.search] = [address.search.slice(1), ""];
      /** @type {HTMLAnchorElement} */ (link).href = address.href;
    }
  }

  /** The pages that answer, best first, then what else the theme found.
   * @param {SearchDoc[][]} items
   * @param {SearchRanks} made */
  function inOrder(items, made) {
    const ranked = made.rank(asked);
    const front = ranked.filter((one, at) => at < MOST && one.score > FEW * ranked[0].score);
    const places = new Set(front.map(({ place }) => place));
    const first = front.map((one) => shown(one, made)).filter((item) => item[0]);
    const others = items.map((item) => item.filter((doc) => !doc.worth)); // entries come by themselves
    const rest = others.filter((item) => item.some((doc) => doc.score) && !places.has(pageOf(item[0])));
    return [...first, ...rest].map((item, at) =>
      item.map((doc) => ({ ...doc, score: item[0] === doc || !doc.location.includes("#") ? BEST - at : doc.score })),
    );
  }

  /** @param {MessageEvent} event */
  function answered(event) {
    if (event.data?.type !== RESULT || !ranks) return event;
    return new MessageEvent("message", {
      data: { ...event.data, data: { ...event.data.data, items: inOrder(event.data.data.items, ranks) } },
    });
  }

  window.Worker = class extends Plain {
    /** @param {any} message */
    postMessage(message) {
      if (message?.type === SETUP) ready = open(message.data.docs);
      if (message?.type !== QUERY || !ready) return super.postMessage(message);
      latest = message;
      ready.then(shownFirst).then(() => {
        if (latest === message) super.postMessage({ ...message, data: toTheTheme(message.data) });
      });
    }

    /** @param {any[]} args */
    addEventListener(...args) {
      const [kind, listener, options] = args;
      const wrapped = kind === "message" ? (/** @type {MessageEvent} */ event) => listener(answered(event)) : listener;
      super.addEventListener(kind, wrapped, options);
    }
  };

  // The theme looks at the box when a key is let go; pasted and spoken words come without one.
  const box = document.querySelector("[data-md-component=search-query]");
  if (box) box.addEventListener("input", () => box.dispatchEvent(new KeyboardEvent("keyup", { bubbles: true })));
  const list = document.querySelector(".md-search-result__list");
  if (list) new MutationObserver(() => openAtParts(list)).observe(list, { childList: true });
})();
