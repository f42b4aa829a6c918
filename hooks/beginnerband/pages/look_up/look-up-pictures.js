/* The look-up's drawings, from the pieces in its tables; outlines of clefs and notes are in the page once, by id. What
   changes with a tap is drawn by a copy of its outline where it stands: a phone needs longer for an element that points
   to one, and for one that is moved to its place. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  /* Units of the drawing, of which a staff space has ten. */
  const ABOVE = -18;
  const BELOW = 58;
  const ROUND_HEAD = 9;
  const WIDTH = 86;
  const COLUMN = 44;
  const COLUMN_LEFT = 42; // of the staff, so that its note stands in the column
  const VALVE = 32;
  const FINGERS = 54;
  const NOTHING = '<path stroke="none" d=""/>'; // one that is there and changes costs less than one that comes and goes

  /** @param {LookUpTables} tables
   * @returns {LookUpPictures} */
  function pictures(tables) {
    const { clefs, marks, signs, lines } = tables.staff;
    const heads = tables.places.map(([, , head]) => copied(head));
    const drawnClefs = Object.fromEntries(Object.entries(clefs).map(([clef, drawing]) => [clef, copied(drawing)]));

    /** @param {number} place */
    const heightOf = (place) => tables.places[place - tables.lowest][1];

    /** @param {LookUpPitch} pitch
     * @param {number} place */
    function head(pitch, place) {
      const sign = pitch.alter ? copied(signs[pitch.alter].replace("{y}", String(heightOf(place)))) : "";
      return heads[place - tables.lowest] + sign;
    }

    /** @param {number} x
     * @param {number} width */
    const fiveLines = (x, width) => lines.replaceAll("{x}", String(x)).replaceAll("{width}", String(width));

    /** Top and height of a drawing that has room for notes at these places.
     * @param {number[]} places */
    function room(places) {
      const top = Math.min(ABOVE, heightOf(Math.max(...places)) - ROUND_HEAD);
      return { top, height: Math.max(BELOW, heightOf(Math.min(...places)) + ROUND_HEAD) - top };
    }

    /** @param {LookUpPlayer} player
     * @param {LookUpPitch} pitch */
    function staff(player, pitch) {
      const place = pitch.places[player.clef] - 7 * player.marks[0];
      const { top, height } = room([place]);
      const drawn = head(pitch, place);
      const noLedger = drawn.includes("stroke-width") ? "" : NOTHING;
      const noSign = pitch.alter ? "" : NOTHING;
      const inside = fiveLines(0, WIDTH) + drawnClefs[player.clef] + marks[player.marks[0]] + noLedger + drawn + noSign;
      return svg("staff", `0 ${top} ${WIDTH} ${height}`, inside, `${pitch.said}, ${player.clef} clef`);
    }

    /** @param {LookUpPlayer} player
     * @param {string} from
     * @param {LookUpPitch[]} pitches
     * @returns {LookUpStrip} */
    function strip(player, from, pitches) {
      const clef = from === "concert" ? player.concertClef : player.clef;
      const mark = player.marks[from === "concert" ? 1 : 0];
      /** @param {LookUpPitch} pitch */
      const placeOf = (pitch) => pitch.places[clef] - 7 * mark;
      const places = pitches.map(placeOf);
      const { top, height } = room(places);
      /** @param {string} inside
       * @param {number} left */
      const drawn = (inside, left) =>
        svg("staff", `${left} ${top} ${COLUMN} ${height}`, fiveLines(-99, 300) + inside, "");
      const empty = drawn("", COLUMN_LEFT);
      const columns = [];
      for (let place = Math.min(...places); place <= Math.max(...places); place++) {
        const [flat, natural, sharp] = [-1, 0, 1].map((alter) =>
          pitches.find((pitch) => pitch.alter === alter && placeOf(pitch) === place),
        );
        const picture = natural ? drawn(head(natural, place), COLUMN_LEFT) : empty;
        columns.push({ flat, natural, sharp, picture });
      }
      return { clef: drawn(drawnClefs[clef] + marks[mark], 0), empty, columns };
    }

    /** @param {number} number
     * @param {boolean} down
     * @param {number} x */
    const oneValve = (number, down, x) =>
      tables.valve[down ? 1 : 0].replaceAll("{x}", String(x)).replace("{n}", String(number));

    /** @param {LookUpPlayer} player
     * @param {{ code: string, words: string }} way */
    function fingers({ tool }, { code, words }) {
      const inside = tool.valves
        ? numbers(tool.valves).map((number) => oneValve(number, code.includes(String(number)), VALVE * (number - 1)))
        : [slide(tool, code)];
      return svg("fingers", `0 0 ${tool.width} ${FINGERS}`, `<g stroke-width="2">${inside.join("")}</g>`, words);
    }

    /** @param {LookUpHand} tool
     * @param {string} code */
    function slide({ slide: drawings = [], spots = [], ways }, code) {
      const spot = spots[ways.findIndex((way) => way[0] === code)];
      const drawn = drawings[code.startsWith("T") ? 1 : 0];
      return drawn.replaceAll("{x}", String(spot)).replace("{n}", code.slice(-1));
    }

    /** @param {number} number
     * @param {boolean} down */
    const valve = (number, down) =>
      `<svg viewBox="0 0 ${VALVE} ${FINGERS}" fill="none" stroke="currentColor" stroke-width="2">` +
      `${oneValve(number, down, 0)}</svg>`;

    return { staff, strip, fingers, valve };
  }

  /** A drawing with the outlines it points to in their places.
   * @param {string} drawing */
  const copied = (drawing) =>
    drawing.replace(/<use href="#([^"]+)" x="([^"]+)" y="([^"]+)"\/>/g, (pointing, id, x, y) => {
      const outline = document.getElementById(id);
      if (!outline) return pointing;
      return `<path d="M${x} ${y}${outline.getAttribute("d")}" stroke="none"/>`;
    });

  /** 1 to `count`.
   * @param {number} count */
  const numbers = (count) => Array.from({ length: count }, (_, place) => place + 1);

  /** @param {"staff" | "fingers"} kind
   * @param {string} box
   * @param {string} inside
   * @param {string} label */
  function svg(kind, box, inside, label) {
    const read = label ? `role="img" aria-label="${label}"` : 'aria-hidden="true"';
    const fill = kind === "staff" ? "currentColor" : "none";
    return `<svg class="bb-${kind}" viewBox="${box}" ${read} stroke="currentColor" fill="${fill}">${inside}</svg>`;
  }

  lookUp.pictures = pictures;
})();
