/* What a band covers, by rules alone: which lines have nobody of their own, and how far the balance is from the usual.
   The exact plan is the build's. */
(() => {
  "use strict";

  /**
   * Lines without a player of their own, in the sharing out that leaves the fewest.
   * @param {Bag[]} brass
   * @param {SetUpRules} rules
   * @returns {string[]}
   */
  function linesLost(brass, rules) {
    const heads = brass.flatMap((each) => Array(Math.min(each.players ?? 1, rules.lines.length)).fill(each.instrument));
    const taken = new Map();
    /**
     * @param {string} line
     * @param {Set<number>} seen
     * @returns {boolean}
     */
    function give(line, seen) {
      for (let at = 0; at < heads.length; at++) {
        if (seen.has(at) || !rules.instruments[heads[at]].covers.includes(line)) continue;
        seen.add(at);
        if (!taken.has(at) || give(taken.get(at), seen)) {
          taken.set(at, line);
          return true;
        }
      }
      return false;
    }
    return rules.lines.filter((line) => !give(line, new Set()));
  }

  /**
   * Groups that are not as usual in a band of this size; nothing where no usual balance is known.
   * @param {Bag[]} players
   * @param {SetUpRules} rules
   */
  function unbalanced(players, rules) {
    const count = players.reduce((sum, each) => sum + (each.players ?? 1), 0);
    const wanted = rules.usual[count];
    if (!wanted) return null;
    const odd = rules.groups.flatMap(([name, ids], at) => {
      const here = players
        .filter((each) => ids.includes(each.instrument))
        .reduce((sum, each) => sum + (each.players ?? 1), 0);
      return here === wanted[at] ? [] : [`${name}: ${here} (usual ${wanted[at]})`];
    });
    return { count, odd };
  }

  window.bandSetUp = Object.assign(window.bandSetUp || {}, { linesLost, unbalanced });
})();
