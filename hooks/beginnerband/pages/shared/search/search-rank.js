/* Which pages answer a question. A page is named by its title, its headings and the words it is looked for by; it speaks
   of what stands in its text. Names count most: how well the best of them fits the question, and how much of the question
   all of them cover. Then its text: how often it has the words, rare ones weighing more (BM25, Robertson and Zaragoza,
   "The Probabilistic Relevance Framework", 2009), and how many of them stand together in one of its lines. The weights
   were found on questions whose answers were known (tests/measure_search.py). No page is needed here, so it is
   tested by itself. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  const MEANING = /^\s*what(?:['’]s| is| are| does)\b|\bmean(?:s|ing)?\b/i;
  const WEIGHTS = { phrase: 1, named: 0.5, text: 0.75, line: 0.55, title: 0.33 };
  const SATURATION = 1.2; // k1 and b of BM25, as usual there and a little lower: a long page here is a full one
  const LENGTH = 0.4;
  const TIMES = { title: 3, part: 2, words: 1 }; // as if a name stood in the text so often
  const READ = 40; // so many pages are read line by line
  const CLEARLY = 0.15; // by so much more a line of a part must have than one of the page's beginning to be shown
  const CONTEXT = 0.6; // what a page is named by, beside one of its lines
  const LATE = 0.1; // a page that nobody named words for stands behind one that has them
  const EXACT = 1.45; // the phrase itself
  const WORDED = 1.1; // every word as typed, "what" and "is" too
  const PART = 0.85; // the title of a part of a page, beside the page's own
  const OTHER = 0.95; // a thing asked for by another of its names
  const RARE = 0.8; // how fast a word counts more that fewer pages have; less than by its logarithm, or names win alone
  const UNKNOWN = 0.5; // what a word counts that nobody knows, beside one that is on a single page
  const BY_NAME = 0.6; // how much of its worth a tune or a piece has by its name alone
  const MUSIC = /^(?:tunes|pieces)\/(?!index|your-own|metronome|concert)/;
  const BY_NUMBER = 1.5; // a lesson asked for by its number, and by nothing else
  const NUMBER = / lesson \d+ /;
  const FEW = 0.3; // pages are shown down to this share of the best, and no more than these
  const MOST = 20;
  const LESSON = { page: /^course\/lesson-/, asked: /\b(?:lesson|card)/i, worth: 0.85 };
  const REHEARSAL = { page: /^pieces\/rehearse\//, asked: /rehears|practi[cs]e/i, worth: 0.85 };
  // Headings that every page of a kind has say nothing of one.
  const EVERYWHERE =
    /^(?:say|look and listen|what goes wrong|stop when|at a glance|steps|ready|practice|notes|music|sheets)$/i;

  /** @param {string} html */
  const plain = (html) =>
    html
      .replace(/<[^>]*>/g, " ")
      .replace(/&#(?:39|x27);/g, "'")
      .replace(/&[a-z]+;|&#\d+;/g, " ");

  /** @param {SearchWords} said
   * @returns {SearchRanks} */
  function ranks(said) {
    const { words, stem, numbered: inFigures, meanings, WORD } = /** @type {BandSearch} */ (search);
    const dropped = new Set(said.drop.flatMap(words));
    /** @type {Map<string, RankedPage>} */
    const pages = new Map();
    /** @type {Map<string, SearchPosting[]>} stems and where each stands, page by page */
    const on = new Map();
    /** @type {Map<string, SearchName[]>} stems and the names that have each */
    const namesWith = new Map();
    /** @type {Map<string, string>} stems as first written */
    const written = new Map();
    /** @type {Map<string, number>} */
    const weights = new Map();
    const meant = meanings(said, on, written);
    const names = said.same.map((group) => group.map(words));
    let length = 1; // of a page, on average
    /** @type {{ question: string, stems: Set<string> }} */
    let lastSought = { question: "", stems: new Set() };

    /** @param {SearchDoc[]} docs */
    function add(docs) {
      weights.clear();
      meant.forget();
      lastSought = { question: "", stems: new Set() };
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
      for (const line of doc.text.split(/<\/(?:p|li|dt|dd)>/)) addLine(page, line, anchor);
    }

    /** @param {string} place
     * @param {number} worth
     * @returns {RankedPage} */
    function pageAt(place, worth) {
      const known = pages.get(place);
      if (known) return known;
      /** @type {RankedPage} */
      const page = {
        ...{ place, worth, names: new Set(), lines: [], postings: new Map(), length: 0, named: false },
      };
      pages.set(place, page);
      return page;
    }

    /** @param {RankedPage} page
     * @param {string} name
     * @param {"title" | "part" | "words"} kind */
    function addName(page, name, kind) {
      const told = words(name);
      const stems = new Set(told.map((word) => note(page, word, TIMES[kind]).short));
      /** @type {SearchName} */
      const made = { page, said: ` ${told.join(" ")} `, words: stems, worth: kind === "part" ? PART : 1, heavy: 0 };
      for (const short of stems) {
        const posting = /** @type {SearchPosting} */ (page.postings.get(short));
        posting.named = 1;
        if (kind === "title") posting.titled = 1;
        page.names.add(short);
        const all = namesWith.get(short);
        if (all) all.push(made);
        else namesWith.set(short, [made]);
      }
    }

    /** @param {RankedPage} page
     * @param {string} html of one line; only what is a whole one can be shown by itself, not bits of tables
     * @param {string} part the anchor of the part it stands in */
    function addLine(page, html, part) {
      const line = plain(html);
      const whole = html.search(/<(?:p|li|dd)\b(?!.*<(?:p|li|dd)\b)/s); // labels of a form may stand before it
      const shown = whole < 0 ? "" : plain(html.slice(whole)).replace(/\s+/g, " ").trim();
      const all = words(line);
      const stems = new Set(all.map((word) => note(page, word, 1).short));
      if (stems.size > 1) page.lines.push({ words: stems, part, line: shown });
      page.length += all.length;
    }

    /** @param {RankedPage} page
     * @param {string} word
     * @param {number} times
     * @returns {SearchPosting} where its stem stands on the page */
    function note(page, word, times) {
      const short = stem(word);
      let posting = page.postings.get(short);
      if (!posting) {
        posting = { page, short, times: 0, named: 0, titled: 0 };
        page.postings.set(short, posting);
        const all = on.get(short);
        if (all) all.push(posting);
        else on.set(short, [posting]);
        if (!written.has(short)) written.set(short, word);
      }
      posting.times += times;
      return posting;
    }

    /** How much a word tells pages apart.
     * @param {string} short */
    function weight(short) {
      let known = weights.get(short);
      if (known === undefined) {
        known = Math.log(1 + pages.size / (on.get(short)?.length || 0.5)) ** RARE;
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

    /** Adds up, for everything that has any word of what is asked, the worth of the best that each word may mean.
     * @template Thing
     * @param {Asked} asked
     * @param {(short: string) => Iterable<[Thing, number]>} having what has a word, and how surely, from 0 to 1
     * @returns {Map<Thing, number>} from 0 to 1 */
    function gathered(asked, having) {
      /** @type {Map<Thing, number>} */
      const sums = new Map();
      for (const { meant: choices, counts } of asked.words) {
        /** @type {Map<Thing, number>} */
        const best = new Map();
        for (const { short, worth } of choices) {
          for (const [thing, sure] of having(short)) {
            if (worth * sure > (best.get(thing) || 0)) best.set(thing, worth * sure);
          }
        }
        const share = counts / asked.whole;
        for (const [thing, much] of best) sums.set(thing, (sums.get(thing) || 0) + share * much);
      }
      return sums;
    }

    /** What the words of a name weigh, but those that every page has.
     * @param {SearchName} name */
    function heavy(name) {
      if (!name.heavy) {
        for (const short of name.words) name.heavy += dropped.has(written.get(short) || "") ? 0 : weight(short);
      }
      return name.heavy;
    }

    /** For each page with a fitting name how well the best fits, and how much of the one fitting most is asked for.
     * @param {Asked} asked
     * @param {string} told the question as typed, between spaces
     * @returns {Map<RankedPage, { best: number, full: number }>} */
    function fitting(asked, told) {
      /** @type {Map<RankedPage, { best: number, full: number }>} */
      const found = new Map();
      for (const [name, part] of gathered(asked, (short) => (namesWith.get(short) || []).map((one) => [one, 1]))) {
        const share = Math.min(1, (part * asked.whole) / heavy(name) || 0);
        const fit = name.said === told ? EXACT : name.said.includes(told) ? WORDED : 0;
        const worth = name.worth * Math.max(fit, part * (0.4 + 0.6 * share));
        const before = found.get(name.page) || { best: 0, full: 0 };
        found.set(name.page, { best: Math.max(before.best, worth), full: Math.max(before.full, share) });
      }
      return found;
    }

    /** Every page that has any word of what is asked, with its score.
     * @param {Asked} asked
     * @param {string} told
     * @returns {Map<RankedPage, number>} */
    function scores(asked, told) {
      const fits = fitting(asked, told);
      const postings = (/** @type {string} */ short) => on.get(short) || [];
      const named = gathered(asked, (short) => postings(short).map(({ page, named: sure }) => [page, sure]));
      const titled = gathered(asked, (short) => postings(short).map(({ page, titled: sure }) => [page, sure]));
      const text = gathered(asked, (short) => postings(short).map(({ page, times }) => [page, often(page, times)]));
      return new Map(
        [...text].map(([page, much]) => {
          const { best, full } = fits.get(page) || { best: 0, full: 0 };
          const sum =
            WEIGHTS.phrase * best * (page.named ? 1 : 1 - LATE) +
            WEIGHTS.named * (named.get(page) || 0) +
            WEIGHTS.title * (titled.get(page) || 0) +
            WEIGHTS.text * much;
          return [page, MUSIC.test(page.place) ? sum * (1 - BY_NAME + BY_NAME * full) : sum];
        }),
      );
    }

    /** @param {RankedPage} page
     * @param {number} times that a word stands on it */
    const often = (page, times) => times / (times + SATURATION * (1 - LENGTH + (LENGTH * page.length) / length));

    /** The line of a page that has most of the asked words together, how much that is, from 0 to 1, and in which part of
     * the page it stands.
     * @param {Asked} asked
     * @param {RankedPage} page
     * @returns {{ share: number, part: string, line: string }} */
    function nearestLine(asked, page) {
      let near = { share: 0, part: "", line: "" };
      let most = 0;
      for (const { words: stems, part, line } of page.lines) {
        let share = 0;
        for (const { meant: choices, counts } of asked.words) {
          let best = 0;
          for (const { short, worth } of choices) {
            if (worth > best)
              best = Math.max(best, worth * (stems.has(short) ? 1 : page.names.has(short) ? CONTEXT : 0));
          }
          share += (counts * best) / asked.whole;
        }
        most = Math.max(most, share);
        if (share > near.share + (part && !near.part ? CLEARLY : 0)) near = { share, part, line };
      }
      return { ...near, share: most };
    }

    /** What a page is worth for a question of this kind.
     * @param {RankedPage} page
     * @param {string} question */
    function worth(page, question) {
      const kind = [LESSON, REHEARSAL].find((one) => one.page.test(page.place));
      return (MEANING.test(question) ? 1 : page.worth) * (kind && !kind.asked.test(question) ? kind.worth : 1);
    }

    /** The lessons whose number is asked for, and how much of the question that is, from 0 to 1.
     * @param {string[]} typed
     * @returns {{ lessons: Set<RankedPage>, share: number }} */
    function byNumber(typed) {
      const [number] = NUMBER.exec(` ${typed.join(" ")} `) || [];
      const names = (number && namesWith.get("lesson")) || [];
      const lessons = new Set(names.filter(({ said: name }) => name.startsWith(number || "")).map(({ page }) => page));
      const more = typed.filter((word) => !dropped.has(word) && !number?.includes(` ${word} `));
      return { lessons, share: 2 / (2 + more.length) };
    }

    /** @param {string} asking */
    function rank(asking) {
      const question = inFigures(asking);
      const asked = alternatives(question)
        .map(read)
        .filter((one) => one.whole);
      const typed = words(question);
      const told = typed.length > 1 ? ` ${typed.join(" ")} ` : "  ";
      /** @type {Map<RankedPage, number>} */
      const all = new Map();
      for (const [at, one] of asked.entries()) {
        for (const [page, score] of scores(one, told)) {
          all.set(page, Math.max(all.get(page) || 0, score * (at ? OTHER : 1)));
        }
      }
      const best = (/** @type {{ score: number }} */ one, /** @type {{ score: number }} */ other) =>
        other.score - one.score;
      const found = [...all]
        .map(([page, score]) => ({ page, part: "", line: "", score: score * worth(page, question) }))
        .sort(best);
      const { lessons, share } = byNumber(typed);
      for (const one of found) if (lessons.has(one.page)) one.score += BY_NUMBER * share;
      found.sort(best);
      for (const one of found.slice(0, READ)) {
        const near = asked.map((each) => nearestLine(each, one.page)).sort((a, b) => b.share - a.share)[0];
        one.score += WEIGHTS.line * near.share * worth(one.page, question);
        Object.assign(one, { part: near.part, line: near.line });
      }
      found.sort(best);
      return found
        .filter((one, at) => at < MOST && one.score > FEW * found[0].score)
        .map(({ page, ...one }) => ({ place: page.place, ...one }));
    }

    /** The words that a question may mean, once for all lines found.
     * @param {string} question
     * @returns {Set<string>} stems */
    function soughtBy(question) {
      if (lastSought.question !== question) {
        const all = alternatives(question).flatMap((one) => read(one).words.flatMap(({ meant: each }) => each));
        lastSought = { question, stems: new Set(all.filter(({ worth: much }) => much).map(({ short }) => short)) };
      }
      return lastSought.stems;
    }

    /** A line with the words marked that a question may mean.
     * @param {string} line without marks
     * @param {string} question
     * @returns {string} HTML */
    function marked(line, question) {
      const sought = soughtBy(question);
      return line.replace(WORD, (word) =>
        words(word).some((one) => sought.has(stem(one))) ? `<mark data-md-highlight>${word}</mark>` : word,
      );
    }

    return { add, rank, marked };
  }

  search.ranks = ranks;
})();
