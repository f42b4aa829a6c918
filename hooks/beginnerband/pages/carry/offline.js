/* On a page from the web: saves the handbook on the device and says, quietly, when a new version is ready. */
(() => {
  "use strict";
  const root = new URL("..", /** @type {HTMLScriptElement} */ (document.currentScript).src).href;
  const { make } = window.bandKit;
  const online = /^https?:$/.test(location.protocol);
  const needless = document.querySelectorAll(online ? ".bb-disk-only" : ".bb-web-only");
  for (const element of /** @type {NodeListOf<HTMLElement>} */ (needless)) element.hidden = true;
  if (!online) return;

  // by script: from disk, browsers refuse a manifest noisily
  document.head.append(make("link", { rel: "manifest", href: new URL("handbook.webmanifest", root).href }));

  offerAddress();

  const workers = navigator.serviceWorker;
  if (!workers) return;
  const controlled = Boolean(workers.controller);
  /** @type {ServiceWorker | null} */
  let waiting = null;

  workers.addEventListener("controllerchange", () => {
    if (controlled) location.reload(); // never a page of one version with scripts of another
  });
  workers.addEventListener("message", (event) => {
    const said = event.data?.handbook;
    if (said) show(said);
  });

  function register() {
    workers.register(new URL("service-worker.js", root), { scope: root }).then(
      (registration) => {
        const look = () => {
          if (registration.waiting && workers.controller) offer(registration.waiting);
        };
        look();
        registration.addEventListener("updatefound", () => {
          const coming = registration.installing;
          if (coming) coming.addEventListener("statechange", look);
        });
        document.addEventListener("visibilitychange", () => {
          if (document.visibilityState === "visible") registration.update().catch(() => {});
        });
        if (registration.active) registration.active.postMessage({ handbook: "state" });
      },
      () => show({ failed: "blocked" }),
    );
  }
  if (document.readyState === "complete") register();
  else window.addEventListener("load", register, { once: true });

  /** @param {ServiceWorker} worker */
  function offer(worker) {
    if (waiting) return;
    waiting = worker;
    const notice = make("div", { class: "bb-update", role: "status" });
    const now = make("button", { type: "button", class: "bb-update__button" }, "Use it now");
    const later = make("button", { type: "button", class: "bb-update__button" }, "Later");
    now.addEventListener("click", () => worker.postMessage({ handbook: "use-now" }));
    later.addEventListener("click", () => notice.remove());
    document.body.appendChild(notice); // the live region first, then its words, so that they are read out
    requestAnimationFrame(() =>
      notice.append(make("span", { class: "bb-update__words" }, "A new version of the handbook is ready."), now, later),
    );
  }

  /* The share page has a place that tells how far saving got, and a button for the rest. */
  const place = document.querySelector("[data-bb-saved]");
  const rest = /** @type {HTMLButtonElement | null} */ (document.querySelector("[data-bb-save-rest]"));
  /** What the service worker says of its work.
   * @typedef {{ active?: boolean, failed?: string, saving?: number, of?: number, state?: { pages: number, rest: number, restSaved: number } }} Said */
  /** @param {Said} said */
  function show(said) {
    if (said.active && workers.controller) workers.controller.postMessage({ handbook: "state" });
    if (!place) return;
    place.textContent = words(said) || place.textContent;
    if (said.state && rest) rest.hidden = said.state.restSaved >= said.state.rest;
  }
  /** @param {Said} said */
  function words(said) {
    if (said.failed === "full")
      return "There is no room on this device to save the handbook. It works as long as there is a signal.";
    if (said.failed === "blocked")
      return "This browser does not save pages here (a private window, perhaps). Use the zip file or the pocket page instead.";
    if (said.failed) return "Saving was cut off. It goes on at the next visit; what was saved before still works.";
    if (said.of) return `Saving: ${said.saving} of ${said.of} files.`;
    if (!said.state) return "";
    const { pages, rest: all, restSaved } = said.state;
    return `Saved on this device: all ${pages} pages open without a signal. Of ${all} files to print or to play from, ${restSaved} are saved.`;
  }
  if (rest)
    rest.addEventListener("click", () => {
      rest.disabled = true;
      if (navigator.storage?.persist) navigator.storage.persist();
      if (workers.controller) workers.controller.postMessage({ handbook: "save-rest" });
    });

  /* The share page: the address this handbook stands at, sent by the phone's own means or copied. */
  function offerAddress() {
    const stands = document.querySelector("[data-bb-address]");
    if (stands) stands.textContent = root;
    const send = /** @type {HTMLElement | null} */ (document.querySelector("[data-bb-send]"));
    if (send && "share" in navigator) {
      send.hidden = false;
      send.addEventListener("click", () => navigator.share({ title: document.title, url: root }).catch(() => {}));
    }
    const copy = /** @type {HTMLElement | null} */ (document.querySelector("[data-bb-copy]"));
    const copied = document.querySelector("[data-bb-copied]");
    if (copy && copied && navigator.clipboard) {
      copy.hidden = false;
      copy.addEventListener("click", () =>
        navigator.clipboard.writeText(root).then(
          () => {
            copied.textContent = "Copied.";
          },
          () => {
            copied.textContent = `Not allowed here. The address is ${root}`;
          },
        ),
      );
    }
  }
})();
