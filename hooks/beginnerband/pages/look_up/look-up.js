/* The look-up on its page: what is tapped becomes a choice, and the choice is shown, remembered and put into the
   address. The last of its scripts. Works inlined and from disk. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  const root = document.getElementById("bb-look-up");
  if (!lookUp || !root) return;

  const PAUSE = 200; // milliseconds without a tap, after which the address follows

  const book = lookUp.openBook(lookUp.tables);
  const memory = lookUp.memory(book);
  const pictures = lookUp.pictures(book.tables);
  const words = lookUp.words(book, pictures, memory, Boolean(root.dataset.player));
  const tray = lookUp.tray(book, pictures);
  const { address, input, parsed, patch, read, unknown } = lookUp;

  /** @param {string} name */
  const part = (name) => /** @type {HTMLElement} */ (document.getElementById(`bb-lu-${name}`));
  const playerList = /** @type {HTMLSelectElement} */ (part("player"));
  const [firstAnswer, restOfAnswer] = part("answer").children;

  /** @type {LookUpChoice} */
  let choice =
    read(book, location.hash.slice(1)) || read(book, memory.choice()) || read(book, book.players[0].key) || nothing();
  let isUnknown = asksUnknown();
  let asksAddress = false;
  let addressThen = ""; // who followed a link meanwhile keeps its address
  let keeping = 0;
  let trayFor = "";

  /* Answers as they will be shown, by address: those of the notes to pick from are made ahead, one at a time, while the
     phone has nothing else to do, so that a tap has only to put one in its place. */
  /** @type {Map<string, DocumentFragment>} */
  const made = new Map();

  function asksUnknown() {
    return unknown(book, location.hash.slice(1), (name) => Boolean(document.getElementById(name)));
  }

  /** @returns {never} */
  function nothing() {
    throw new Error("the look-up has no players");
  }

  /** @param {string | null} text
   * @returns {boolean} whether it is an address of the look-up */
  function choose(text) {
    const found = read(book, text, choice);
    if (found) choice = found;
    return Boolean(found);
  }

  /** @param {boolean} [writesAddress] */
  function show(writesAddress) {
    if (playerList.value !== choice.player.key) playerList.value = choice.player.key;
    showTray();
    patch(firstAnswer, firstOf(choice));
    restOfAnswer.setAttribute("aria-busy", "true");
    requestAnimationFrame(() => setTimeout(showRest));
    showLack();
    if (writesAddress) addressThen = location.hash;
    asksAddress = asksAddress || Boolean(writesAddress);
    clearTimeout(keeping);
    keeping = setTimeout(keep, PAUSE);
  }

  /** @param {LookUpChoice} asked */
  function firstOf(asked) {
    const text = address(asked);
    const first = made.get(text) || parsed(words.first(asked));
    made.set(text, first);
    return first;
  }

  /** Makes the next answer that is not made yet, then lets the phone breathe.
   * @param {LookUpPlayer} player
   * @param {LookUpChoice["from"]} from */
  function makeAhead(player, from) {
    if (player !== choice.player || from !== choice.from) return;
    const asked = (/** @type {LookUpPitch} */ pitch) => ({ player, from, pitch, code: "" });
    const next = book.names(player, from).find((pitch) => !made.has(address(asked(pitch))));
    if (!next) return;
    firstOf(asked(next));
    idle(() => makeAhead(player, from));
  }

  /** @param {() => void} work */
  const idle = (work) => ("requestIdleCallback" in window ? requestIdleCallback(work) : setTimeout(work, PAUSE));

  function showLack() {
    const { lacks = "", player } = choice;
    const note = lacks && `${player.fullName} has no ${lacks.replace("b", "♭").replace("#", "♯")}`;
    const said = isUnknown
      ? `This handbook does not have the instrument that the link asks for; this is ${player.fullName}.`
      : note && `${note}; this is the nearest it has.`;
    if (!said && part("lacks").hidden) return;
    part("lacks").hidden = !said;
    part("lacks").textContent = said;
  }

  /* What can wait: the others' rows and what is read out until the answer is on the screen, the address and the memory
     until a pause. */
  function showRest() {
    if (!restOfAnswer.hasAttribute("aria-busy")) return;
    patch(restOfAnswer, parsed(words.rest(choice)));
    restOfAnswer.classList.remove("bb-lu-room");
    part("said").textContent = words.said(choice);
    restOfAnswer.removeAttribute("aria-busy");
  }

  function keep() {
    const text = address(choice);
    const write = asksAddress;
    clearTimeout(keeping);
    asksAddress = false;
    memory.keepChoice(text);
    if (!write || location.hash !== addressThen) return;
    try {
      history.replaceState(null, "", `#${text}`);
    } catch {
      location.replace(`#${text}`);
    }
  }

  /* The tray is made anew for another player or start only: on a tap the browser has already marked the note in it. */
  function showTray() {
    const { player, from, pitch, code } = choice;
    const asked = [player.key, from, from === "hand" && code].join(" ");
    const anew = asked !== trayFor;
    if (anew) makeTray(asked);
    if (from === "hand") return;
    const chosen = inTray(`[value="${pitch.name}"]`);
    if (!chosen || (chosen.checked && !anew)) return;
    chosen.checked = true;
    requestAnimationFrame(() => bringIntoView(chosen)); // with the frame's own layout, not by one before it
  }

  /** @param {string} asked */
  function makeTray(asked) {
    const { name, value } = /** @type {HTMLInputElement} */ (document.activeElement || {});
    const { player, from } = choice;
    const starts = /** @type {NodeListOf<HTMLInputElement>} */ (part("from").querySelectorAll("input"));
    for (const start of starts) start.checked = start.value === from;
    const byHand = part("by-hand");
    byHand.textContent = player.tool.slide ? "position" : "fingering";
    if (byHand.parentElement) byHand.parentElement.hidden = !player.tool.width;
    part("pick").innerHTML = tray(choice);
    trayFor = asked;
    made.clear();
    if (from !== "hand") idle(() => makeAhead(player, from));
    if (/valve|place|note/.test(name || "")) {
      inTray(name === "valve" ? `[value="${value}"]` : "input:checked")?.focus({ preventScroll: true });
    }
  }

  /** @param {string} selector */
  const inTray = (selector) => /** @type {HTMLInputElement | null} */ (part("pick").querySelector(selector));

  /** @param {HTMLElement} chosen */
  function bringIntoView(chosen) {
    const column = chosen.closest("div");
    const strip = column?.parentElement;
    if (column && strip) strip.scrollLeft = column.offsetLeft - (strip.clientWidth - column.offsetWidth) / 2;
  }

  /** From written to concert and back it stays the same sound; to the hand it becomes that note's fingering.
   * @param {LookUpChoice["from"]} from */
  function turn(from) {
    const { written, concert, way } = book.answer(choice.player, book.written(choice));
    const code = from === "hand" && way ? way.code : choice.code;
    choice = { ...choice, from, code, pitch: from === "concert" ? concert : written };
  }

  /* The list of players, and which of them this phone shows. */
  function showPlayers() {
    const shown = memory.shown();
    /** @param {string} label
     * @param {LookUpPlayer[]} players */
    const group = (label, players) =>
      players[0]
        ? `<optgroup label="${label}">${players.map((one) => `<option value="${one.key}">${words.listed(one)}</option>`).join("")}</optgroup>`
        : "";
    const others = book.players.filter((one) => !shown.includes(one));
    playerList.innerHTML = group("Shown here", shown) + group("All others", others);
    playerList.value = choice.player.key;
    const boxes = book.players.map(
      (one) => `${input("checkbox", "shown", one.key, shown.includes(one), one.fullName)}${one.fullName}</label>`,
    );
    part("mine").innerHTML =
      `${boxes.join("")}<button type="button" id="bb-lu-reset">Back to the band’s own list</button>`;
  }

  /** @param {string} field */
  const picked = (field) =>
    [.../** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll(`[name=${field}]:checked`))].map(
      (one) => one.value,
    );

  /** What each field changes, by its name.
   * @type {Record<string, (value: string) => void>} */
  const changes = {
    player: (key) => choose(choice.from === "written" ? key : `${key}/${choice.from}`),
    note: (name) => {
      choice = { ...choice, pitch: book.pitch(name) || choice.pitch, lacks: "" };
    },
    place: (code) => {
      choice = { ...choice, code };
    },
    valve: () => {
      choice = { ...choice, code: picked("valve").join("-") || "0" };
    },
    from: (start) => turn(/** @type {LookUpChoice["from"]} */ (start)),
    shown: (key) => {
      memory.keepShown(picked("shown"));
      showPlayers();
      /** @type {HTMLElement | null} */ (part("mine").querySelector(`[value="${key}"]`))?.focus();
    },
  };

  root.addEventListener("change", ({ target }) => {
    if (!(target instanceof HTMLInputElement || target instanceof HTMLSelectElement)) return;
    isUnknown = false;
    changes[target.name]?.(target.value);
    show(true);
  });

  /* Left and right walk the letters, up and down their signs: a note's column has its sharp, itself and its flat. */
  root.addEventListener("keydown", (event) => {
    const { target, key } = event;
    if (!(target instanceof HTMLInputElement) || target.name !== "note") return;
    const column = target.closest("div");
    const near = /** @type {NodeListOf<HTMLInputElement> | undefined} */ (column?.querySelectorAll("[name=note]"));
    const along = { ArrowLeft: "previousElementSibling", ArrowRight: "nextElementSibling" }[key];
    const step = { ArrowUp: -1, ArrowDown: 1 }[key];
    if (!column || !near || (!along && !step)) return;
    event.preventDefault();
    /** @type {HTMLInputElement | null | undefined} */
    let to;
    if (step) to = near[[...near].indexOf(target) + step];
    else {
      const beside = /** @type {Element | null} */ (
        along === "nextElementSibling" ? column.nextElementSibling : column.previousElementSibling
      );
      const notes = /** @type {NodeListOf<HTMLInputElement> | undefined} */ (beside?.querySelectorAll("[name=note]"));
      to = [...(notes || [])].find((one) => !/[b#]/.test(one.value)) || notes?.[0];
    }
    if (!to) return;
    to.checked = true;
    to.focus();
    to.dispatchEvent(new Event("change", { bubbles: true }));
  });

  root.addEventListener("click", ({ target }) => {
    if (!(target instanceof HTMLElement)) return;
    if (target.dataset.bbNote && !window.bandSound && !root.dataset.fetched) {
      root.dataset.fetched = "player"; // when first wanted, once
      window.bandKit.fetched(root.dataset.player || "").then(() => target.click());
    }
    if (target.id !== "bb-lu-reset") return;
    memory.forgetShown();
    showPlayers();
    show(true);
  });

  root.addEventListener("submit", (event) => event.preventDefault());

  addEventListener("pagehide", keep);

  addEventListener("hashchange", () => {
    asksAddress = false;
    isUnknown = asksUnknown();
    if (!choose(location.hash.slice(1)) && !isUnknown) return;
    show();
    scrollTo(0, 0);
  });

  root.hidden = false;
  document.documentElement.classList.add("bb-lu-open");
  showPlayers();
  show(Boolean(read(book, location.hash.slice(1))));
  firstAnswer.classList.remove("bb-lu-room");
})();
