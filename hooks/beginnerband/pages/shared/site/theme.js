/* What the theme's own script does on every page, but for its search. That script reads the whole search index as soon
   as it runs, which is more than all the rest of a page; so it waits until somebody searches (search-fetch.js), and what
   is wanted before stands here: light and dark, the title on top, folds, the menu and the list of headings. */
(() => {
  "use strict";

  /** @param {string} selector
   * @returns {HTMLElement[]} */
  const all = (selector) => [...document.querySelectorAll(selector)].filter((one) => one instanceof HTMLElement);

  /** What an address's last part names; null where it names nothing, or is no address at all.
   * @param {string} hash */
  function pointedTo(hash) {
    try {
      return document.getElementById(decodeURIComponent(hash.slice(1)));
    } catch {
      return null;
    }
  }

  colours();
  folds();
  title();
  menu();
  headings();

  /* Light or dark: as the device has it, until somebody chooses. The theme's inline script reads what is kept before
     the page is shown. */
  function colours() {
    const page = /** @type {any} */ (window);
    const choices = /** @type {HTMLInputElement[]} */ (all("[data-md-component=palette] input"));
    const dark = matchMedia("(prefers-color-scheme: dark)");
    const DEVICE = "(prefers-color-scheme)"; // what the theme calls it when the device decides
    if (!choices.length || !page.__md_get) return;

    /** @param {HTMLInputElement} choice */
    const colour = (choice) =>
      Object.fromEntries(
        ["media", "scheme", "primary", "accent"].map((name) => [name, choice.getAttribute(`data-md-color-${name}`)]),
      );
    const ofDevice = () => choices.find((one) => matchMedia(one.dataset.mdColorMedia || "").matches) || choices[0];

    /** @param {HTMLInputElement} choice
     * @param {boolean} chosen */
    function use(choice, chosen) {
      const now = colour(choice);
      for (const [name, value] of Object.entries(now)) document.body.setAttribute(`data-md-color-${name}`, value || "");
      for (const one of choices) {
        const button = one.nextElementSibling; // what is shown is the way to the other
        if (button instanceof HTMLElement) button.hidden = one !== choice;
      }
      page.__md_set("__palette", {
        index: choices.indexOf(choice),
        color: chosen ? now : { ...now, media: DEVICE },
      });
    }

    const kept = page.__md_get("__palette");
    const chosen = kept?.color && kept.color.media !== DEVICE;
    use((chosen && choices[kept.index]) || ofDevice(), chosen);
    for (const choice of choices) choice.addEventListener("change", () => use(choice, true));
    dark.addEventListener("change", () => {
      if (page.__md_get("__palette")?.color?.media === DEVICE) use(ofDevice(), false);
    });
  }

  /* Folds open around what an address points to, and for print. */
  function folds() {
    const toTarget = () => {
      const target = pointedTo(location.hash);
      const closed = [];
      for (let fold = target?.closest("details"); fold; fold = fold.parentElement?.closest("details")) {
        if (!fold.open) closed.push(fold);
      }
      for (const fold of closed) fold.open = true;
      if (closed.length) target?.scrollIntoView();
    };
    toTarget();
    addEventListener("hashchange", toTarget);

    /** @type {HTMLDetailsElement[]} */
    let opened = [];
    matchMedia("print").addEventListener("change", ({ matches }) => {
      for (const fold of opened) fold.open = false;
      opened = matches ? /** @type {HTMLDetailsElement[]} */ (all("main details:not([open])")) : [];
      for (const fold of opened) fold.open = true;
    });
  }

  /* The page's title in the bar on top, once the heading itself is out of sight. */
  function title() {
    const [bar] = all("[data-md-component=header-title]");
    const heading = document.querySelector(".md-content h1");
    if (!bar || !heading) return;
    const seen = new IntersectionObserver(
      ([{ isIntersecting, boundingClientRect }]) =>
        bar.classList.toggle("md-header__title--active", !isIntersecting && boundingClientRect.top < innerHeight / 2),
      { rootMargin: "-48px 0px 0px 0px" },
    );
    seen.observe(heading);
  }

  function menu() {
    const drawer = document.getElementById("__drawer");
    addEventListener("hashchange", () => {
      if (drawer instanceof HTMLInputElement && drawer.checked) drawer.click();
    });
    for (const label of /** @type {HTMLLabelElement[]} */ (all("label[tabindex]"))) {
      const list = document.querySelector(`[aria-labelledby="${label.id}"]`);
      label.control?.addEventListener("change", () =>
        list?.setAttribute("aria-expanded", String(/** @type {HTMLInputElement} */ (label.control).checked)),
      );
      label.addEventListener("keydown", ({ key }) => key === "Enter" && label.click());
    }
    all(".md-sidebar--primary .md-nav__link--active[href]").forEach(show);
  }

  /** Scrolls the list that `link` stands in, and nothing else, so that it is seen.
   * @param {HTMLElement} link */
  function show(link) {
    const box = link.closest(".md-sidebar__scrollwrap");
    if (!box || box.scrollHeight <= box.clientHeight) return;
    const place = link.getBoundingClientRect();
    const seen = box.getBoundingClientRect();
    if (place.top < seen.top || place.bottom > seen.bottom) {
      box.scrollTop += place.top - seen.top - box.clientHeight / 2;
    }
  }

  /* On wide screens: the heading one has come to is marked in the list of headings, and a button leads back to the top
     for who scrolls up. */
  function headings() {
    const links = /** @type {HTMLAnchorElement[]} */ (all(".md-sidebar--secondary .md-nav__link[href^='#']"));
    const targets = links.map((link) => pointedTo(link.hash));
    const [top] = all("[data-md-component=top]");
    top?.addEventListener("click", () => scrollTo({ top: 0 }));
    const wide = matchMedia("(min-width: 60em)");
    const PASSED = 70; // pixels from the top of the screen: under the bar, and a little more
    let last = scrollY;
    let due = false;

    function mark() {
      due = false;
      if (top) top.hidden = scrollY >= last || scrollY < innerHeight;
      last = scrollY;
      if (!links.length || !wide.matches) return;
      const ended = scrollY + innerHeight >= document.documentElement.scrollHeight - 1; // no heading comes higher now
      const line = ended ? innerHeight : PASSED;
      const passed = targets.findLastIndex((target) => target && target.getBoundingClientRect().top < line);
      links.forEach((link, at) => {
        link.classList.toggle("md-nav__link--passed", at < passed);
        link.classList.toggle("md-nav__link--active", at === passed);
      });
      if (passed >= 0) show(links[passed]);
    }
    document.addEventListener(
      "scroll",
      () => {
        if (!due) requestAnimationFrame(mark);
        due = true;
      },
      { passive: true },
    );
    if (wide.matches && links.length) requestAnimationFrame(mark);
  }
})();
