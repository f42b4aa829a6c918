/* Lets the theme's search worker run where the handbook is opened from disk: browsers refuse a worker from `file:`.
   The worker's script runs in a hidden frame instead, and the page talks to it as to a worker. Nothing here is inline,
   so the page's content security policy allows it. (The site engine looks for a script of this name.) */
(() => {
  "use strict";
  if (location.protocol !== "file:") return;

  class FrameWorker extends EventTarget {
    /** @type {((message: MessageEvent) => void) | null} */
    onmessage = null;

    /** @param {string} address */
    constructor(address) {
      super();
      this.frame = document.createElement("iframe");
      this.frame.hidden = true;
      document.body.appendChild(this.frame);
      this.inside = /** @type {any} */ (this.frame.contentWindow);
      this.inside.postMessage = (/** @type {unknown} */ data) => {
        const message = new MessageEvent("message", { data });
        this.dispatchEvent(message);
        if (this.onmessage) this.onmessage(message);
      };
      this.inside.importScripts = (/** @type {string[]} */ ...scripts) =>
        scripts.reduce((before, script) => before.then(() => this.run(script)), Promise.resolve());
      this.ready = this.run(address);
    }

    /** @param {string} address
     * @returns {Promise<void>} */
    run(address) {
      return new Promise((done, failed) => {
        const script = this.inside.document.createElement("script");
        script.src = address;
        script.addEventListener("load", () => done());
        script.addEventListener("error", failed);
        this.inside.document.body.appendChild(script);
      });
    }

    /** @param {unknown} data */
    postMessage(data) {
      this.ready.then(() => this.inside.dispatchEvent(new MessageEvent("message", { data: structuredClone(data) })));
    }

    terminate() {
      this.frame.remove();
    }
  }

  const page = /** @type {any} */ (window);
  page.Worker = FrameWorker;
  page.IFrameWorker = FrameWorker; // tells the theme's worker where to look for other languages' stemmers
})();
