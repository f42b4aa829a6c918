/* On a device with a band of its own: says which pages hold for it, and where the handbook must be built again. */
(() => {
  "use strict";
  const built =
    /** @type {{ name: string, players: string[], names: { [key: string]: string }, first: { [id: string]: string }, root: string } | undefined} */ (
      /** @type {any} */ (window).bbBuiltBand
    );
  const script = /** @type {HTMLScriptElement | null} */ (document.currentScript);
  const heading = document.querySelector("article h1");
  if (!built || !script || !heading) return;
  const root = new URL("..", script.src).href;
  const page = location.href.slice(root.length).split(/[?#]/)[0];
  const room = page.split(/[/.]/)[0];
  if (!["look-up", "tunes", "pieces", "course"].includes(room)) return;

  /** @type {{ name?: string, players?: { instrument: string, reading?: string }[] }} */
  let band = {};
  try {
    band = JSON.parse(localStorage.getItem("bb-set-up") || "{}").band || {};
  } catch {
    return;
  }
  const mine = (band.players || []).map((each) => `${each.instrument}/${each.reading || built.first[each.instrument]}`);
  const missing = mine.filter((key) => !built.players.includes(key));
  const spare = built.players.filter((key) => !mine.includes(key));
  if (!missing.length && !spare.length) return;

  const note = document.createElement("aside");
  note.className = "bb-own-band";
  note.setAttribute("aria-label", "Your own band");
  const said = document.createElement("p");
  said.textContent = words();
  const link = document.createElement("a");
  link.href = new URL("set-up.html", root).href;
  link.textContent = "Your set-up";
  said.append(" ", link, ".");
  note.append(said);
  heading.after(note);

  function words() {
    const whose = `On this device ${band.name || "a band of your own"} is set up.`;
    const names = missing.map((key) => built?.names[key] || key).join(", ");
    if (room === "look-up") return `${whose} The look-up shows its instruments.`;
    if (missing.length) {
      return `${whose} This page was not made for all of it: build the handbook again with your band.yml for ${names}.`;
    }
    if (room === "pieces") {
      return `${whose} The parts of each of its instruments are here, but lines were shared out for ${built?.name}: build again with your band.yml.`;
    }
    return `${whose} Everything here was made for each of its instruments, and for others that it does not have.`;
  }
})();
