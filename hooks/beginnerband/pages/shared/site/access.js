/* For the keyboard and for screen readers, what the theme leaves out: its menu and search buttons are labels of hidden
   boxes, which a mouse can press and a keyboard cannot reach; and wide pictures scroll only for those who can swipe. */
(() => {
  "use strict";
  const NAMES = { __drawer: "Menu", __search: "Search" };
  for (const [id, name] of Object.entries(NAMES)) {
    const box = /** @type {HTMLInputElement | null} */ (document.getElementById(id));
    const label = document.querySelector(`.md-header__button[for=${id}]`);
    if (!box || !label) continue;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "bb-press";
    button.setAttribute("aria-label", name);
    button.addEventListener("click", () => {
      box.click();
      if (name === "Menu" && box.checked) intoMenu(box, button);
    });
    const tell = () => button.setAttribute("aria-expanded", String(box.checked));
    tell();
    box.addEventListener("change", tell);
    label.append(button);
  }
  /** Goes to the menu's first link, once it stands open; Escape closes it and comes back.
   * @param {HTMLInputElement} box @param {HTMLElement} button */
  function intoMenu(box, button) {
    const menu = /** @type {HTMLElement | null} */ (document.querySelector(".md-sidebar--primary"));
    const open = new AbortController();
    const shown = () => {
      const links = /** @type {NodeListOf<HTMLElement>} */ (menu?.querySelectorAll(".md-nav__list a[href]") ?? []);
      [...links].find(inSight)?.focus();
    };
    requestAnimationFrame(() => {
      const moving = menu?.getAnimations({ subtree: true }) ?? [];
      Promise.allSettled(moving.map((one) => one.finished)).then(shown);
    });
    document.addEventListener(
      "keydown",
      (event) => {
        if (event.key !== "Escape") return;
        if (box.checked) box.click();
        button.focus();
      },
      { signal: open.signal },
    );
    box.addEventListener("change", () => !box.checked && open.abort(), { signal: open.signal });
  }

  /** Whether a link of the menu can be seen: its folds lie beside each other, the open one on top.
   * @param {HTMLElement} link */
  function inSight(link) {
    const { left, top, width, height } = link.getBoundingClientRect();
    return width > 0 && link.contains(document.elementFromPoint(left + width / 2, top + height / 2));
  }

  const panel = document.querySelector(".md-search");
  if (panel) panel.setAttribute("aria-label", "Search");

  /* Told by the browser once it has laid the page out, so that nothing here makes it do so twice. */
  const wide = new ResizeObserver((entries) => {
    const scrolls = entries.map(({ target }) => target.scrollWidth > target.clientWidth + 1);
    entries.forEach(({ target }, k) => {
      if (scrolls[k]) target.setAttribute("tabindex", "0");
      else target.removeAttribute("tabindex");
    });
  });
  document
    .querySelectorAll("main figure:not(.bb-look-up *), main .bb-scroll, main pre > code, main table:not([class])")
    .forEach((element) => {
      wide.observe(element);
    });
})();
