/* Where a band of its own is set up on this device, its script is fetched; nobody else pays for it. */
(() => {
  "use strict";
  const own = /** @type {HTMLScriptElement | null} */ (document.currentScript);
  const { fetched, kept } = window.bandKit;
  if (!own || !kept("bb-set-up")) return;
  const fetch = (/** @type {string} */ name) => fetched(new URL(name, own.src).href);
  fetch("built-band.js").then(() => fetch("own-band.js"));
})();
