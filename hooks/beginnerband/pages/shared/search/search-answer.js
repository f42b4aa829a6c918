/* The answer itself, above the pages found: a question that names a note and an instrument, or a fingering, is looked up
   in the look-up's tables (look-up-book.js). Nothing is computed here but what is asked. */
(() => {
  "use strict";
  const search = window.bandSearch;
  if (!search) return;

  /** @type {Record<string, string>} */
  const SIGNS = { b: "b", "♭": "b", flat: "b", "#": "#", "♯": "#", sharp: "#" };
  const SIGNED = /(^|\s)([a-g])[\s-]*(flat|sharp|[b♭#♯])(?![a-z])/g;
  const NOTE = /(?:(low|lowest|high|highest|top|upper|middle|concert)\s+)?\b([a-g])([b#]?)(\d?)(?![\w#♭♯'’])/g;
  const CODE = /(?:^|\s)(\d(?:\s*(?:-|\+|,|&|and|\u2011)\s*\d)+)(?!\d)/;
  const PLAY = /\b(finger\w*|valves?|positions?|play\w*|note|press|how|what|which|read|get)\b/;
  const WHICH = /\b(which|what|notes|all|only)\b/;
  const MOVE = /\bfrom\b.*\bto\b|\b(?:mov|chang|swap|switch)\w*/;
  const TO = /^\s*to(?: an?| the)?\s*$/; // "trumpet to trombone"
  const BARE = /(?:^|\s)(?:([1-4])\s+)?([1-4])\s*([1-4])(?=\s|$)/; // "12", "1 3", "1 2 3"
  const ONE_VALVE = /\b(?:valve ([1-4])|([1-4]) valve|(?:only|with) ([1-4])(?=$| (?:valve|finger|down|pressed|on)))\b/;
  const OTHER_NUMBER = /\b(?:lesson|week|bar|page|beat|card|part)s?\b/;
  const ANOTHER_MATTER =
    /\b(?:scales?|keys?|major|minor|chords?|tunes?|songs?|lessons?|drums?|hold\w*|attachment|trigger)\b/;
  const REASONS = /\b(?:why|too|instead|out of tune|reach\w*|short)\b/; // no table has them
  const POSITION = /\bposition (?:number )?([1-7])\b|\b([1-7]) position\b/;
  const BEYOND_FIRST_YEAR = 2;
  const MOST = 6;
  const TEACH = 0;
  /** @type {Record<string, string>} */
  const COUNTED = {
    ...{ first: "1", second: "2", third: "3", fourth: "4", fifth: "5", sixth: "6", seventh: "7" },
    ...{ one: "1", two: "2", three: "3", four: "4", five: "5", six: "6", seven: "7" },
    ...{ "1st": "1", "2nd": "2", "3rd": "3", "4th": "4", "5th": "5", "6th": "6", "7th": "7" },
  };
  const COUNT = new RegExp(`\\b(?:${Object.keys(COUNTED).join("|")})\\b`, "g");

  /** A question in plain letters: "B flat" is bb, "first and third" 1 and 3.
   * @param {string} question */
  function plain(question) {
    return question
      .toLowerCase()
      .replace(/[?!.;:]+/g, " ")
      .replace(/(^|\s)([a-g])[\s-]*natural\b/g, "$1$2")
      .replace(SIGNED, (_, before, letter, sign) => `${before}${letter}${SIGNS[sign]}`)
      .replace(/\s+/g, " ")
      .trim();
  }

  /** Whether it may be one that the tables answer, so that they are worth fetching.
   * @param {string} question */
  function asksForNotes(question) {
    const asked = plain(question);
    return (
      asked.search(NOTE) >= 0 || MOVE.test(asked) || / to /.test(asked) || Boolean(fingering(asked) || position(asked))
    );
  }

  /** The fingering a question names: "1-3", "valves 1 and 2", "all three valves", "no valves", "open".
   * @param {string} asked
   * @returns {string} its code, or nothing */
  function fingering(asked) {
    const counted = inFigures(asked);
    const code = CODE.exec(counted)?.[1].match(/\d/g);
    if (code) return code.join("-");
    if (/\ball (?:the )?(?:3 )?valves\b/.test(counted)) return "1-2-3";
    if (/\b(no|without(?: any)?|0) valves?\b|\bopen notes?\b|\bopen$/.test(counted)) return "0";
    const bare = OTHER_NUMBER.test(counted) ? null : BARE.exec(counted);
    if (bare && PLAY.test(counted)) return bare.slice(1).filter(Boolean).join("-");
    const one = ONE_VALVE.exec(counted);
    return one && WHICH.test(counted) && !ANOTHER_MATTER.test(counted) ? one.slice(1).find(Boolean) || "" : "";
  }

  /** @param {string} asked */
  const inFigures = (asked) => asked.replace(COUNT, (word) => COUNTED[word]);

  /** The position of a slide that a question names: "4th position", "position 4".
   * @param {string} asked
   * @returns {string} its code, or nothing */
  function position(asked) {
    const found = POSITION.exec(inFigures(asked));
    return found ? found[1] || found[2] : "";
  }

  /** Every name of a player, longest first, with the player.
   * @param {LookUpBook} book
   * @param {SearchWords} said */
  function namesOf(book, { same, alike }) {
    const groups = [...same, ...alike].map((group) => group.map(plain));
    const all = book.players.flatMap((player) => {
      const full = plain(player.name.replace(/,.*| with .*/, ""));
      const short = full.replace(/^single /, "").replace(/^[a-g][b#]? /, "");
      const id = player.id.replace(/-(\d)$/, " $1").replace(/-/g, " ");
      const last = short.split(" ").at(-1) || "";
      const key = /^(?:single )?([a-g][b#]? )?/.exec(full)?.[1] || "";
      const names = new Set([full, key + short, key + last, short, last]);
      if (!/ [a-g]$/.test(id)) names.add(id); // "trombone f" is a note
      for (const others of groups) {
        if (others.some((name) => names.has(name))) for (const name of others) names.add(name);
      }
      return [...names].map((name) => ({ name, player, own: name === full || name === short || name === id }));
    });
    return all.sort((one, other) => other.name.length - one.name.length);
  }

  /** A question with the names of instruments that were mistyped put right: "trombne".
   * @param {string} asked
   * @param {{ name: string }[]} names */
  function spelledRight(asked, names) {
    const { apart, tolerance } = /** @type {BandSearch} */ (search);
    const known = new Set(names.flatMap(({ name }) => name.split(" ")).filter((word) => word.length > 4));
    return asked.replace(/[a-z]{5,}/g, (word) => {
      if (known.has(word) || known.has(word.replace(/s$/, ""))) return word;
      const far = (/** @type {string} */ one) => apart(word, one, tolerance(one));
      const near = [...known].filter((one) => one[0] === word[0] && far(one) <= tolerance(one));
      return near.sort((one, other) => far(one) - far(other))[0] || word;
    });
  }

  /** The instruments a question names, in its order, and the question without them.
   * @param {string} asked
   * @param {LookUpBook} book
   * @param {SearchWords} said */
  function instruments(asked, book, said) {
    const clef = /\b(bass|treble) clef\b/.exec(asked)?.[1];
    const names = namesOf(book, said);
    let rest = spelledRight(asked, names).replace(/\b(?:bass|treble) clef\b/g, (found) => " ".repeat(found.length));
    /** @type {{ at: number, name: string, players: LookUpPlayer[] }[]} */
    const found = [];
    for (const { name } of names) {
      const at = rest.search(new RegExp(`(?<![\\w#])${name.replace(/[^\w ]/g, "\\$&")}s?(?![\\w#])`));
      if (at < 0) continue;
      const players = choose(name, clef, book, said);
      found.push({ at, name, players });
      rest = rest.slice(0, at) + " ".repeat(name.length) + rest.slice(at + name.length);
    }
    const inOrder = found.sort((one, other) => one.at - other.at);
    // Of two names side by side the first says what kind the second is: a bass trombone is a trombone.
    const named = inOrder.filter(({ at, name }, place) => inOrder[place + 1]?.at !== at + name.length + 1);
    return { found: named, rest };
  }

  /** Who is meant by a name: those called so, of the band where it has any, in the clef asked for or the band's own.
   * @param {string} name
   * @param {string | undefined} clef
   * @param {LookUpBook} book
   * @param {SearchWords} said */
  function choose(name, clef, book, said) {
    const called = namesOf(book, said).filter((one) => one.name === name);
    const players = [...new Set(called.map(({ player }) => player))];
    const inClef = clef ? players.filter((player) => player.clef === clef) : players.filter((player) => player.inBand);
    const wanted = inClef[0] ? inClef : players;
    const ids = new Set(wanted.map((player) => player.id));
    const ofBand = [...ids].filter((id) => book.players.some((player) => player.id === id && player.inBand));
    return (ofBand[0] ? ofBand : [...ids].slice(0, 1)).map(
      (id) => /** @type {LookUpPlayer} */ (wanted.find((player) => player.id === id)),
    );
  }

  /** The note a question names, once its instruments are out of it: "a" is one where it cannot be the article, and what
   * follows "in" is a key.
   * @param {string} rest
   * @param {string} whole */
  function noteIn(rest, whole) {
    const match = [...rest.matchAll(NOTE)].find(({ 0: found, 2: letter, 3: sign, index }) => {
      const after = whole.slice(index + found.length).trim();
      const called = /\ban\s*$/.test(whole.slice(0, index)); // "an A"
      const article = letter === "a" && !sign && !called && after && !/^(?:on|for|fingering|in|position)\b/.test(after);
      return !article && !/\bin\s*$/.test(whole.slice(0, index));
    });
    if (!match) return undefined;
    const [, where = "", letter, sign, octave] = match;
    return { where: /\bconcert\b/.test(whole) ? "concert" : where, name: letter.toUpperCase() + sign, octave };
  }

  /** Notes of one name that a player has, those of the first year where there are any, lowest first.
   * @param {LookUpBook} book
   * @param {LookUpPlayer} player
   * @param {{ where: string, name: string, octave: string }} note
   * @returns {LookUpAnswer[]} */
  function notesOf(book, player, { where, name, octave }) {
    const written = where !== "concert";
    const pitches = book
      .names(player, written ? "written" : "concert")
      .filter((pitch) => pitch.name.slice(0, -1) === name);
    const answers = pitches.flatMap((pitch) => {
      if (written) return [book.answer(player, pitch)];
      const joined = book.joins(player, pitch);
      return joined ? [joined.answer] : [];
    });
    const once = answers.filter((one, at) => answers.findIndex((other) => other.written === one.written) === at);
    const exact = once.filter((one) => octave && String((written ? one.written : one.concert).octave) === octave);
    if (exact[0]) return exact;
    const early = once.filter((one) => level(player, one.written) < BEYOND_FIRST_YEAR);
    const known = early[0] ? early : once;
    // "High G" is the highest of the first year to one player and the one above to another: both are said.
    if (/^low/.test(where))
      return once.slice(Math.max(0, once.indexOf(known[0]) - 1)).slice(0, once[0] === known[0] ? 1 : 2);
    return /^(high|top|upper)/.test(where) ? once.slice(once.lastIndexOf(known[known.length - 1])).slice(0, 2) : known;
  }

  /** @param {LookUpPlayer} player
   * @param {LookUpPitch} written */
  const level = (player, written) => player.notes[written.index - player.first][1];

  /** @param {LookUpPitch} pitch */
  const shown = (pitch) => pitch.letter + pitch.octave;

  /** @param {LookUpPlayer} player
   * @param {LookUpAnswer} answer */
  function way(player, { way: found }) {
    if (!found) return "strike the bar";
    if (player.tool.slide) return `position ${found.code}`;
    return found.code === "0" ? "open" : found.code;
  }

  /** @param {LookUpPlayer} player
   * @param {LookUpAnswer[]} answers
   * @param {string} asked
   * @returns {SearchAnswer} */
  function line(player, answers, asked) {
    const [first] = answers;
    const every = answers.every((one) => way(player, one) === way(player, first));
    return {
      who: player.fullName,
      asked,
      ways: every ? way(player, first) : answers.map((one) => `${shown(one.written)}: ${way(player, one)}`).join(" · "),
      more: `written ${answers.map(({ written }) => shown(written)).join(", ")}; sounds ${answers.map(({ concert }) => shown(concert)).join(", ")}`,
      address: `look-up.html#${player.key}/${encodeURIComponent(first.written.name)}`,
    };
  }

  /** @param {LookUpBook} book
   * @param {{ players: LookUpPlayer[] }[]} found
   * @param {{ where: string, name: string, octave: string }} note */
  function aboutNote(book, found, note) {
    const [asker, ...others] = found;
    const name = note.name.replace("b", "♭").replace("#", "♯");
    const concert = note.where === "concert";
    const mine = asker.players.flatMap((player) => {
      const answers = notesOf(book, player, note);
      return answers[0] ? [{ player, answers }] : [];
    });
    const lines = mine.map(({ player, answers }) => line(player, answers, concert ? `concert ${name}` : name));
    if (!mine[0] || !others[0]) return lines;
    const sound = mine[0].answers[0].concert;
    const joined = others[0].players.flatMap((player) => {
      const there = book.joins(player, sound);
      return there ? [line(player, [there.answer], `${shown(there.answer.written)} for the same sound`)] : [];
    });
    return [...joined, ...lines];
  }

  /** Who plays which notes with one fingering, or in one position; players with the same notes in one line.
   * @param {LookUpBook} book
   * @param {string} code
   * @param {LookUpPlayer[]} players
   * @returns {SearchAnswer[]} */
  function aboutFingering(book, code, players) {
    /** @type {Map<string, LookUpPlayer[]>} */
    const alike = new Map();
    for (const player of players) {
      if (!player.tool.ways.some(([one]) => one === code)) continue;
      const notes = book.byHand(player, code).filter(({ way: each }) => each.use === TEACH);
      const early = notes.filter(({ answer }) => level(player, answer.written) < BEYOND_FIRST_YEAR);
      const names = early.map(({ answer }) => shown(answer.written)).join(", ");
      alike.set(names, [...(alike.get(names) || []), player]);
    }
    const some = [...alike].filter(([names]) => names);
    return (some[0] ? some : [...alike]).map(([names, all]) => ({
      who: all
        .map((player) => player.name)
        .filter((name, at, every) => every.indexOf(name) === at)
        .join(", "),
      asked: all[0].tool.slide ? `position ${code}` : code === "0" ? "open" : code,
      ways: names || "no note taught with it in the first year",
      more: names && "written notes",
      address: `look-up.html#${all[0].key}/hand/${code}`,
    }));
  }

  /** Whether a note is all that is asked: "F sharp", "how do I play B flat", and not "a tune in D".
   * @param {string} rest
   * @param {SearchWords} said */
  function only(rest, said) {
    const dropped = new Set(said.drop);
    const others = rest
      .replace(NOTE, " ")
      .split(/\s+/)
      .filter((word) => word && !dropped.has(word));
    return others.every((word) => PLAY.test(word) || /^notes?$/.test(word));
  }

  /** How the band plays a note; players who do it alike in one line.
   * @param {LookUpBook} book
   * @param {{ where: string, name: string, octave: string }} note
   * @returns {SearchAnswer[]} */
  function everybody(book, note) {
    /** @type {Map<string, SearchAnswer>} */
    const alike = new Map();
    for (const player of book.players.filter((one) => one.inBand)) {
      const answers = notesOf(book, player, note);
      if (!answers[0]) continue;
      const name = note.name.replace("b", "♭").replace("#", "♯");
      const concert = note.where === "concert";
      const found = line(player, answers, concert ? `concert ${name}` : name);
      const ways = concert ? `reads ${answers[0].written.letter}, ${found.ways}` : found.ways;
      const before = alike.get(ways);
      if (before) before.who += `, ${player.name}`;
      else alike.set(ways, { ...found, ways, who: player.name, more: "" });
    }
    return [...alike.values()];
  }

  /** From one instrument to another, and no note named: that move.
   * @param {{ players: LookUpPlayer[] }[]} found
   * @returns {SearchAnswer} */
  const moving = ([one, other]) => ({
    who: `From ${one.players[0].name} to ${other.players[0].name}`,
    asked: "",
    ways: "what changes, and what stays",
    more: "",
    address: `tables/moving.html#${one.players[0].id}/${other.players[0].id}`,
  });

  /** @type {BandSearch["answers"]} */
  function answers(question, book, said) {
    const asked = plain(question);
    if (REASONS.test(asked)) return [];
    const { found, rest } = instruments(asked, book, said);
    const note = ANOTHER_MATTER.test(rest) ? undefined : noteIn(rest, asked);
    if (!note && found[1] && (MOVE.test(rest) || TO.test(rest))) return [moving(found)];
    if (note && !found[0] && only(rest, said)) return everybody(book, note).slice(0, MOST);
    if (note && found[0]) return aboutNote(book, found, note).slice(0, MOST);
    return (byHand(asked, book, found) || byKey(rest, book, found)).slice(0, MOST);
  }

  /** The notes of the fingering or the position that is asked for, if one is.
   * @param {string} asked
   * @param {LookUpBook} book
   * @param {{ players: LookUpPlayer[] }[]} found */
  function byHand(asked, book, found) {
    const named = found.flatMap((one) => one.players);
    const players = named[0] ? named : book.players.filter((one) => one.inBand);
    const slides = players.filter((one) => one.tool.slide);
    const stop = position(asked);
    if (stop && slides[0]) return aboutFingering(book, stop, slides);
    const code = fingering(asked);
    const valves = players.filter((one) => one.tool.valves);
    return code && valves[0] ? aboutFingering(book, code, valves) : undefined;
  }

  /** "B flat trombone position": what looked like an instrument's key was the note.
   * @param {string} rest
   * @param {LookUpBook} book
   * @param {{ name: string, players: LookUpPlayer[] }[]} found */
  function byKey(rest, book, found) {
    const key = found[0] && /^([a-g])([b#]?) /.exec(found[0].name);
    if (!key || !PLAY.test(rest) || ANOTHER_MATTER.test(rest)) return [];
    return aboutNote(book, found, { where: "", name: key[1].toUpperCase() + key[2], octave: "" });
  }

  Object.assign(search, { answers, asksForNotes });
})();
