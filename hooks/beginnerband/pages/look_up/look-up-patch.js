/* Brings what is shown to what is wanted by changing only what differs: most of an answer is the same for the next note,
   and a slow phone styles, lays out and paints what was changed. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  /** HTML as nodes that are not shown.
   * @param {string} html
   * @returns {DocumentFragment} */
  function parsed(html) {
    const frame = document.createElement("template");
    frame.innerHTML = html;
    return frame.content;
  }

  /** Makes the children of `live` like those of `wanted`, which stays as it is.
   * @param {Node} live
   * @param {Node} wanted */
  function patch(live, wanted) {
    let now = live.firstChild;
    for (const one of wanted.childNodes) {
      const next = now?.nextSibling || null;
      if (!now) live.appendChild(one.cloneNode(true));
      else if (now.nodeName === one.nodeName) patchNode(now, one);
      else live.replaceChild(one.cloneNode(true), now);
      now = next;
    }
    while (now) {
      const next = now.nextSibling;
      live.removeChild(now);
      now = next;
    }
  }

  /** @param {Node} live
   * @param {Node} wanted */
  function patchNode(live, wanted) {
    if (live.isEqualNode(wanted)) return;
    if (!(live instanceof Element && wanted instanceof Element)) {
      live.nodeValue = wanted.nodeValue;
      return;
    }
    for (const name of live.getAttributeNames()) if (!wanted.hasAttribute(name)) live.removeAttribute(name);
    for (const name of wanted.getAttributeNames()) {
      const value = wanted.getAttribute(name) || "";
      if (live.getAttribute(name) !== value) live.setAttribute(name, value);
    }
    patch(live, wanted);
  }

  lookUp.parsed = parsed;
  lookUp.patch = patch;
})();
