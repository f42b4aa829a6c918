/* What several scripts need: to make an element, to fetch a script, and to keep a text on this device. Joined in front of each of them
   (pages/assets.py). */
(() => {
  "use strict";

  /** An element with attributes, and with a text in it.
   * @param {string} tag
   * @param {Record<string, string>} [attributes]
   * @param {string} [text] */
  function make(tag, attributes = {}, text = "") {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    if (text) element.textContent = text;
    return element;
  }

  /** @param {string} address
   * @returns {Promise<void>} */
  function fetched(address) {
    return new Promise((done, failed) => {
      const script = document.createElement("script");
      script.src = address;
      script.onload = () => done();
      script.onerror = failed;
      document.head.append(script);
    });
  }

  /** What the browser keeps, or nothing where it does not let us: in a private window, or with storage shut or full.
   * @template Value
   * @param {(storage: Storage) => Value} act
   * @returns {Value | null} */
  function guarded(act) {
    try {
      return act(localStorage);
    } catch {
      return null;
    }
  }

  window.bandKit = {
    make: /** @type {BandKit["make"]} */ (make),
    fetched,
    kept: (key) => guarded((storage) => storage.getItem(key)),
    keep: (key, text) => guarded((storage) => storage.setItem(key, text)),
    forget: (key) => guarded((storage) => storage.removeItem(key)),
  };
})();
