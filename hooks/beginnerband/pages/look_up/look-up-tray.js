/* The tray under the thumb: notes to pick on a long staff, or valves and positions. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const { name } = lookUp;

  /** The beginning of a label with its field; what is shown of it follows.
   * @param {string} type
   * @param {string} field
   * @param {string | number} value
   * @param {boolean} checked
   * @param {string} label */
  const input = (type, field, value, checked, label) =>
    `<label><input type="${type}" name="${field}" value="${value}"${checked ? " checked" : ""} aria-label="${label}">`;

  /** @type {BandLookUp["tray"]} */
  function tray(book, pictures) {
    /** @param {LookUpChoice} choice */
    function notes({ player, from, pitch: chosen }) {
      const { clef, empty, columns } = pictures.strip(player, from, book.names(player, from));
      /** @param {LookUpPitch} pitch
       * @param {string} inside */
      const pick = (pitch, inside) =>
        `${input("radio", "note", pitch.name, pitch === chosen, pitch.said)}<span>${inside}</span></label>`;
      const shown = columns.map(
        ({ flat, natural, sharp, picture }) =>
          `<div>${sharp ? pick(sharp, sharp.letter) : "<i></i>"}` +
          `${natural ? pick(natural, picture + name(natural)) : `<span>${empty}</span>`}` +
          `${flat ? pick(flat, flat.letter) : ""}</div>`,
      );
      return `<div class="bb-lu-strip"><div aria-hidden="true"><i></i><span>${clef}</span></div>${shown.join("")}</div>`;
    }

    /** @param {LookUpChoice} choice */
    function hand({ player: { tool }, code }) {
      const inside = tool.valves
        ? [1, 2, 3, 4].slice(0, tool.valves).map((number) => {
            const down = code.includes(String(number));
            return `${input("checkbox", "valve", number, down, `Valve ${number}`)}${pictures.valve(number, down)}</label>`;
          })
        : tool.ways
            .filter(([way]) => !way.startsWith("♯")) // raised positions are only ever the other way to play a note
            .map(([way, words]) => `${input("radio", "place", way, way === code, words)}<span>${way}</span></label>`);
      return `<div class="bb-lu-hand">${inside.join("")}</div>`;
    }

    return (choice) => (choice.from === "hand" ? hand(choice) : notes(choice));
  }

  lookUp.input = input;
  lookUp.tray = tray;
})();
