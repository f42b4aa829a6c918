/* On a page from the web: saves the handbook on the device and says, quietly, when a new version is ready. */
(() => {
  "use strict";
  const root = new URL("..", /** @type {HTMLScriptElement} */ (document.currentScript).src).href;
  const { make, kept, keep } = window.bandKit;

  /** Why nothing more was saved, by what the worker or the browser says.
   * @type {Record<string, string>} */
  const FAILED = {
    full: "There is no room on this device to save the handbook. It works as long as there is a signal.",
    blocked:
      "This browser does not save pages here (a private window, perhaps). Use the zip file or the pocket page instead.",
    insecure:
      "Nothing can be saved from this address, since it does not begin with https. Use the zip file or the pocket page instead.",
    broken: "Saving was cut off. It goes on at the next visit; what was saved before still works.",
  };
  /** The same in a few words, for the home page's one line.
   * @type {Record<string, string>} */
  const BRIEFLY = {
    full: "No room to save the handbook here.",
    blocked: "This browser saves no pages here.",
    insecure: "Not saved: this address is not https.",
    broken: "Saving was cut off; it goes on later.",
  };
  const LATER = "bb-update-later"; // the day on which it was last asked
  const online = /^https?:$/.test(location.protocol);
  const needless = document.querySelectorAll(online ? ".bb-disk-only" : ".bb-web-only");
  for (const element of /** @type {NodeListOf<HTMLElement>} */ (needless)) element.hidden = true;
  for (const line of document.querySelectorAll('[data-bb-saved="line"]'))
    line.textContent = online ? "Not saved on this device yet." : "Opened from a folder: all of it is here.";
  if (!online) return;

  // by script: from disk, browsers refuse a manifest noisily
  document.head.append(make("link", { rel: "manifest", href: new URL("handbook.webmanifest", root).href }));

  offerAddress();

  const workers = navigator.serviceWorker;
  if (!workers) {
    show({ failed: window.isSecureContext ? "blocked" : "insecure" });
    return;
  }
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

  /* Once a day, in the flow of the page: it covers neither the picker nor the player at the foot. */
  /** @param {ServiceWorker} worker */
  function offer(worker) {
    const today = new Date().toDateString();
    if (waiting || kept(LATER) === today) return;
    waiting = worker;
    const notice = make("div", { class: "bb-update", role: "status" });
    const now = make("button", { type: "button", class: "bb-update__button" }, "Use it now");
    const later = make("button", { type: "button", class: "bb-update__button" }, "Later");
    window.addEventListener("pagehide", () => {
      if (notice.isConnected) keep(LATER, today); // who goes on without an answer means later, too
    });
    now.addEventListener("click", () => worker.postMessage({ handbook: "use-now" }));
    later.addEventListener("click", () => {
      notice.remove();
      keep(LATER, today);
    });
    (document.querySelector(".md-container") || document.body).prepend(notice); // the live region, then its words
    requestAnimationFrame(() =>
      notice.append(make("span", { class: "bb-update__words" }, "A new version is ready."), now, later),
    );
  }

  /* The home page has a line that says what is on this device; the share page says it in full, with buttons for the rest.
     Every sentence is of what the worker counted in the cache just now. */
  /** What the worker counted: files and pages of the handbook, and files to print or to play from.
   * @typedef {{ files: number, filesSaved: number, pages: number, pagesSaved: number, rest: number, restSaved: number,
   *   savesData: boolean }} Counted */
  /** What the service worker says of its work.
   * @typedef {{ active?: boolean, failed?: string, saving?: number, of?: number, state?: Counted }} Said */
  /** @param {Said} said */
  function show(said) {
    if (said.active && workers?.controller) workers.controller.postMessage({ handbook: "state" });
    for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-bb-saved]"))) {
      const words = place.dataset.bbSaved === "line" ? inALine(said) : sentence(said);
      if (words) place.textContent = words;
    }
    if (!said.state) return;
    const { files, filesSaved, rest, restSaved, savesData } = said.state;
    offerToSave("save-all", savesData && filesSaved < files);
    offerToSave("save-rest", filesSaved >= files && restSaved < rest);
  }

  /** Shows or hides a button; one that is shown can be pressed again, whatever came of it before.
   * @param {string} what
   * @param {boolean} wanted */
  function offerToSave(what, wanted) {
    const button = /** @type {HTMLButtonElement | null} */ (document.querySelector(`[data-bb-save="${what}"]`));
    if (!button) return;
    button.hidden = !wanted;
    button.disabled = false;
  }

  /** @param {Said} said */
  function sentence(said) {
    if (said.state) return ofState(said.state, said.failed);
    if (said.failed) return FAILED[said.failed] || FAILED.broken;
    return said.of ? `Saving: ${said.saving} of ${said.of} files.` : "";
  }

  /** @param {Said} said */
  function inALine({ state, failed, saving, of }) {
    if (state?.filesSaved) {
      const { files, filesSaved, pages, pagesSaved } = state;
      return `Saved on this device: ${filesSaved >= files ? "all" : `${pagesSaved} of`} ${pages} pages.`;
    }
    if (failed) return BRIEFLY[failed] || BRIEFLY.broken;
    if (state) return "Nothing is saved on this device now.";
    return of ? `Saving: ${saving} of ${of} files.` : "";
  }

  /** @param {Counted} counted
   * @param {string | undefined} failed */
  function ofState({ files, filesSaved, pages, pagesSaved, rest, restSaved, savesData }, failed) {
    const noRoom = failed === "full" ? " There was no room for more. Make room, then try again." : "";
    const end = noRoom || (failed ? " Saving was cut off. It goes on when you try again." : "");
    if (filesSaved >= files) {
      const all = rest ? ` Of ${rest} files to print or to play from, ${restSaved} are saved.` : "";
      return `Saved on this device: all ${pages} pages open without a signal.${all}${end}`;
    }
    if (savesData)
      return `This device saves data, so only what you open is saved: ${pagesSaved} of ${pages} pages.${end}`;
    if (!filesSaved) return `Nothing is saved on this device now.${end || " It is being saved again."}`;
    return `On this device ${pagesSaved} of ${pages} pages open without a signal.${end || " The rest is being saved."}`;
  }

  for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("[data-bb-save]"))) {
    button.addEventListener("click", () => {
      button.disabled = true;
      if (navigator.storage?.persist) navigator.storage.persist();
      if (workers.controller) workers.controller.postMessage({ handbook: button.dataset.bbSave });
    });
  }

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
