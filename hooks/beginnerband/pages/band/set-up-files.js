/* The files the form gives and takes: what is in them, what the build would refuse, and which is which. */
(() => {
  "use strict";

  const yaml = window.bbPlainYaml;
  const setUp = window.bandSetUp;
  const HEAD = "# Written by the handbook's form. You may change it by hand; the form reads it back.\n";

  const WEEK = ["sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"];

  /** @type {SetUp["files"]} */
  const files = {
    band: { name: "band.yml", text: (state) => HEAD + yaml.write(tidy(state.band)) },
    learners: { name: "learners.yml", text: (state) => HEAD + yaml.write({ learners: state.learners }) },
    cupboard: { name: "cupboard.yml", text: (state) => HEAD + yaml.write({ instruments: state.cupboard }) },
    kept: { name: "band-on-this-device.json", text: (state) => JSON.stringify(state, null, 2) },
  };

  /**
   * Without holidays that nobody filled in.
   * @param {Bag} band
   */
  function tidy(band) {
    const found = structuredClone(band);
    if (found.course?.holidays) {
      found.course.holidays = found.course.holidays.filter((/** @type {Bag} */ days) => days.from && days.to);
      if (!found.course.holidays.length) delete found.course.holidays;
    }
    return found;
  }

  /**
   * What the build would refuse, said here already.
   * @param {string} id
   * @param {SetUpState} state
   * @param {SetUpRules} rules
   */
  function complaint(id, { band, learners, cupboard }, rules) {
    for (const text of texts({ band, learners, cupboard, kept: null }[id])) {
      const hidden = unseen(text, rules);
      if (hidden) return `In “${text}”: ${hidden.said}.`;
    }
    if (id === "band") return ofBand(band, rules) || ofCourse(band.course || {});
    if (id === "learners") {
      if (!learners.length) return "There are no learners yet.";
      if (learners.some((each) => !each.name)) return "Give every learner initials or a nickname first.";
      const names = learners.map((each) => each.name.toLowerCase());
      const twice = names.find((name, at) => names.indexOf(name) !== at);
      if (twice) return `Two learners are called ${twice}; make them differ.`;
      return ofRows("learners", learners, rules, (bag) => bag.name);
    }
    if (id === "cupboard") {
      if (!cupboard.length) return "There is no instrument in the cupboard yet.";
      const shared = cupboard.find((each) => each.serial && (each.count ?? 1) > 1);
      if (shared) return `Several instruments cannot share the number ${shared.serial}; give each a row.`;
      return ofRows("instruments", cupboard, rules, (bag) => rules.instruments[bag.instrument]?.name || bag.instrument);
    }
    return "";
  }

  /** Every text in a value, keys among them.
   * @param {unknown} value
   * @returns {string[]} */
  function texts(value) {
    if (typeof value === "string") return [value];
    return value && typeof value === "object" ? Object.entries(value).flat().flatMap(texts) : [];
  }

  /** Where a text has a sign that cannot be seen, and what the build would say of it.
   * @param {string} text
   * @param {SetUpRules} rules */
  function unseen(text, rules) {
    for (const [pattern, said] of rules.unseen) {
      const found = new RegExp(pattern, "u").exec(text);
      const number = found?.[0].codePointAt(0)?.toString(16).toUpperCase().padStart(4, "0");
      if (found && number) return { at: found.index, said: said.replace("{}", number) };
    }
    return null;
  }

  /**
   * @param {Bag} band
   * @param {SetUpRules} rules
   */
  function ofBand(band, rules) {
    if (!band.name) return "Give the band a name first.";
    if (!band.players.length) return "Give at least one instrument a player first.";
    for (const { instrument, reading } of band.players) {
      const known = rules.instruments[instrument];
      if (!known) {
        return `No instrument is called ${instrument}${setUp.nearest(String(instrument), Object.keys(rules.instruments))}`;
      }
      if (reading && !known.readings.includes(reading)) {
        return `${known.name}: not read in ${reading}; use ${known.readings.join(" or ")}.`;
      }
    }
    return ofAddress(String(band.address || ""));
  }

  /** @param {string} text */
  function ofAddress(text) {
    if (/^http:\/\//i.test(text)) {
      return `Address: ${text} begins with http://; phones keep pages only from https${text.slice(4)}.`;
    }
    if (text && !/^https:\/\/[^\s<>"'`]+$/.test(text)) {
      return `Address: ${text} is no address; write it as https://band.example/handbook/, or leave it empty.`;
    }
    const page = /[?#].*$|\/[^/]*\.html?$/.exec(text);
    return page ? `Address: ${text} is the address of one page; write the folder's, without ${page[0]}.` : "";
  }

  /** What the build would do otherwise than asked, and say.
   * @param {string} id
   * @param {SetUpState} state */
  function remark(id, { band }) {
    const { rooms = 1, adults = 2, ages = "children", adults_a_room } = band.course || {};
    const need = adults_a_room || (ages === "adults" ? 1 : 2);
    if (id !== "band" || rooms < 2 || adults >= rooms * need) return "";
    const each = `${need} ${need === 1 ? "adult" : "adults"}`;
    return `Two rooms need ${each} in each, and there ${adults === 1 ? "is" : "are"} only ${adults}: everybody will be taught in one room.`;
  }

  /** @param {Bag} course */
  function ofCourse(course) {
    const { start, last, concert, lessons, weekdays } = course;
    if (course.time && !course.time_zone) return "A time needs its time zone, as Europe/London.";
    if (course.time_zone && !zone(course.time_zone)) {
      return `No time zone is called ${course.time_zone}; take one from the list, as Europe/London.`;
    }
    if (course.adults_a_room === 1 && (course.ages ?? "children") !== "adults") {
      return "One adult in each room is for adults alone; parents of children are promised two: leave it empty.";
    }
    const ends = [last, concert, lessons].filter((each) => each !== undefined && each !== null);
    if (ends.length > 1) {
      return "The file you read gives the end of the course in another way: leave the last day for a lesson empty.";
    }
    if ((last || concert) && !start) return "Give the first lesson, too, or leave the last day empty.";
    if (start && (last || concert) && (last || concert) <= start) return "The last lesson is before the first.";
    const days = new Set(weekdays || []);
    if (days.size && days.size !== (course.lessons_a_week ?? 1)) {
      return `The file you read names ${[...days].join(" and ")} as days for lessons: that is ${days.size} a week.`;
    }
    if (days.size && start && weekdays[0] !== WEEK[new Date(start).getUTCDay()]) {
      return `The first lesson is on a ${WEEK[new Date(start).getUTCDay()]}; the file you read begins on a ${weekdays[0]}.`;
    }
    const holidays = /** @type {Bag[]} */ (course.holidays || []);
    const half = holidays.find(({ from, to }) => Boolean(from) !== Boolean(to));
    if (half) return `Give the holiday ${half.from ? `from ${half.from}` : `to ${half.to}`} its other day.`;
    const turned = holidays.find(({ from, to }) => from && to && to < from);
    if (turned) return `A holiday from ${turned.from} cannot end on ${turned.to}.`;
    const away = holidays.find(({ from, to }) => start && from && from <= start && start <= to);
    return away ? `The first lesson, ${start}, is in the holiday from ${away.from} to ${away.to}.` : "";
  }

  /** Whether a time zone is known by this name, to the letter.
   * @param {string} name */
  function zone(name) {
    try {
      const found = new Intl.DateTimeFormat("en", { timeZone: name }).resolvedOptions().timeZone;
      return name === found || name.toLowerCase() !== found.toLowerCase();
    } catch {
      return false;
    }
  }

  /**
   * The first thing that the build's loader would say of rows.
   * @param {"learners" | "instruments"} kind
   * @param {Bag[]} bags
   * @param {SetUpRules} rules
   * @param {(bag: Bag) => string} called
   */
  function ofRows(kind, bags, rules, called) {
    const rows = bags.map((bag, at) => ({ line: at + 1, bag: structuredClone(bag) }));
    const [first] = setUp.check(kind, rows, rules).problems;
    if (!first) return "";
    const line = Number.parseInt(first, 10);
    return `${called(bags[line - 1])}: ${first.slice(first.indexOf(":") + 2)}`;
  }

  /**
   * Takes a file in, whichever it is, and says so; with a mistake in it nothing is taken.
   * @param {string} name
   * @param {ArrayBuffer} bytes
   * @param {SetUpState} state
   * @param {SetUpRules} rules
   * @returns {{ state: SetUpState, said: string[] }}
   */
  function take(name, bytes, state, rules) {
    try {
      const text = textOf(name, bytes);
      const hidden = unseen(text, rules);
      if (hidden) throw new Error(`${text.slice(0, hidden.at).split(/\r\n?|\n/).length}: ${hidden.said}`);
      if (/\.csv$/i.test(name)) return takeTable(name, text, state, rules);
      const found = /\.json$/i.test(name) ? JSON.parse(text) : yaml.read(text);
      if (found.band && found.learners) return { state: { ...state, ...found }, said: [`${name} is read.`] };
      if (Array.isArray(found.learners)) return takeRows(name, "learners", located(found.learners), state, rules);
      if (Array.isArray(found.instruments)) {
        return takeRows(name, "instruments", located(found.instruments), state, rules);
      }
      if (Array.isArray(found.players)) {
        const wrong = ofBand(found, rules);
        if (wrong) return { state, said: [`${name}: ${wrong}`] };
        return { state: { ...state, band: found }, said: [`${name} is read.`] };
      }
      return { state, said: [`${name}: neither a band, nor learners, nor a cupboard.`] };
    } catch (error) {
      const lines = (error instanceof Error ? error.message : String(error)).split("\n");
      return { state, said: lines.map((line) => name + (/^\d+: /.test(line) ? ":" : ": ") + line) };
    }
  }

  /**
   * @param {string} name
   * @param {ArrayBuffer} bytes
   */
  function textOf(name, bytes) {
    try {
      return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    } catch {
      const right = /\.csv$/i.test(name) ? "; in the spreadsheet save it as 'CSV UTF-8'" : "; save it as UTF-8";
      throw new Error(`not UTF-8 text${right}`);
    }
  }

  /**
   * @param {string} name
   * @param {string} text
   * @param {SetUpState} state
   * @param {SetUpRules} rules
   */
  function takeTable(name, text, state, rules) {
    const columns = Object.fromEntries(
      Object.entries(rules.rows).map(([kind, model]) => [kind, Object.keys(model.fields)]),
    );
    const { kind, rows } = setUp.readTable(text, columns);
    const taken = takeRows(name, kind === "learners" ? "learners" : "instruments", rows, state, rules);
    if (taken.state !== state) {
      const file = kind === "learners" ? "learners" : "cupboard";
      taken.said.push(`The form gives it back as ${file}.yml; then take ${file}.csv out of the folder.`);
    }
    return taken;
  }

  /**
   * @param {string} name
   * @param {"learners" | "instruments"} kind
   * @param {Row[]} rows
   * @param {SetUpState} state
   * @param {SetUpRules} rules
   */
  function takeRows(name, kind, rows, state, rules) {
    const { bags, problems, warnings } = setUp.check(kind, rows, rules);
    if (problems.length) return { state, said: problems.map((text) => `${name}:${text}`) };
    const taken = kind === "learners" ? { learners: bags } : { cupboard: bags };
    return { state: { ...state, ...taken }, said: [`${name} is read.`, ...warnings.map((text) => `${name}:${text}`)] };
  }

  /**
   * @param {Bag[]} bags
   * @returns {Row[]}
   */
  function located(bags) {
    return bags.map((bag) => ({ line: yaml.lineOf(bag), bag }));
  }

  window.bandSetUp = Object.assign(setUp, { files, complaint, remark, take });
})();
