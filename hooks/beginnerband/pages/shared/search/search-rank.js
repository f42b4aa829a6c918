/* Which pages answer a question. A page is named by its title, its headings and the words it is looked for by; it speaks
   of what stands in its text. Names count most: how well the best of them fits the question, and how much of the question
   all of them cover. Then its text: how often it has the words, rare ones weighing more (BM25, Robertson and Zaragoza,
   "The Probabilistic Relevance Framework", 2009), and how many of them stand together in one of its lines. The weights
   were found on questions whose answers were known (tests/measure_search.py). The theme's own search finds words in the
   text; this puts the pages in order. No page is needed here, so it is tested by itself. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  const MEANING = /^\s*what(?:['’]s| is| are| does)\b|\bmean(?:s|ing)?\b/i;
  const WEIGHTS = { phrase: 1, named: 1, text: 0.75, line: 0.4, title: 0.25 };
  const SATURATION = 1.2; // k1 and b of BM25, as usual there and a little lower: a long page here is a full one
  const LENGTH = 0.4;
  const TIMES = { title: 3, part: 2, words: 1 }; // as if a name stood in the text so often
  const READ = 40; // so many pages are read line by line
  const CONTEXT = 0.6; // what a page is named by, beside one of its lines
  const LATE = 0.1; // a page that nobody named words for stands behind one that has them
  const EXACT = 1.45; // the phrase itself
  const WORDED = 1.1; // every word as typed, "what" and "is" too
  const PART = 0.85; // the title of a part of a page, beside the page's own
  const OTHER = 0.95; // a thing asked for by another of its names
  const UNKNOWN = 0.5; // what a word counts that nobody knows, beside one that is on a single page
  const BY_NAME = 0.6; // how much of its worth a tune or a piece has by its name alone
  const MUSIC = /^(?:tunes|pieces)\/(?!index|your-own|metronome|concert)/;
  const LESSON = { page: /^course\/lesson-/, asked: /\b(?:lesson|card)/i, worth: 0.85 };
  const REHEARSAL = { page: /^pieces\/rehearse\//, asked: /rehears|practi[cs]e/i, worth: 0.85 };
  // Headings that every page of a kind has say nothing of one.
  const EVERYWHERE =
    /^(?:say|look and listen|what goes wrong|stop when|at a glance|steps|ready|practice|notes|music|sheets)$/i;

  /** @param {string} html */
  const plain = (html) => html.replace(/<[^>]*>/g, " ").replace(/&[a-z]+;|&#\d+;/g, " ");

  /** @param {SearchWords} said
   * @returns {SearchRanks} */
  function ranks(said) {
    const { words, stem, numbered, meanings, WORD } = /** @type {BandSearch} */ (search);
    const dropped = new Set(said.drop.flatMap(words));
    /** @type {Map<string, RankedPage>} */
    const pages = new Map();
    /** @type {Map<string, Set<string>>} stems and the pages they stand on */
    const on = new Map();
    /** @type {Map<string, string>} stems as first written */
    const written = new Map();
    /** @type {Map<string, number>} */
    const weights = new Map();
    const { meant } = meanings(said, on, written);
    const names = said.same.map((group) => group.map(words));
    let length = 1; // of a page, on average

    /** @param {SearchDoc[]} docs */
    function add(docs) {
      weights.clear();
      for (const doc of docs) addOne(doc);
      let sum = 0;
      for (const page of pages.values()) sum += page.length;
      length = sum / pages.size || 1;
    }

    /** @param {SearchDoc} doc */
    function addOne(doc) {
      const [name, anchor = ""] = doc.location.split("#");
      const [place, part] = doc.worth ? [doc.location, ""] : [name, anchor];
      const page = pageAt(place, doc.worth || 1);
      const [title, ...tags] = [doc.title, ...(doc.tags || [])].map(plain);
      if (!part || !EVERYWHERE.test(title.trim())) addName(page, title, part ? "part" : "title");
      for (const tag of tags) addName(page, tag, "words");
      page.named ||= tags.length > 0;
      for (const line of doc.text.split(/<\/(?:p|li|dt|dd)>/)) addLine(page, plain(line), anchor);
    }

    /** @param {string} place
     * @param {number} worth
     * @returns {RankedPage} */
    function pageAt(place, worth) {
      const known = pages.get(place);
      if (known) return known;
      /** @type {RankedPage} */
      const page = {
        ...{ place, worth, phrases: [], names: new Set(), title: new Set(), lines: [], times: new Map(), length: 0 },
        named: false,
      };
      pages.set(place, page);
      return page;
    }

    /** @param {RankedPage} page
     * @param {string} name
     * @param {"title" | "part" | "words"} kind */
    function addName(page, name, kind) {
      const all = words(name);
      const stems = new Set(all.map((word) => note(page, word, TIMES[kind])));
      page.phrases.push({ said: ` ${all.join(" ")} `, words: stems, worth: kind === "part" ? PART : 1 });
      for (const one of stems) page.names.add(one);
      if (kind === "title") for (const one of stems) page.title.add(one);
    }

    /** @param {RankedPage} page
     * @param {string} line
     * @param {string} part the anchor of the part it stands in */
    function addLine(page, line, part) {
      const all = words(line);
      const stems = new Set(all.map((word) => note(page, word, 1)));
      if (stems.size > 1) page.lines.push({ words: stems, part });
      page.length += all.length;
    }

    /** @param {RankedPage} page
     * @param {string} word
     * @param {number} times
     * @returns {string} its stem */
    function note(page, word, times) {
      const short = stem(word);
      const places = on.get(short);
      if (places) places.add(page.place);
      else on.set(short, new Set([page.place]));
      if (!written.has(short)) written.set(short, word);
      page.times.set(short, (page.times.get(short) || 0) + times);
      return short;
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
     * @returns {Asked} */
    function read(all) {
      const kept = all.filter(({ word }) => !dropped.has(word));
      const asked = (kept[0] ? kept : all).map(({ word, counts }) => {
        const choices = meant(word, word === all.at(-1)?.word);
        const own = stem(word);
        const most = on.has(own) ? weight(own) : Math.max(0, ...[...choices.keys()].map(weight));
        const counted = most || UNKNOWN * weight("");
        const sure = [...choices].map(([short, much]) => ({ short, worth: much * Math.min(counted, weight(short)) }));
        return { counts, most: counted, meant: sure };
      });
      return { words: asked, whole: asked.reduce((sum, one) => sum + one.counts * one.most, 0) };
    }

    /** How much of what is asked a page has, by rare words more than by common ones.
     * @param {Asked} asked
     * @param {(short: string) => number} has how surely something has a word, from 0 to 1 */
    function got(asked, has) {
      let sum = 0;
      for (const { meant: choices, counts } of asked.words) {
        let best = 0;
        for (const { short, worth } of choices) best = Math.max(best, worth * has(short));
        sum += counts * best;
      }
      return sum;
    }

    /** @param {Set<string>} phrase */
    function heavy(phrase) {
      let sum = 0;
      for (const short of phrase) sum += dropped.has(written.get(short) || "") ? 0 : weight(short);
      return sum;
    }

    /** How well the best of a page's names fits, and how much of the best fitting name is asked for.
     * @param {Asked} asked
     * @param {RankedPage} page
     * @param {string} told the question as typed, between spaces */
    function fitting(asked, page, told) {
      let [best, full] = [0, 0];
      for (const { said: phrase, words: all, worth } of page.phrases) {
        const found = got(asked, (short) => Number(all.has(short)));
        if (!found) continue;
        const share = Math.min(1, found / heavy(all) || 0);
        full = Math.max(full, share);
        const fit = phrase === told ? EXACT : phrase.includes(told) ? WORDED : 0;
        best = Math.max(best, worth * Math.max(fit, (found / asked.whole) * (0.4 + 0.6 * share)));
      }
      return { best, full };
    }

    /** @param {Asked} asked
     * @param {RankedPage} page
     * @param {string} told */
    function score(asked, page, told) {
      const { best, full } = fitting(asked, page, told);
      const norm = SATURATION * (1 - LENGTH + (LENGTH * page.length) / length);
      const sum =
        WEIGHTS.phrase * best * (page.named ? 1 : 1 - LATE) +
        (WEIGHTS.named * got(asked, (short) => Number(page.names.has(short))) +
          WEIGHTS.title * got(asked, (short) => Number(page.title.has(short))) +
          WEIGHTS.text * got(asked, (short) => often(page, short, norm))) /
          asked.whole;
      return MUSIC.test(page.place) ? sum * (1 - BY_NAME + BY_NAME * full) : sum;
    }

    /** @param {RankedPage} page
     * @param {string} short
     * @param {number} norm */
    function often(page, short, norm) {
      const times = page.times.get(short);
      return times ? times / (times + norm) : 0;
    }

    /** How much of the asked words stands together in one line of a page, from 0 to 1, and in which part of it.
     * @param {Asked} asked
     * @param {RankedPage} page */
    function nearestLine(asked, page) {
      const near = { share: 0, part: "" };
      for (const line of page.lines) {
        const share =
          got(asked, (short) => (line.words.has(short) ? 1 : page.names.has(short) ? CONTEXT : 0)) / asked.whole;
        if (share > near.share) Object.assign(near, { share, part: line.part });
      }
      return near;
    }

    /** What a page is worth for a question of this kind.
     * @param {RankedPage} page
     * @param {string} question */
    function worth(page, question) {
      const kind = [LESSON, REHEARSAL].find((one) => one.page.test(page.place));
      return (MEANING.test(question) ? 1 : page.worth) * (kind && !kind.asked.test(question) ? kind.worth : 1);
    }

    /** @param {string} asking */
    function rank(asking) {
      const question = numbered(asking);
      const asked = alternatives(question)
        .map(read)
        .filter((one) => one.whole);
      const typed = words(question);
      const told = typed.length > 1 ? ` ${typed.join(" ")} ` : "  ";
      const best = (/** @type {Ranked} */ one, /** @type {Ranked} */ other) => other.score - one.score;
      const found = [...candidates(asked)]
        .map((place) => {
          const page = /** @type {RankedPage} */ (pages.get(place));
          const scores = asked.map((one, at) => score(one, page, told) * (at ? OTHER : 1));
          return { place, part: "", score: Math.max(...scores) * worth(page, question) };
        })
        .sort(best);
      for (const one of found.slice(0, READ)) {
        const page = /** @type {RankedPage} */ (pages.get(one.place));
        const near = asked.map((each) => nearestLine(each, page)).sort((a, b) => b.share - a.share)[0];
        one.score += WEIGHTS.line * near.share * worth(page, question);
        one.part = near.part;
      }
      return found.filter((one) => one.score > 0).sort(best);
    }

    /** Pages that have any word that may be meant.
     * @param {Asked[]} asked
     * @returns {Set<string>} */
    const candidates = (asked) =>
      new Set(
        asked.flatMap((one) =>
          one.words.flatMap(({ meant: all }) => all.flatMap(({ short }) => [...(on.get(short) || [])])),
        ),
      );

    /** The question in words that stand on some page: what is spelled otherwise is put right.
     * @param {string} question */
    function spelled(question) {
      return question.replace(WORD, (word) => {
        const [low] = words(word);
        if (!low || dropped.has(low) || on.has(stem(low))) return word;
        const [best] = meant(low, false);
        return best ? written.get(best[0]) || word : word;
      });
    }

    return { add, rank, spelled };
  }

  search.ranks = ranks;
})();
