/* Where a band of its own is set up on this device, its script is fetched; nobody else pays for it. */
(() => {
  "use strict";
  const own = /** @type {HTMLScriptElement | null} */ (document.currentScript);
  try {
    if (!own || !localStorage.getItem("bb-set-up")) return;
  } catch {
    return; // storage is shut: nothing was set up here
  }
  for (const name of ["built-band.js", "own-band.js"]) {
    const script = document.createElement("script");
    script.src = new URL(name, own.src).href;
    script.async = false; // in this order
    document.head.append(script);
  }
})();
