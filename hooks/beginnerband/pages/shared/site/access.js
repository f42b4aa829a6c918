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
    button.addEventListener("click", () => box.click());
    const tell = () => button.setAttribute("aria-expanded", String(box.checked));
    tell();
    box.addEventListener("change", tell);
    label.append(button);
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
  document.querySelectorAll("main figure, main .bb-scroll").forEach((element) => {
    wide.observe(element);
  });
})();
