/* Which pages answer a question: by how much of it their title and the words they are looked for by say, whatever the
   spelling. Plural and singular are one word; a word that stands on no page is taken for the nearest that does; names of
   one thing stand for each other (content/search.yml). The theme's own search finds words in the text; this puts the
   pages in order. No page is needed here, so it is tested by itself. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  const WORD = /[\p{L}\p{N}♭♯](?:[\p{L}\p{N}♭♯'’\u2011]*[\p{L}\p{N}♭♯])?/gu;
  const COUNTS = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen " +
    "nineteen twenty"
  ).split(" ");
  const LESSON = new RegExp(`(\\blesson )(${[...COUNTS].reverse().join("|")})\\b`, "i"); // "lesson three"
  const MEANING = /^\s*what(?:['’]s| is| are| does)\b|\bmean(?:s|ing)?\b/i;
  const ENDS = [/(?:'|’)s$/, /(?<=[^su])s$/, /(?<=..[^aeiou])(?:ing|ed)$/, /(?<=...)(?:ly|e)$/];
  const TAGS = 1; // the words a page is looked for by
  const WHOLE = 0.5; // all those words and the title together
  const TEXT = 0.25; // what the page says
  const LINE = 1; // one line of what a page says, as far as no page is surely named by the question
  const SURE = 1.4; // the score of a page that is
  const READ = 60; // so many pages are read line by line
  const LATE = 0.15; // a page that nobody named words for stands behind one that has them
  const EXACT = 1.45; // the phrase itself
  const WORDED = 1.1; // every word as typed, "what" and "is" too
  const PART = 0.85; // the title of a part of a page, beside the page's own
  const NEAR = 0.8; // a word spelled otherwise
  const BEGUN = 0.9; // a word not typed to its end, or one made longer
  const ALIKE = 0.8; // an everyday word asked for another
  const KIND = 0.5; // a thing for the kind it is of, as instrument for cornet
  const OTHER = 0.95; // a thing asked for by another of its names

  /** @type {Map<string, string>} */
  const stemmed = new Map();

  /** A word without its ending, so that "tunings", "tuning" and "tuned" are one.
   * @param {string} word */
  function stem(word) {
    const known = stemmed.get(word) || shorter(word);
    stemmed.set(word, known);
    return known;
  }

  /** @param {string} word */
  function shorter(word) {
    let short = word;
    if (/\d|[♭♯]/.test(word) || word.length < 4) return word;
    short = short.replace(/ies$/, "y").replace(/(?<=ss|sh|ch|x)es$/, "");
    for (const end of ENDS) short = short.replace(end, "");
    return short.replace(/([bdgklmnprt])\1$/, "$1").replace(/(?<=...)y$/, "i");
  }

  /** The words of a text as the index has them: "B flat" and "Bb" are b♭, "1-3" is one.
   * @param {string} text */
  const words = (text) =>
    text
      .toLowerCase()
      .replace(/\b([a-g])(?:[\s-]*flat|b)\b/g, "$1♭")
      .replace(/\b([a-g])(?:[\s-]*sharp\b|#)/g, "$1♯")
      .replace(/(\d)[-+](?=\d)/g, "$1\u2011")
      .match(WORD) || [];

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

  /** How many letters of a word may be wrong: none of a short one, which would be another word; two at most.
   * @param {string} word */
  const tolerance = (word) => (word.length < 5 ? 0 : word.length < 8 ? 1 : 2);

  /** @param {SearchWords} said
   * @returns {SearchRanks} */
  function ranks({ drop, same, alike, kinds, whole }) {
    const dropped = new Set(drop);
    for (const word of whole) stemmed.set(word, word);
    /** @type {Map<string, string[]>} */
    const others = new Map(alike.flatMap((group) => group.map((word) => [stem(word), group.map(stem)])));
    /** @type {Map<string, RankedPage>} */
    const pages = new Map();
    const names = same.map((group) => group.map(words));
    /** @type {Map<string, string>} */
    const kindOf = new Map(Object.entries(kinds).flatMap(([kind, all]) => all.map((one) => [stem(one), stem(kind)])));
    /** @type {Map<string, Set<string>>} stems and the pages they stand on */
    const on = new Map();
    /** @type {Map<string, number>} */
    const weights = new Map();
    /** @type {Map<string, string>} stems as first written */
    const written = new Map();

    /** @param {string} text
     * @param {string} page
     * @returns {Set<string>} */
    function stems(text, page) {
      const found = new Set();
      for (const word of new Set(words(text))) {
        const short = stem(word);
        const places = on.get(short);
        if (places) places.add(page);
        else on.set(short, new Set([page]));
        if (!written.has(short)) written.set(short, word);
        found.add(short);
      }
      return found;
    }

    /** @param {SearchDoc[]} docs */
    function add(docs) {
      weights.clear();
      for (const doc of docs) addOne(doc);
    }

    /** @param {SearchDoc} doc */
    function addOne(doc) {
      const [name, anchor] = doc.location.split("#");
      const [place, part] = doc.worth ? [doc.location, ""] : [name, anchor];
      if (!pages.has(place)) {
        pages.set(place, {
          phrases: [],
          all: new Set(),
          text: new Set(),
          lines: [],
          named: false,
          worth: doc.worth || 1,
        });
      }
      const page = /** @type {RankedPage} */ (pages.get(place));
      const phrases = [doc.title, ...(doc.tags || [])].map(plain);
      for (const said of phrases) {
        const phrase = stems(said, place);
        page.phrases.push({ said: ` ${words(said).join(" ")} `, words: phrase, worth: part ? PART : 1 });
        for (const one of phrase) page.all.add(one);
      }
      page.named ||= phrases.length > 1;
      for (const line of doc.text.split(/<\/(?:p|li|dt|dd)>/)) {
        const found = stems(plain(line), place);
        if (found.size > 1) page.lines.push(found);
        for (const one of found) page.text.add(one);
      }
    }

    /** How much a word tells pages apart.
     * @param {string} short */
    function weight(short) {
      let known = weights.get(short);
      if (known === undefined) {
        known = Math.log(1 + pages.size / (on.get(short)?.size || 0.5));
        weights.set(short, known);
      }
      return known;
    }

    /** What a word of a question may stand for, with how sure that is.
     * @param {string} word
     * @param {boolean} last whether it may still be typed on
     * @returns {Map<string, number>} */
    function meant(word, last) {
      const short = stem(word);
      const known = on.has(short);
      /** @type {Map<string, number>} */
      const found = new Map(known ? [[short, 1]] : []);
      if (/\d|[♭♯]/.test(short) || short.length < 3) return found;
      for (const one of others.get(short) || []) if (on.has(one) && one !== short) found.set(one, ALIKE);
      const kind = kindOf.get(short);
      if (kind && on.has(kind)) found.set(kind, KIND);
      if (last || !known) {
        for (const [one, full] of written)
          if (full.startsWith(word) && !found.has(one)) found.set(one, known ? KIND : BEGUN);
      }
      if (found.size) return found;
      let longest = 4;
      for (const one of on.keys()) {
        if (one.length < longest || !word.startsWith(one)) continue;
        if (one.length > longest) found.clear();
        longest = one.length;
        found.set(one, BEGUN);
      }
      if (found.size && longest > 4) return found;
      found.clear();
      let most = tolerance(word);
      for (const [one, full] of written) {
        const far = Math.min(apart(word, full, most), apart(short, one, most));
        if (far > most) continue;
        if (far < most) found.clear(); // nearer than any before
        most = far;
        found.set(one, NEAR);
      }
      // Of words equally near the one that many pages have: "consert" is concert, not consent.
      const pagesOf = (/** @type {string} */ one) => on.get(one)?.size || 0;
      const common = Math.max(...[...found.keys()].map(pagesOf)) / 4;
      for (const one of found.keys()) if (pagesOf(one) < common) found.delete(one);
      return found;
    }

    /** The question as words, and the same with other names for what it names: each with how much a word of it counts,
     * since "E♭ bass" for "tuba" is one thing asked for and not two.
     * @param {string} question
     * @returns {{ word: string, counts: number }[][]} */
    function alternatives(question) {
      const asked = words(question).map((word) => ({ word, counts: 1 }));
      const told = asked.map(({ word }) => word);
      return [asked, ...joined(asked), ...names.flatMap((group) => otherwise(asked, told, group))];
    }

    /** "Wheel chair" for wheelchair: two words as one, where some page has that.
     * @param {{ word: string, counts: number }[]} asked */
    function joined(asked) {
      return asked.slice(1).flatMap(({ word }, before) => {
        const one = asked[before].word + word;
        if (one.length < 6 || !on.has(stem(one))) return [];
        return [[...asked.slice(0, before), { word: one, counts: 2 }, ...asked.slice(before + 2)]];
      });
    }

    /** @param {{ word: string, counts: number }[]} asked
     * @param {string[]} told
     * @param {string[][]} group */
    function otherwise(asked, told, group) {
      for (const name of group) {
        const at = told.findIndex((_, start) =>
          name.every((word, next) => stem(told[start + next] || "") === stem(word)),
        );
        if (at < 0) continue;
        return group
          .filter((other) => other !== name)
          .map((other) => {
            const instead = other.map((word) => ({ word, counts: name.length / other.length }));
            return [...asked.slice(0, at), ...instead, ...asked.slice(at + name.length)];
          });
      }
      return [];
    }

    /** @param {{ word: string, counts: number }[]} all
     * @returns {Asked[]} */
    function read(all) {
      const kept = all.filter(({ word }) => !dropped.has(word.replace("’", "'")));
      return (kept[0] ? kept : all).map(({ word, counts }) => ({
        counts,
        meant: meant(word, word === all.at(-1)?.word),
      }));
    }

    /** How much of the asked words is among `others`, from 0 to 1, and how much that weighs.
     * @param {Asked[]} asked
     * @param {Set<string>} others */
    function share(asked, others) {
      let [whole, got] = [0, 0];
      for (const { meant: choices, counts } of asked) {
        let [best, most] = [0, 0];
        for (const [short, sure] of choices) {
          most = Math.max(most, weight(short));
          if (others.has(short)) best = Math.max(best, sure * weight(short));
        }
        whole += counts * (most || weight(""));
        got += counts * best;
      }
      return { part: whole ? got / whole : 0, got };
    }

    /** @param {Set<string>} phrase */
    function heavy(phrase) {
      let sum = 0;
      for (const short of phrase) sum += dropped.has(written.get(short) || "") ? 0 : weight(short);
      return sum;
    }

    /** @param {Asked[]} asked
     * @param {RankedPage} page
     * @param {{ meaning: boolean, told: string }} how whether it is asked what a word means, and all of it as typed */
    function score(asked, page, { meaning, told }) {
      let best = 0;
      for (const { said, words: phrase, worth } of page.phrases) {
        if (said === told) best = Math.max(best, EXACT * worth);
        else if (said.includes(told)) best = Math.max(best, WORDED * worth);
        const { part, got } = share(asked, phrase);
        if (part) best = Math.max(best, worth * part * (0.4 + 0.6 * Math.min(1, got / heavy(phrase))));
      }
      const all = share(asked, page.all).part;
      const text = share(asked, page.text).part;
      const sum = TAGS * best + WHOLE * all + TEXT * text - (page.named ? 0 : LATE * best);
      return sum * (meaning ? 1 : page.worth);
    }

    /** @param {string} asking */
    function rank(asking) {
      const question = asking.replace(LESSON, (_, before, word) => before + (1 + COUNTS.indexOf(word.toLowerCase())));
      const asked = alternatives(question).map(read);
      const typed = words(question);
      const told = typed.length > 1 ? ` ${typed.join(" ")} ` : "  ";
      const how = { meaning: MEANING.test(question), told };
      const places = new Set(
        asked.flat().flatMap(({ meant }) => [...meant.keys()].flatMap((one) => [...(on.get(one) || [])])),
      );
      const found = [...pages]
        .filter(([place]) => places.has(place))
        .map(([place, page]) => ({
          place,
          score: Math.max(...asked.map((one, at) => score(one, page, how) * (at ? OTHER : 1))),
        }));
      const best = (/** @type {{ score: number }} */ one, /** @type {{ score: number }} */ other) =>
        other.score - one.score;
      found.sort(best);
      const doubt = found[0] ? Math.max(0, 1 - found[0].score / SURE) : 0;
      if (doubt) for (const one of found.slice(0, READ)) one.score += LINE * doubt * nearestLine(asked[0], one.place);
      return found.filter((one) => one.score > 0).sort(best);
    }

    /** How much of the asked words stands together in one line of a page, from 0 to 1.
     * @param {Asked[]} asked
     * @param {string} place */
    function nearestLine(asked, place) {
      const lines = pages.get(place)?.lines || [];
      return Math.max(0, ...lines.map((line) => share(asked, line).part));
    }

    /** The question in words that stand on some page: what is spelled otherwise is put right.
     * @param {string} question */
    function spelled(question) {
      return question.replace(WORD, (word) => {
        const low = word.toLowerCase();
        if (dropped.has(low.replace("’", "'")) || on.has(stem(low))) return word;
        const [best] = meant(low, false);
        return best ? written.get(best[0]) || word : word;
      });
    }

    return { add, rank, spelled };
  }

  /** @param {string} html */
  const plain = (html) => html.replace(/<[^>]*>/g, " ").replace(/&[a-z]+;|&#\d+;/g, " ");

  Object.assign(search, { ranks, apart, stem, tolerance });
})();
