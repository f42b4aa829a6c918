/* The words of questions and pages: which are one word, which stand for each other, and what a slip of the pen meant.
   Plural and singular are one word; a word that stands on no page is taken for the nearest that does; names of one thing
   stand for each other (content/search.yml). No page is needed here, so it is tested by itself. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  const WORD = /[\p{L}\p{N}♭♯](?:[\p{L}\p{N}♭♯'’\u2011]*[\p{L}\p{N}♭♯])?/gu;
  const SHORTENED = /['’](?=(?:t|ll|re|ve|d|m)$)/; // "won't" is typed as wont
  const ENDS = [/(?:'|’)s$/, /(?<=[^su])s$/, /(?<=..[^aeiou])(?:ing|ed)$/, /(?<=...)(?:ly|e)$/];
  const COUNTS = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen " +
    "nineteen twenty"
  ).split(" ");
  const ORDERS =
    "1st first 2nd second 3rd third 4th fourth 5th fifth 6th sixth 7th seventh 8th eighth 9th ninth 10th tenth".split(
      " ",
    );
  const NUMBERS = new Map([
    ...COUNTS.slice(1).map((word, at) => /** @type {const} */ ([word, String(at + 2)])), // "one" is more often somebody
    ...ORDERS.flatMap((word, at) => (at % 2 ? [] : [/** @type {const} */ ([word, ORDERS[at + 1]])])),
  ]);
  const LESSON = new RegExp(`\\b(?:lesson|week)s? (${[...COUNTS].reverse().join("|")}|\\d{1,2})\\b`, "i");
  const ORDERED = new RegExp(`\\b(${ORDERS.slice(2).join("|")}) (?:lesson|week)\\b`, "i"); // the first may be any course's
  const NEAR = 0.8; // a word spelled otherwise
  const BEGUN = 0.9; // a word not typed to its end, or one made longer
  const ALIKE = 0.8; // an everyday word asked for another
  const AKIN = 0.5; // a word of the same subject
  const GROWN = 0.7; // a word made of another, as disinfectant
  const ROOT = 6; // letters that both must begin with
  const KIND = 0.5; // a thing for the kind it is of, as instrument for cornet
  const SIGNED = /\d|[♭♯]/;
  const SLIPS = 2;

  // Each word with forms of it that no ending tells.
  const FORMS = (
    "begin began begun, bend bent, bleed bled, blow blew blown, break broke broken, bring brought, buy bought, catch caught, " +
    "child children, choose chose chosen, come came, fall fell fallen, find found, foot feet, forget forgot forgotten, " +
    "freeze froze frozen, give gave given, go went gone, grow grew grown, hear heard, hold held, keep kept, know knew known, " +
    "lend lent, lose lost, make made, meet met, pay paid, run ran, say said, sell sold, send sent, shake shook shaken, " +
    "sing sang sung, sit sat, slide slid, speak spoke spoken, steal stole stolen, stick stuck, swell swollen, take took taken, " +
    "teach taught, tell told, throw threw thrown, tooth teeth, wear wore worn, write wrote written"
  )
    .split(", ")
    .map((forms) => forms.split(" "));
  // "Easier" for easy; other words that end so are no more of anything, as corner.
  const COMPARED =
    /^(?:(big|thin)[gn]|(eas|earl|heav|nois|tin)i|(clean|cheap|deep|fast|few|hard|high|light|long|loud|low|old|quick|quiet|short|slow|small|soft|strong|tall|thick|warm|weak|young))(?:er|est)$/;

  /** @type {Map<string, string>} */
  const stemmed = new Map();

  /** A word without its ending, so that "tunings", "tuning" and "tuned" are one.
   * @param {string} word */
  function stem(word) {
    let known = stemmed.get(word);
    if (known === undefined) {
      known = shorter(word);
      stemmed.set(word, known);
    }
    return known;
  }

  /** @param {string} word */
  function shorter(word) {
    let short = word;
    if (SIGNED.test(word) || word.length < 4) return word;
    short = short.replace(/ies$/, "y").replace(/(?<=ss|sh|ch|x)es$/, "");
    short = short.replace(/(?<=...)iz(?=e|ing|ation)/, "is").replace(/(?<=...)our(?!s?el)/, "or"); // organize, color
    for (const end of ENDS) short = short.replace(end, "");
    return short.replace(/([bdgklmnprt])\1$/, "$1").replace(/(?<=...)y$/, "i");
  }

  /** The words of a text as the index has them: "B flat" and "Bb" are b♭, "1-3" is one, and "four" is 4.
   * @param {string} text */
  function words(text) {
    const found = text
      .toLowerCase()
      .replace(/\b([a-g])(?:[\s-]*flat|b)\b/g, "$1♭")
      .replace(/\b([a-g])(?:[\s-]*sharp\b|#)/g, "$1♯")
      .replace(/(\d)[-+](?=\d)/g, "$1\u2011")
      .match(WORD);
    return (found || []).map((word) => {
      const whole = word.replace(SHORTENED, "");
      return NUMBERS.get(whole) || whole;
    });
  }

  /** A question with "lesson three", "week 3" and "third week" as lesson 3.
   * @param {string} question */
  const numbered = (question) =>
    question
      .replace(LESSON, (_, count) => `lesson ${COUNTS.indexOf(count.toLowerCase()) + 1 || Number(count)}`)
      .replace(ORDERED, (_, order) => `lesson ${(ORDERS.indexOf(order.toLowerCase()) >> 1) + 1}`);

  /** Letters to change, add, leave out or swap with the next to make one word of the other; more than `most`: `most + 1`.
   * @param {string} one
   * @param {string} other
   * @param {number} most */
  function apart(one, other, most) {
    if (Math.abs(one.length - other.length) > most) return most + 1;
    /** @type {number[]} */
    let before = [];
    let last = Array.from({ length: other.length + 1 }, (_, at) => at);
    for (let i = 1; i <= one.length; i++) {
      const row = [i];
      for (let j = 1; j <= other.length; j++) {
        const same = one[i - 1] === other[j - 1];
        row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (same ? 0 : 1));
        const swapped = i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1];
        if (swapped) row[j] = Math.min(row[j], before[j - 2] + 1);
      }
      if (Math.min(...row) > most) return most + 1;
      before = last;
      last = row;
    }
    return last[other.length];
  }

  /** How far from a word another may be to be meant by it: a short one may not be another word.
   * @param {string} word */
  const tolerance = (word) => (word.length < 4 ? 0 : word.length < 8 ? 1 : SLIPS);

  /** @param {string} word */
  const letters = (word) => [...word].sort().join("");

  /** How far a mistyped word is from one that is known. People get the first letter right, and type all the letters in a
   * wrong order ("tounge"), so the one counts against a word and the other for it.
   * @param {string} typed
   * @param {string} full
   * @param {string} short its stem */
  function distance(typed, full, short) {
    if (Math.abs(typed.length - full.length) > SLIPS && Math.abs(stem(typed).length - short.length) > SLIPS)
      return SLIPS + 1;
    const far = Math.min(apart(typed, full, SLIPS), apart(stem(typed), short, SLIPS));
    if (far > SLIPS) return far;
    return far + (full[0] === typed[0] ? 0 : 1) - (far > 1 && letters(full) === letters(typed) ? 1 : 0);
  }

  /** Each word with all words of its groups.
   * @param {string[][]} groups
   * @returns {Map<string, Set<string>>} */
  function fellows(groups) {
    /** @type {Map<string, Set<string>>} */
    const all = new Map();
    for (const group of groups) {
      const stems = group.map(stem);
      for (const one of stems) all.set(one, new Set([...(all.get(one) || []), ...stems]));
    }
    return all;
  }

  /** What the words of a question may stand for among those of an index, of which `on` says where each stands and
   * `written` how it was first written; both by stem.
   * @param {SearchWords} said
   * @param {Map<string, SearchPosting[]>} on
   * @param {Map<string, string>} written
   * @returns {SearchMeanings} */
  function meanings({ alike, akin, kinds, whole }, on, written) {
    for (const word of whole) stemmed.set(word, word);
    const others = [fellows([...alike, ...FORMS]), fellows(akin)];
    const kindOf = new Map(Object.entries(kinds).flatMap(([kind, all]) => all.map((one) => [stem(one), stem(kind)])));

    /** @param {string} word
     * @param {boolean} last whether it may still be typed on
     * @returns {Map<string, number>} stems, each with how sure it is */
    function meant(word, last) {
      const short = stem(word);
      const known = on.has(short);
      /** @type {Map<string, number>} */
      const found = new Map(known ? [[short, 1]] : []);
      if (SIGNED.test(short) || short.length < 3) return found;
      for (const [at, all] of others.entries()) {
        for (const one of all.get(short) || []) {
          if (on.has(one) && !found.has(one)) found.set(one, at && known ? AKIN : ALIKE);
        }
      }
      for (const one of compared(word)) if (on.has(one) && !found.has(one)) found.set(one, ALIKE);
      for (const one of grown(short)) if (!found.has(one)) found.set(one, GROWN);
      const kind = kindOf.get(short);
      if (kind && on.has(kind)) found.set(kind, KIND);
      if (last || !known) {
        for (const [one, full] of written)
          if (full.startsWith(word) && !found.has(one)) found.set(one, known ? KIND : BEGUN);
      }
      return found.size ? found : guessed(word);
    }

    /** What is compared: easy, of "easier".
     * @param {string} word */
    function compared(word) {
      const [, doubled, ended, plain] = COMPARED.exec(word) || [];
      const base = doubled || (ended ? `${ended}y` : plain);
      return base ? [stem(base)] : [];
    }

    /** Known words that this one was made of, or that were made of it.
     * @param {string} short */
    function grown(short) {
      if (short.length < ROOT) return [];
      return [...on.keys()].filter(
        (one) => one.length >= ROOT && one !== short && (one.startsWith(short) || short.startsWith(one)),
      );
    }

    /** What was meant by a word that is on no page: two run together, one made longer, or a slip.
     * @param {string} word
     * @returns {Map<string, number>} */
    function guessed(word) {
      const two = parted(word);
      if (two[0]) return new Map(two.map((one) => [one, BEGUN]));
      const { found, far } = nearest(word);
      if (found.size && far <= 1) return found;
      const begun = beginning(word);
      return begun.length > 4 ? new Map([[begun, BEGUN]]) : found;
    }

    /** "Jinglebells" as two words.
     * @param {string} word
     * @returns {string[]} */
    function parted(word) {
      for (let at = 3; at <= word.length - 3; at++) {
        const two = [word.slice(0, at), word.slice(at)].map(stem);
        if (two.every((one) => one.length > 2 && on.has(one))) return two;
      }
      return [];
    }

    /** The longest known word that this one begins with.
     * @param {string} word */
    function beginning(word) {
      let longest = "";
      for (const one of on.keys()) if (one.length > longest.length && word.startsWith(one)) longest = one;
      return longest;
    }

    /** The known words nearest to a mistyped one; of those equally near the ones that many pages have: "consert" is
     * concert, not consent.
     * @param {string} word
     * @returns {{ found: Map<string, number>, far: number }} with how far they are */
    function nearest(word) {
      /** @type {Map<string, number>} */
      const found = new Map();
      let most = tolerance(word);
      if (!most) return { found, far: 0 };
      for (const [one, full] of written) {
        if (most <= 1 && full[0] !== word[0]) continue; // a slip, and the first letter, are more than one
        const far = distance(word, full, one);
        if (far > most) continue;
        if (far < most) found.clear(); // nearer than any before
        most = far;
        found.set(one, NEAR);
      }
      const pagesOf = (/** @type {string} */ one) => on.get(one)?.length || 0;
      const common = Math.max(...[...found.keys()].map(pagesOf)) / 4;
      for (const one of found.keys()) if (pagesOf(one) < common) found.delete(one);
      return { found, far: most };
    }

    /** @type {Map<string, Map<string, number>>} */
    const before = new Map();
    /** @type {SearchMeanings} */
    const kept = Object.assign(
      (/** @type {string} */ word, /** @type {boolean} */ last) => {
        const key = `${word} ${last}`;
        const found = before.get(key) || meant(word, last);
        before.set(key, found);
        return found;
      },
      { forget: () => before.clear() },
    );
    return kept;
  }

  Object.assign(search, { words, stem, numbered, apart, tolerance, meanings, WORD });
})();
