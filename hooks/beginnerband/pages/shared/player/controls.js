/* What the player's controls are made of. */
(() => {
  "use strict";

  function make(tag, attributes, text) {
    const element = document.createElement(tag);
    Object.keys(attributes || {}).forEach((name) => {
      element.setAttribute(name, attributes[name]);
    });
    if (text) element.textContent = text;
    return element;
  }

  /* Hertz of A4 for an element: data-a4 on it or on anything around it. */
  function pitchOf(element) {
    const around = element.closest("[data-a4]");
    return around ? Number(around.dataset.a4) : 440;
  }

  /* A button that says what it would do: gives a function to change that. It looks pressed while that is "Stop". */
  function offers(button, name) {
    return (does) => {
      button.textContent = does;
      button.classList.toggle("bb-playing", does === "Stop");
      if (name) button.setAttribute("aria-label", `${does} ${name}`);
    };
  }

  /* A button that stays down. */
  function toggle(text, name, changed) {
    const button = make("button", { type: "button", "aria-pressed": "false", "aria-label": `${text} ${name}` }, text);
    button.addEventListener("click", () => {
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(on));
      changed(on);
    });
    return button;
  }

  /* Mounts, once, on every element of the page that the selector finds. */
  function everywhere(selector, mount) {
    const all = () =>
      document.querySelectorAll(selector).forEach((root) => {
        if (root.dataset.ready) return;
        root.dataset.ready = "yes";
        mount(root);
        root.hidden = false;
      });
    if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", all);
    else all();
  }

  Object.assign(window.bandSound, {
    make: make,
    toggle: toggle,
    offers: offers,
    pitchOf: pitchOf,
    everywhere: everywhere,
  });
})();
