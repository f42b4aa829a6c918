/* Moving a player: from one instrument to another, and only what changes. The choice is the address, #cornet/eb-bass.
   Without this script the page lists every move from one instrument. */
(() => {
  "use strict";
  const room = document.querySelector(".bb-moves");
  const pick = /** @type {HTMLFormElement | null} */ (room?.querySelector(".bb-move-pick"));
  const from = /** @type {HTMLSelectElement | null} */ (pick?.querySelector("select"));
  const shown = /** @type {HTMLElement | null} */ (room?.querySelector(".bb-move-found"));
  const plain = /** @type {HTMLElement | null} */ (room?.querySelector(".bb-move-plain"));
  if (!room || !pick || !from || !shown || !plain) return;
  /** @type {{ topics: string[], texts: string[], moves: Record<string, Record<string, number[]>> }} */
  const { topics, texts, moves } = JSON.parse(room.querySelector("script")?.textContent || "{}");
  const others = /** @type {NodeListOf<HTMLInputElement>} */ (pick.querySelectorAll("input"));
  const { make } = window.bandKit;

  const chosen = () => [...others].find((each) => each.checked);

  function show() {
    const start = from?.value || "";
    for (const each of others) {
      each.disabled = each.value === start;
      if (each.disabled) each.checked = false;
    }
    const to = chosen();
    const move = to && moves[start]?.[to.value];
    shown?.replaceChildren(...(to && move ? card(to, move) : [make("p", {}, "Choose the instrument to move to.")]));
  }

  /** @param {HTMLInputElement} to
   * @param {number[]} move
   * @returns {Element[]} */
  function card(to, [reads, ...changes]) {
    const title = make("h2");
    title.append(make("a", { href: to.dataset.href || "" }, name(to)));
    const list = make("dl");
    changes.forEach((text, at) => {
      if (text < 0) return;
      const row = make("div");
      row.append(make("dt", {}, topics[at]), make("dd", {}, texts[text]));
      list.append(row);
    });
    const stays = topics.filter((_, at) => changes[at] < 0).map((topic) => topic.toLowerCase());
    const found = [title, make("p", { class: "bb-quiet" }, `reading ${texts[reads]}`), list];
    if (!stays[0]) return found;
    const last = make("p", { class: "bb-stays" }, ` ${stays.join(", ")}.`);
    last.prepend(make("b", {}, "Stays:"));
    return [...found, last];
  }

  /** @param {HTMLInputElement} to */
  const name = (to) => to.parentElement?.textContent?.trim() || "";

  /** Takes the choice from the address, where it names instruments that are here. */
  function read() {
    const [start, to] = location.hash.slice(1).split("/");
    if (from && moves[start]) from.value = start;
    for (const each of others) if (moves[start]) each.checked = each.value === to;
    show();
  }

  pick.addEventListener("change", () => {
    show();
    const to = chosen();
    history.replaceState(null, "", `#${from.value}${to ? `/${to.value}` : ""}`);
  });
  pick.addEventListener("submit", (event) => event.preventDefault());
  window.addEventListener("hashchange", read);
  pick.hidden = false;
  shown.hidden = false;
  plain.hidden = true;
  read();
})();
