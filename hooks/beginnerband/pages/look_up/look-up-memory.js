/* What the look-up keeps on this phone: the last choice, and which instruments are shown. A browser may refuse both. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const CHOICE = "bb-look-up";
  const SHOWN = "bb-look-up-shown";

  const { kept, keep, forget } = window.bandKit;

  function chosen() {
    try {
      return JSON.parse(kept(SHOWN) || "[]");
    } catch {
      return [];
    }
  }

  /** @param {LookUpBook} book
   * @returns {LookUpMemory} */
  function memory(book) {
    /** Those chosen on this phone, else the band's own. */
    function shown() {
      const keys = chosen();
      const players = Array.isArray(keys) ? keys.flatMap((key) => book.player(key) || []) : [];
      return players[0] ? players : book.players.filter((player) => player.inBand);
    }

    return {
      choice: () => kept(CHOICE),
      keepChoice: (address) => keep(CHOICE, address),
      shown,
      keepShown: (keys) => keep(SHOWN, JSON.stringify(keys)),
      forgetShown: () => forget(SHOWN),
    };
  }

  lookUp.memory = memory;
})();
