/* On a page from the web: saves the handbook on the device and says, quietly, when a new version is ready. */
(() => {
  "use strict";
  const root = new URL("..", document.currentScript.src).href;
  const online = /^https?:$/.test(location.protocol);
  document.querySelectorAll(online ? ".bb-disk-only" : ".bb-web-only").forEach((element) => {
    element.hidden = true;
  });
  if (!online) return;

  const manifest = document.createElement("link"); // by script: from disk, browsers refuse a manifest noisily
  manifest.rel = "manifest";
  manifest.href = new URL("handbook.webmanifest", root).href;
  document.head.appendChild(manifest);

  offerAddress();

  const workers = navigator.serviceWorker;
  if (!workers) return;
  const controlled = Boolean(workers.controller);
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

  function offer(worker) {
    if (waiting) return;
    waiting = worker;
    const notice = element("div", { class: "bb-update", role: "status" });
    const now = element("button", { type: "button", class: "bb-update__button" }, "Use it now");
    const later = element("button", { type: "button", class: "bb-update__button" }, "Later");
    now.addEventListener("click", () => waiting.postMessage({ handbook: "use-now" }));
    later.addEventListener("click", () => notice.remove());
    document.body.appendChild(notice); // the live region first, then its words, so that they are read out
    requestAnimationFrame(() =>
      notice.append(
        element("span", { class: "bb-update__words" }, "A new version of the handbook is ready."),
        now,
        later,
      ),
    );
  }

  function element(name, attributes, text) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text) made.textContent = text;
    return made;
  }

  /* The share page has a place that tells how far saving got, and a button for the rest. */
  const place = document.querySelector("[data-bb-saved]");
  const rest = document.querySelector("[data-bb-save-rest]");
  function show(said) {
    if (said.active && workers.controller) workers.controller.postMessage({ handbook: "state" });
    if (!place) return;
    place.textContent = words(said) || place.textContent;
    if (said.state && rest) rest.hidden = said.state.restSaved >= said.state.rest;
  }
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
    const send = document.querySelector("[data-bb-send]");
    if (send && navigator.share) {
      send.hidden = false;
      send.addEventListener("click", () => navigator.share({ title: document.title, url: root }).catch(() => {}));
    }
    const copy = document.querySelector("[data-bb-copy]");
    if (copy && navigator.clipboard) {
      copy.hidden = false;
      copy.addEventListener("click", () =>
        navigator.clipboard.writeText(root).then(
          () => {
            document.querySelector("[data-bb-copied]").textContent = "Copied.";
          },
          () => {
            document.querySelector("[data-bb-copied]").textContent = `Not allowed here. The address is ${root}`;
          },
        ),
      );
    }
  }
})();
