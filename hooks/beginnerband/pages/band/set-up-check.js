/* Checks rows of learners and instruments as the build does, before the form takes them over. What it is told of fields
   comes from the loader's own models, so that it refuses what the build would, in the same words. */
(() => {
  "use strict";

  /** What a cell or a value means.
   * @typedef {{ value?: Plain, wrong?: string[] }} Meant */

  const YES = /^(true|t|yes|y|on|1|x|✓|✔|☑)$/i;
  const NO = /^(false|f|no|n|off|0)$/i;

  /** @param {string} text */
  const plain = (text) =>
    text
      .toLowerCase()
      .replaceAll("♭", "b")
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-+|-+$/g, "");

  /** @param {Plain} value */
  const listed = (value) =>
    typeof value === "string"
      ? value
          .split(/[;,/\n]/)
          .map((part) => part.trim())
          .filter(Boolean)
      : value;

  /**
   * Every row as the form keeps it, or what is wrong with the rows: first their values, then the names in them.
   * @param {"learners" | "instruments"} kind
   * @param {Row[]} rows
   * @param {SetUpRules} rules
   * @returns {Checked}
   */
  function check(kind, rows, rules) {
    const problems = /** @type {string[]} */ ([]);
    const bags = rows.map(({ line, bag }) => {
      const read = valued(bag, rules.rows[kind], rules);
      problems.push(...read.wrong.map((text) => `${line}: ${text}`));
      return read.bag;
    });
    if (problems.length) return { bags: [], problems, warnings: [] };
    const placed = bags.map((bag, at) => ({ line: rows[at].line, bag }));
    for (const { line, bag } of placed) {
      for (const text of named(bag, rules.rows[kind], rules)) problems.push(`${line}: ${text}`);
    }
    problems.push(...(kind === "learners" ? peopleTogether(placed) : thingsTogether(placed)));
    problems.sort((one, other) => Number.parseInt(one, 10) - Number.parseInt(other, 10));
    const warnings = placed.flatMap(({ line, bag }) =>
      kind === "learners" && fullName(bag.name, rules)
        ? [`${line}: '${bag.name}' looks like a full name; initials or a nickname are enough`]
        : [],
    );
    return problems.length ? { bags: [], problems, warnings: [] } : { bags, problems, warnings };
  }

  /**
   * @param {Bag} bag
   * @param {RowModel} model
   * @param {SetUpRules} rules
   */
  function valued(bag, model, rules) {
    const wrong = Object.keys(bag)
      .filter((key) => !model.fields[key])
      .map((key) => `unknown key '${key}'${window.bandSetUp.nearest(key, Object.keys(model.fields))}`);
    const found = /** @type {Bag} */ ({});
    const filled = Object.keys(bag).filter((key) => !["", null, undefined].includes(bag[key]));
    wrong.push(...model.required.filter((name) => !filled.includes(name)).map((name) => `'${name}' is missing`));
    for (const name of filled.filter((key) => model.fields[key])) {
      const meant = meaning(bag[name], model.fields[name], rules);
      if (meant.wrong) wrong.push(...meant.wrong.map((text) => `${name}${text}`));
      else found[name] = meant.value;
    }
    return { bag: found, wrong };
  }

  /**
   * @param {any} given
   * @param {RowField} field
   * @param {SetUpRules} rules
   * @returns {Meant}
   */
  function meaning(given, field, rules) {
    if (field.type === "boolean") {
      if (YES.test(String(given))) return { value: true };
      return NO.test(String(given)) ? { value: false } : { wrong: [`: '${given}' is neither true nor false`] };
    }
    if (field.type === "integer" || field.type === "number") return numberOf(given, field);
    if (field.type === "array") {
      const list = listed(given);
      if (!Array.isArray(list)) return { wrong: [`: '${given}' is no list`] };
      return field.of === "days" ? daysOf(list.map(String), rules) : { value: list.map(String) };
    }
    if (field.type === "object") return trialsOf(given, rules);
    const text = String(given).trim();
    if (field.enum) {
      const choice = text.toLowerCase().replaceAll(" ", "-");
      const hint = window.bandSetUp.nearest(choice, field.enum);
      return field.enum.includes(choice) ? { value: choice } : { wrong: [`: '${choice}' is not known${hint}`] };
    }
    if (field.maxLength && text.length > field.maxLength) {
      return { wrong: [`: '${text.slice(0, 40)}…' is too long; at most ${field.maxLength} characters`] };
    }
    return { value: text };
  }

  /**
   * @param {Plain} given
   * @param {RowField} field
   * @returns {Meant}
   */
  function numberOf(given, field) {
    const text = String(given).trim();
    const written = field.type === "number" ? text.replace(",", ".") : text;
    const whole = field.type === "integer";
    if (!(whole ? /^[-+]?\d+$/ : /^[-+]?(\d+\.?\d*|\.\d+)$/).test(written)) {
      return { wrong: [`: '${text.slice(0, 40)}' is no ${whole ? "whole " : ""}number; write it in digits`] };
    }
    const value = Number(written);
    const { exclusiveMinimum: above, minimum: least, maximum: most } = field;
    const limit =
      above !== undefined && value <= above
        ? `small; more than ${above}`
        : least !== undefined && value < least
          ? `small; at least ${least}`
          : most !== undefined && value > most
            ? `large; at most ${most}`
            : "";
    return limit ? { wrong: [`: '${text}' is too ${limit}`] } : { value };
  }

  /**
   * @param {string[]} days
   * @param {SetUpRules} rules
   * @returns {Meant}
   */
  function daysOf(days, rules) {
    const short = days.map((day) => day.trim().toLowerCase().slice(0, 3));
    const at = short.findIndex((day) => !rules.names.days.includes(day));
    if (at < 0) return { value: short };
    return { wrong: [`: '${days[at].slice(0, 30)}' is no day; use ${rules.names.days.join(", ")}`] };
  }

  /**
   * Mouthpiece and what came out: as keys and values, or in a cell "small clear; large none".
   * @param {any} given
   * @param {SetUpRules} rules
   * @returns {Meant}
   */
  function trialsOf(given, rules) {
    const small = (/** @type {string} */ text) => text.trim().toLowerCase().replaceAll(" ", "-");
    const parts = typeof given === "string" ? /** @type {string[]} */ (listed(given)) : [];
    const pairs =
      typeof given === "string" ? [] : Object.entries(given).map(([key, value]) => [small(key), small(String(value))]);
    for (const part of parts) {
      const words = part.replace(/^[ :]+|[ :]+$/g, "").replaceAll(":", " ");
      const cut = words.lastIndexOf(" ");
      if (cut < 0) {
        const right = "write the mouthpiece and what came out, as small clear; large none";
        return { wrong: [`: '${words}' is no trial; ${right}`] };
      }
      pairs.push([small(words.slice(0, cut)), small(words.slice(cut + 1))]);
    }
    const wrong = pairs
      .filter(([, outcome]) => !rules.outcomes.includes(String(outcome)))
      .map(
        ([mouthpiece, outcome]) =>
          `.${mouthpiece}: '${outcome}' is not known${window.bandSetUp.nearest(String(outcome), rules.outcomes)}`,
      );
    return wrong.length ? { wrong } : { value: Object.fromEntries(pairs) };
  }

  /**
   * Puts ids in the place of names, in the bag itself; gives what is no name of anything.
   * @param {Bag} bag
   * @param {RowModel} model
   * @param {SetUpRules} rules
   */
  function named(bag, model, rules) {
    const wrong = /** @type {string[]} */ ([]);
    for (const [name, field] of Object.entries(model.fields)) {
      if (bag[name] === undefined) continue;
      if (field.of === "instruments") {
        const ids = [bag[name]].flat().map((/** @type {string} */ each) => {
          const id = rules.known[plain(each)];
          const hint = window.bandSetUp.nearest(
            each.trim().toLowerCase().replaceAll(" ", "-"),
            Object.keys(rules.instruments),
          );
          if (!id) wrong.push(`no instrument '${each.slice(0, 60)}' in content/instruments${hint}`);
          return id;
        });
        bag[name] = Array.isArray(bag[name]) ? [...new Set(ids)] : ids[0];
      } else if (field.of === "mouth") {
        bag[name] = bag[name].map((/** @type {string} */ each) => each.trim().toLowerCase().replaceAll("-", " "));
        wrong.push(...unknown(name, bag[name], rules.names.mouth));
      } else if (field.of === "mouthpieces") {
        wrong.push(...unknown(name, Object.keys(bag[name]), rules.names.mouthpieces, "no mouthpiece "));
      }
    }
    if (bag.set_to && (bag.never || []).includes(bag.set_to)) {
      wrong.push(`'${bag.set_to}' is both decided on and out of the question; keep one`);
    }
    return wrong;
  }

  /**
   * @param {string} field
   * @param {string[]} words
   * @param {string[]} choices
   * @param {string} [what]
   */
  function unknown(field, words, choices, what) {
    return words
      .filter((word) => !choices.includes(word))
      .map((word) => {
        const shown = what ? word : word.replaceAll(" ", "-");
        const said = what ? `${what}'${shown}'` : `'${shown}' is not known`;
        return `${field}: ${said}${window.bandSetUp.nearest(word, choices)}`;
      });
  }

  /** Nobody twice. @param {Row[]} rows */
  function peopleTogether(rows) {
    const seen = new Map();
    return rows.flatMap(({ line, bag }) => {
      const name = bag.name.toLowerCase();
      const first = seen.get(name);
      if (first === undefined) seen.set(name, line);
      return first === undefined
        ? []
        : [`${line}: '${bag.name}' stands twice, first on line ${first}; add an initial to one`];
    });
  }

  /** No serial number twice, nor for several. @param {Row[]} rows */
  function thingsTogether(rows) {
    const seen = new Map();
    return rows.flatMap(({ line, bag }) => {
      if (!bag.serial) return [];
      const wrong = /** @type {string[]} */ ([]);
      if ((bag.count ?? 1) > 1) {
        wrong.push(`${line}: several instruments cannot share one serial number; give each a row`);
      }
      const key = `${bag.instrument} ${bag.serial}`;
      const first = seen.get(key);
      if (first === undefined) seen.set(key, line);
      else wrong.push(`${line}: the serial number '${bag.serial}' stands twice, first on line ${first}; mend one`);
      return wrong;
    });
  }

  /**
   * As the build warns: words that begin alike, the last spelt out; an address; or a telephone number.
   * @param {string} name
   * @param {SetUpRules} rules
   */
  function fullName(name, rules) {
    const words = name.split(/[\s,._]+/).filter(Boolean);
    const capitals = words.filter((word) => /^\p{Lu}/u.test(word));
    const spelt = capitals.length >= 2 && capitals[capitals.length - 1].length >= 3;
    const low = (/** @type {string} */ word) => word === word.toLowerCase() && word !== word.toUpperCase();
    const small = words.filter((word) => low(word) && word.length >= 3 && !rules.plain_words.includes(word));
    const typed = words.length === 2 && small.length === 2;
    return spelt || typed || name.includes("@") || name.replace(/\D/g, "").length >= 6;
  }

  window.bandSetUp = Object.assign(window.bandSetUp || {}, { check, fullName });
})();
