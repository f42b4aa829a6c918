/* The answer in words and pictures: what is asked, and after it what can wait, the same sound on the others.
   Texts in the tables are safe HTML. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const { address } = lookUp;
  const POOR = 3;

  /** A note's name with its octave small.
   * @param {LookUpPitch} pitch */
  const name = (pitch) => big(pitch.letter, `<small>${pitch.octave}</small>`);

  /** @param {string} text
   * @param {string} [after] */
  const big = (text, after = "") => `<span class="bb-lu-name"><b>${text}</b>${after}</span>`;

  /** A fingering as people say it: no valve pressed is open.
   * @param {string} code */
  const spoken = (code) => (code === "0" ? "open" : code);

  /** @param {string} picture
   * @param {string} title
   * @param {string} shown
   * @param {string} words */
  const figure = (picture, title, shown, words) =>
    `<figure>${picture}<figcaption><small>${title}</small>${shown}${words}</figcaption></figure>`;

  /** @param {LookUpPitch} pitch */
  const shownName = (pitch) => pitch.letter + pitch.octave;

  /** @type {BandLookUp["words"]} */
  function words(book, pictures, memory, canPlay) {
    /** @param {LookUpPlayer} player
     * @param {LookUpPitch} pitch
     * @param {string} kind
     * @param {string} inside */
    function link(player, pitch, kind, inside) {
      const to = address({ player, from: "written", pitch, code: "" });
      return `<li><a class="${kind}" href="#${to}">${inside}</a></li>`;
    }

    /** @param {LookUpPlayer} player
     * @param {string} code */
    const handWords = (player, code) => player.tool.ways.find((way) => way[0] === code)?.[1] || "";

    /** @param {LookUpPlayer} player
     * @param {LookUpAnswer} found */
    function play(player, { way, written }) {
      if (!way) return figure("", "Strike the bar", big(written.letter), "");
      return figure(pictures.fingers(player, way), "Play", big(spoken(way.code)), way.words);
    }

    /** @param {LookUpAnswer} found */
    function sounds({ concert, way, advice }) {
      const tune = way ? `${way.tune} <small>(${way.cents}).</small> ${advice.join(" ")} ` : "";
      const hear = canPlay ? `<button type="button" data-bb-note="${concert.midi}">Hear it</button>` : "";
      return `<p>Sounds ${name(concert)} <small>concert pitch, ${concert.hz} Hz.</small> ${tune}${hear}</p>`;
    }

    /** @param {LookUpPlayer} player
     * @param {LookUpPitch} written */
    function placeWords(player, written) {
      return book.tables.places[written.places[player.clef] - book.tables.lowest][0];
    }

    /** @param {LookUpPlayer} player
     * @param {LookUpAnswer} found */
    function answer(player, found) {
      const { written, beyond, alternates } = found;
      const shown = alternates.map((way) =>
        figure(pictures.fingers(player, way), way.cents, `<b>${spoken(way.code)}</b>`, ""),
      );
      const main =
        figure(
          pictures.staff(player, written),
          "Written",
          name(written),
          `<span>${placeWords(player, written)}</span>`,
        ) + play(player, found);
      return (
        `<b class="bb-lu-for">${player.fullName}</b><div class="bb-lu-main">${main}</div>` +
        (shown[0] ? `<details class="bb-lu-or"><summary>Or …</summary>${shown.join("")}</details>` : "") +
        sounds(found) +
        (beyond ? `<p class="bb-lu-level">${beyond}</p>` : "")
      );
    }

    /** Other readings of an instrument that have no row of their own.
     * @param {LookUpPlayer} player */
    const hidden = (player) =>
      book.players.filter((one) => one !== player && one.id === player.id && !memory.shown().includes(one));

    /** @param {LookUpPlayer} asked who asks
     * @param {LookUpPlayer} player
     * @param {LookUpPitch} concert */
    function row(asked, player, concert) {
      const found = book.joins(player, concert);
      if (!found) return "";
      const { written, way } = found.answer;
      const also = player === asked ? [] : hidden(player).filter((one) => one !== asked);
      const more = also.map((one) => {
        const other = book.joins(one, concert);
        return other ? `; ${shownName(other.answer.written)} in ${one.reads}` : "";
      });
      const who = player.id === asked.id ? player.fullName : player.name;
      const inside =
        `<span class="bb-lu-by">${who}</span>${pictures.staff(player, written)}${name(written)}` +
        `<small>${found.where}${more.join("")}</small>` +
        `<span class="bb-lu-how">${way ? `${pictures.fingers(player, way)}<b>${spoken(way.code)}</b>` : "strike"}</span>`;
      return link(player, written, "bb-lu-row", inside);
    }

    /** @param {LookUpChoice} choice */
    function others(choice) {
      const { concert } = book.answer(choice.player, book.written(choice));
      const list = [...hidden(choice.player), ...memory.shown().filter((one) => one !== choice.player)];
      const rows = list.map((one) => row(choice.player, one, concert)).join("");
      return `<h2 class="bb-lu-head">The same sound on the others</h2><ul class="bb-lu-rows">${rows}</ul>`;
    }

    /** @param {LookUpChoice} choice */
    function cards({ player, code }) {
      const list = book.byHand(player, code).map(({ answer: { written, concert }, way }) => {
        const poor = way.use === POOR;
        const tune = poor ? "out of tune: not for learners" : way.cents;
        const inside = `${pictures.staff(player, written)}${name(written)}<small>sounds ${shownName(concert)}<br>${tune}</small>`;
        return link(player, written, poor ? "bb-lu-card bb-lu-poor" : "bb-lu-card", inside);
      });
      const shown = list[0]
        ? `<ul class="bb-lu-cards">${list.join("")}</ul>`
        : "<p>None in this instrument’s range.</p>";
      return `<h2>The notes it can sound</h2>${shown}`;
    }

    /** @param {LookUpChoice} choice */
    function first(choice) {
      const { player, code } = choice;
      if (choice.from !== "hand") return answer(player, book.answer(player, book.written(choice)));
      const shown = { code, words: handWords(player, code) };
      return `<div class="bb-lu-main">${figure(pictures.fingers(player, shown), "", "", shown.words)}</div>`;
    }

    /** For a screen reader, in one sentence.
     * @param {LookUpChoice} choice */
    function said(choice) {
      const { player, code } = choice;
      if (choice.from !== "hand") {
        const { written, concert, way } = book.answer(player, book.written(choice));
        const does = way ? `${way.words}. ` : "";
        return `${player.name}, written ${written.said}: ${does}Sounds ${concert.said}.`;
      }
      const notes = book
        .byHand(player, code)
        .map(({ answer: { written }, way }) => written.said + (way.use === POOR ? " out of tune" : ""));
      return `${player.name}, ${handWords(player, code)}. Written notes: ${notes.join(", ") || "none"}.`;
    }

    return { first, rest: (choice) => (choice.from === "hand" ? cards(choice) : others(choice)), said };
  }

  lookUp.name = name;
  lookUp.words = words;
})();
