/* What a leader types, in the words the search index uses: "Bb" and "B flat" are B♭, "1-3" is one fingering and not two
   numbers, and a number is that number (lesson 1 is not lesson 12). It rewrites only what is sent to the theme's worker,
   not what stands in the box. The index side is in render/finish/search.py. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  /** @type {Record<string, string>} */
  const SIGNS = { b: "♭", "♭": "♭", flat: "♭", "#": "♯", "♯": "♯", sharp: "♯" };
  const NOTE = /(^|\s)([a-g])(?:\s+(flat|sharp)|([b♭#♯]))(\d?)(?=\s|$)/giu;
  const FINGERING = /(^|\s)(\d(?:[-+]\d)+)(?=\s|$)/gu;
  const NUMBER = /(^|\s)(\d{1,2})(?=\s|$)/gu;

  const DROP = new Set(search.drop);

  /** A question without the words that every page has; as it was where nothing else is in it.
   * @param {string} query */
  function told(query) {
    const words = query.split(/\s+/).filter(Boolean);
    const kept = words.filter((word) => !DROP.has(word.toLowerCase().replace(/’/g, "'")));
    return kept.length ? kept.join(" ") : query;
  }

  /** @param {string} asked */
  function inTheIndexsWords(asked) {
    if (asked.includes('"')) return asked; // somebody who asks so knows what they want
    const query = asked.replace(/[?!.,]+(?=\s|$)/g, "");
    const notes = query.replace(
      NOTE,
      (_, before, letter, word, sign, octave) => `${before}+${letter}${SIGNS[(word || sign).toLowerCase()]}${octave}`,
    );
    const fingered = notes.replace(FINGERING, (_, before, valves) => `${before}+${valves.replace(/[-+]/g, "\u2011")}`);
    if (fingered !== notes) return told(fingered); // the look-up has it, whatever else was asked
    const exact = notes.replace(NUMBER, "$1+$2");
    // "lesson 1": beside something exact, the other words must be there as well, not just may.
    return exact === query ? told(query) : told(exact).replace(/(^|\s)([\p{L}'’]{2,})(?=\s|$)/gu, "$1+$2*");
  }

  search.inTheIndexsWords = inTheIndexsWords;
})();
