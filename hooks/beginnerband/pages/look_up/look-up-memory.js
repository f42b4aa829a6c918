/* What the look-up keeps on this phone: the last choice, and which instruments are shown. A browser may refuse both. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const CHOICE = "bb-look-up";
  const SHOWN = "bb-look-up-shown";

  /** @template Value
   * @param {(storage: Storage) => Value} act
   * @returns {Value | null} */
  function stored(act) {
    try {
      return act(localStorage);
    } catch {
      return null;
    }
  }

  /** @param {LookUpBook} book
   * @returns {LookUpMemory} */
  function memory(book) {
    /** Those chosen on this phone, else the band's own. */
    function shown() {
      const keys = stored((storage) => JSON.parse(storage.getItem(SHOWN) || "[]"));
      const chosen = Array.isArray(keys) ? keys.flatMap((key) => book.player(key) || []) : [];
      return chosen[0] ? chosen : book.players.filter((player) => player.inBand);
    }

    return {
      choice: () => stored((storage) => storage.getItem(CHOICE)),
      keepChoice: (address) => stored((storage) => storage.setItem(CHOICE, address)),
      shown,
      keepShown: (keys) => stored((storage) => storage.setItem(SHOWN, JSON.stringify(keys))),
      forgetShown: () => stored((storage) => storage.removeItem(SHOWN)),
    };
  }

  lookUp.memory = memory;
})();
