/* The answer in words and pictures: what is asked, and after it what can wait, the same sound on the others.
   Texts in the tables are safe HTML. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const { address } = lookUp;
  const POOR = 3;
  const LONG = 64; // letters of advice that stand in two lines on a phone

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

  /** Advice that is long begins with its first clause; all of it stands in the fold.
   * @param {string[]} advice
   * @returns {[shown: string, folded: string]} */
  function foldedAdvice(advice) {
    const all = advice.join(" ");
    if (all.length <= LONG) return [all, ""];
    return [`<span class="bb-lu-brief">${advice[0].replace(/:.*$/, ".")}</span>`, all];
  }

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

    /** @param {LookUpPlayer} player
     * @param {LookUpAnswer} found
     * @param {string} advice */
    function sounds({ tone }, { concert, way, beyond }, advice) {
      const tune = way ? `${way.tune} <small>(${way.cents}).</small> ${advice} ` : "";
      const late = beyond ? `<span class="bb-lu-level">${beyond}</span> ` : "";
      const hear = canPlay
        ? `<button type="button" data-bb-note="${concert.midi}" data-bb-tone="${tone}">Hear it</button>`
        : "";
      return `<p>Sounds ${name(concert)} <small>concert pitch, ${concert.hz} Hz.</small> ${tune}${late}${hear}</p>`;
    }

    /** What is folded away: other ways to play the note, and advice that is long.
     * @param {LookUpPlayer} player
     * @param {LookUpWay[]} alternates
     * @param {string} advice */
    function more(player, alternates, advice) {
      const ways = alternates.map((way) =>
        figure(pictures.fingers(player, way), way.cents, `<b>${spoken(way.code)}</b>`, ""),
      );
      const inside = ways.join("") + (advice && `<p>${advice}</p>`);
      const label = advice ? "More …" : "Or …";
      return inside && `<details class="bb-lu-or"><summary>${label}</summary>${inside}</details>`;
    }

    /** @param {LookUpPlayer} player
     * @param {LookUpPitch} written */
    function placeWords(player, written) {
      return book.tables.places[written.places[player.clef] - book.tables.lowest][0];
    }

    /** @param {LookUpPlayer} player
     * @param {LookUpAnswer} found */
    function answer(player, found) {
      const { written, alternates } = found;
      const [shown, folded] = foldedAdvice(found.advice);
      const main =
        figure(
          pictures.staff(player, written),
          "Written",
          name(written),
          `<span>${placeWords(player, written)}</span>`,
        ) + play(player, found);
      return (
        `<b class="bb-lu-for">${player.fullName}</b><div class="bb-lu-main">${main}</div>` +
        more(player, alternates, folded) +
        sounds(player, found, shown)
      );
    }

    /** Other readings of an instrument that have no row of their own.
     * @param {LookUpPlayer} player */
    const hidden = (player) =>
      book.players.filter((one) => one !== player && one.id === player.id && !memory.shown().includes(one));

    /** A name in its first words, and what tells it from others of its kind where the list has such.
     * @param {LookUpPlayer} player
     * @param {LookUpPlayer[]} list
     * @returns {[name: string, kind: string]} "B♭ euphonium" and "4 valves" */
    function shortName({ id, name: full }, list) {
      const [short] = full.split(/, | with /);
      const several = list.some((one) => one.id !== id && one.name.startsWith(short));
      return [short, several ? full.slice(short.length).replace(/^, | /, "") : ""];
    }

    /** Its clef, where that tells how it reads.
     * @param {LookUpPlayer} player */
    function readsIn({ id, clef, reads }) {
      return book.players.filter((one) => one.id === id && one.clef === clef)[1] ? reads : `${clef} clef`;
    }

    /** Its name, the octave unless it is none, and the note in the instrument's other clefs.
     * @param {LookUpPlayer} asked who asks
     * @param {LookUpPlayer} player
     * @param {LookUpPitch} concert
     * @param {LookUpPlayer[]} list */
    function row(asked, player, concert, list) {
      const found = book.joins(player, concert);
      if (!found) return "";
      const { written, way } = found.answer;
      const also = player.id === asked.id ? [] : hidden(player);
      const notes = also.map((one) => {
        const other = book.joins(one, concert);
        return other ? `or ${shownName(other.answer.written)} in ${readsIn(one)}` : "";
      });
      const clef = player.id === asked.id ? readsIn(player) : "";
      const [short, kind] = shortName(player, list);
      const [one, two, ...rest] = [kind, clef, found.octaves ? found.where : "", ...notes].filter(Boolean);
      const details = [one, two].filter(Boolean).join(", ") + (rest[0] ? `<span>, ${rest.join(", ")}</span>` : "");
      const how = way
        ? `${pictures.fingers(player, way)}${player.tool.slide ? "<span>position</span>" : ""}<b>${spoken(way.code)}</b>`
        : "strike";
      const kindOfHow = player.tool.slide ? " bb-lu-slide" : player.tool.valves === 4 ? " bb-lu-wide" : "";
      const inside =
        `<span class="bb-lu-by${details ? "" : " bb-lu-alone"}">${short}</span>` +
        `${pictures.staff(player, written)}${name(written)}<small${details ? "" : " hidden"}>${details}</small><span class="bb-lu-how${kindOfHow}">${how}</span>`;
      return link(player, written, "bb-lu-row", inside);
    }

    /** @param {LookUpChoice} choice */
    function others(choice) {
      const { concert } = book.answer(choice.player, book.written(choice));
      const list = [...hidden(choice.player), ...memory.shown().filter((one) => one !== choice.player)];
      const rows = list.map((one) => row(choice.player, one, concert, [choice.player, ...list])).join("");
      return rows && `<h2 class="bb-lu-head">The same sound on the others</h2><ul class="bb-lu-rows">${rows}</ul>`;
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

    /** A player in the closed list of them: the clef stands before what tells one kind from another, or it would be cut.
     * @param {LookUpPlayer} player */
    function listed(player) {
      if (player.fullName === player.name) return player.name;
      const [short] = player.name.split(/, | with /);
      const kind = player.name.slice(short.length).replace(/^, | /, "");
      return [short, readsIn(player), kind].filter(Boolean).join(", ");
    }

    return { first, rest: (choice) => (choice.from === "hand" ? cards(choice) : others(choice)), said, listed };
  }

  lookUp.name = name;
  lookUp.words = words;
})();
