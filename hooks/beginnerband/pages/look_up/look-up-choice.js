/* The choice as an address, #cornet/treble-bb/G4, #…/concert/F4 or #…/hand/1-2, so that it can be linked to and
   shared, and back. What is in the address is compared with the tables, not put into the page. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const INSTRUMENT = /^[a-z][a-z0-9-]*$/;
  const NOTE = /^[A-G][b#]?\d$/; // all of an address that is ever shown

  /** @param {LookUpChoice} choice */
  function address({ player, from, pitch, code }) {
    const start = from === "written" ? "" : `${from}/`;
    return `${player.key}/${start}${from === "hand" ? code : encodeURIComponent(pitch.name)}`;
  }

  /** The choice an address stands for, completed from the choice before it where it leaves something out.
   * @param {LookUpBook} book
   * @param {string | null} text
   * @param {LookUpChoice} [before]
   * @returns {LookUpChoice | undefined} */
  function read(book, text, before) {
    const parts = split(text);
    const mine = book.players.filter((player) => player.id === parts[0]);
    if (!mine[0]) return undefined;
    const player = mine.find((one) => one.reading === parts[1]) || mine.find((one) => one.inBand) || mine[0];
    const rest = parts.slice(parts[1] === player.reading ? 2 : 1);
    const start = rest[0] === "concert" || rest[0] === "hand" ? rest[0] : "written";
    const asked = (start === "written" ? rest[0] : rest[1]) || "";
    const from = start === "hand" && !player.tool.width ? "written" : start;
    const named = from === "hand" ? undefined : book.pitch(asked);
    const pitch =
      named && book.names(player, from).includes(named) ? named : book.nearby(player, from, named || before?.pitch);
    const wanted = (from === "hand" && asked) || before?.code || "0";
    const [code] = player.tool.ways.find((way) => way[0] === wanted) || player.tool.ways[0] || ["0"];
    return { player, from, pitch, code, lacks: pitch.name !== asked && NOTE.test(asked) ? asked : "" };
  }

  /** Whether an address asks for an instrument that the tables do not have. The page's own anchors look alike.
   * @param {LookUpBook} book
   * @param {string | null} text
   * @param {(name: string) => boolean} isAnchor */
  function unknown(book, text, isAnchor) {
    const [first = "", ...rest] = split(text);
    if (!INSTRUMENT.test(first) || book.players.some((player) => player.id === first)) return false;
    return Boolean(rest[0]) || !isAnchor(first);
  }

  /** @param {string | null} text */
  function split(text) {
    try {
      return decodeURIComponent(text || "").split("/");
    } catch {
      return [];
    }
  }

  lookUp.address = address;
  lookUp.read = read;
  lookUp.unknown = unknown;
})();
