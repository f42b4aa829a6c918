/* Puts the pages a question means in front of what the theme's search finds, once somebody searches: only then are the
   scripts fetched that do it (search.js). Runs before the theme's own script. */
(() => {
  "use strict";
  const Plain = window.Worker;
  const here = document.currentScript;
  if (!Plain || !(here instanceof HTMLScriptElement)) return;
  const folder = here.src;

  const [SETUP, QUERY, RESULT] = [0, 2, 3]; // kinds of messages between the theme and its worker
  const FEW = 0.4; // pages are put in front down to this share of the best
  const MOST = 12;
  const AT_ONCE = 100; // documents read before the page may do something else
  const BEST = 1000; // the theme opens the result with the highest score on Enter

  /** @param {string} name
   * @returns {Promise<unknown>} settled once the script has run, or could not be had */
  const fetched = (name) =>
    new Promise((done) => {
      const script = document.createElement("script");
      script.src = new URL(name, folder).href;
      script.onload = script.onerror = done;
      document.head.append(script);
    });

  /** @type {Promise<unknown> | undefined} */
  let ready;
  /** @type {SearchDoc[]} */
  let docs = [];
  /** @type {SearchRanks | undefined} */
  let ranks;
  let asked = "";

  /** @param {SearchDoc[]} all */
  async function open(all) {
    docs = all;
    await fetched("search.js");
    const search = window.bandSearch;
    search?.showAnswers(new URL("../", folder).href, fetched);
    const made = search?.ranks(search);
    for (let at = 0; made && at < docs.length; at += AT_ONCE) {
      made.add(docs.slice(at, at + AT_ONCE));
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

  /** @param {string} html */
  const beginning = (html) => /<p>.*?<\/p>/.exec(html)?.[0] || "";

  /** @param {SearchDoc} doc */
  const pageOf = (doc) => doc.location.split("#")[0];

  /** @param {SearchDoc[][]} items */
  function inOrder(items) {
    const ranked = ranks?.rank(asked) || [];
    const pages = items.map((item) => item.filter((doc) => !doc.worth)); // entries come by themselves
    const found = new Map(pages.filter((item) => item.some((doc) => doc.score)).map((item) => [pageOf(item[0]), item]));
    const front = ranked.filter((one, at) => at < MOST && one.score > FEW * ranked[0].score);
    const first = front.flatMap(({ place }) => {
      const item = found.get(place);
      found.delete(place);
      const doc = item ? undefined : docs.find((one) => one.location === place);
      return item ? [item] : doc ? [[{ ...doc, text: beginning(doc.text), terms: {} }]] : [];
    });
    return [...first, ...found.values()].map((item, at) =>
      item.map((doc) => ({ ...doc, score: item[0] === doc || !doc.location.includes("#") ? BEST - at : doc.score })),
    );
  }

  /** @param {MessageEvent} event */
  function answered(event) {
    if (event.data?.type !== RESULT || !ranks) return event;
    return new MessageEvent("message", {
      data: { ...event.data, data: { ...event.data.data, items: inOrder(event.data.data.items) } },
    });
  }

  window.Worker = class extends Plain {
    /** @param {any} message */
    postMessage(message) {
      const send = () =>
        super.postMessage(message?.type === QUERY ? { ...message, data: toTheTheme(message.data) } : message);
      if (message?.type === SETUP) ready = open(message.data.docs);
      if (message?.type === QUERY && ready) ready.then(send);
      else send();
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
})();
