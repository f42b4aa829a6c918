/* What the player's controls are made of. */
(() => {
  "use strict";

  const { make } = window.bandKit;

  /** Hertz of A4 for an element: data-a4 on it or on anything around it.
   * @param {Element} element */
  function pitchOf(element) {
    const around = /** @type {HTMLElement | null} */ (element.closest("[data-a4]"));
    return around ? Number(around.dataset.a4) : 440;
  }

  /** A button that says what it would do: gives a function to change that. It looks pressed while that is "Stop".
   * @param {HTMLElement} button
   * @param {string} [name] */
  function offers(button, name) {
    return (/** @type {string} */ does) => {
      button.textContent = does;
      button.classList.toggle("bb-playing", does === "Stop");
      if (name) button.setAttribute("aria-label", `${does} ${name}`);
    };
  }

  /** A button that stays down.
   * @param {string} text
   * @param {string} name
   * @param {(on: boolean) => void} changed */
  function toggle(text, name, changed) {
    const button = make("button", { type: "button", "aria-pressed": "false", "aria-label": `${text} ${name}` }, text);
    button.addEventListener("click", () => {
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(on));
      changed(on);
    });
    return button;
  }

  /** Mounts, once, on every element of the page that the selector finds.
   * @param {string} selector
   * @param {(root: HTMLElement) => void} mount */
  function everywhere(selector, mount) {
    const all = () => {
      for (const root of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(selector))) {
        if (root.dataset.ready) continue;
        root.dataset.ready = "yes";
        mount(root);
        root.hidden = false;
      }
    };
    if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", all);
    else all();
  }

  Object.assign(window.bandSound, {
    make,
    toggle,
    offers,
    pitchOf,
    everywhere,
  });
})();
