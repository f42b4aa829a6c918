/* Reads a table that a spreadsheet saved, by the rules and in the words of the build's own loader (data/roster.py). */
(() => {
  "use strict";

  /** A mistake with its line. */
  class TableError extends Error {
    /** @param {number} line
     * @param {string} text */
    constructor(line, text) {
      super(`${line}: ${text}`);
      this.name = "TableError";
    }
  }

  /** Cells by rows, each with the line it begins on; lines that hold nothing are left out.
   * @param {string} text
   * @param {string} between
   * @returns {{ line: number, cells: string[] }[]} */
  function cellsOf(text, between) {
    const found = [];
    let line = 1;
    let at = 0;

    /** @param {number} start line on which the row begins */
    function quoted(start) {
      let cell = "";
      at += 1;
      while (text[at] !== '"' || text[at + 1] === '"') {
        if (at >= text.length) {
          throw new TableError(start, "broken CSV: a quotation mark opens in this row and is never closed");
        }
        if (text[at] === '"') at += 1;
        if (text[at] === "\n") line += 1;
        cell += text[at];
        at += 1;
      }
      at += 1;
      if (at < text.length && text[at] !== between && text[at] !== "\n") {
        throw new TableError(line, `broken CSV: '${between}' expected after '"'`);
      }
      return cell;
    }

    function plain() {
      const start = at;
      while (at < text.length && text[at] !== between && text[at] !== "\n") at += 1;
      return text.slice(start, at);
    }

    while (at < text.length) {
      const start = line;
      const cells = [];
      for (;;) {
        cells.push((text[at] === '"' ? quoted(start) : plain()).trim());
        if (text[at] !== between) break;
        at += 1;
      }
      at += 1; // the end of the line
      if (cells.some(Boolean)) found.push({ line: start, cells });
      line += 1;
    }
    return found;
  }

  /** Rows below a heading, with which kind of table they are by what its columns are called. Throws every mistake in
   * one text, a line each.
   * @param {string} written
   * @param {{ [kind: string]: string[] }} columns
   * @returns {{ kind: string, rows: Row[] }} */
  function readTable(written, columns) {
    const all = written.replace(/\r\n?/g, "\n");
    const [head] = all.split("\n", 1);
    const said = /^"?sep=([,;\t])"?\s*$/i.exec(head);
    const text = said ? all.slice(head.length) : all;
    const between =
      said?.[1] ?? [",", ";", "\t"].reduce((best, sign) => (count(head, sign) > count(head, best) ? sign : best));
    const [heading, ...others] = cellsOf(text, between);
    if (!heading) throw new TableError(1, "the file is empty");
    const names = heading.cells.map((cell) => cell.toLowerCase().replaceAll(" ", "_"));
    const kinds = Object.keys(columns);
    const kind = kinds.reduce((best, each) =>
      known(names, columns[each]) > known(names, columns[best]) ? each : best,
    );
    const problems = [];
    const none = known(names, columns[kind]) === 0;
    if (none) {
      const first = columns[kind][0];
      problems.push(`${heading.line}: the first line is no heading; write the columns' names there, as ${first} first`);
    }
    for (const [at, name] of none ? [] : names.entries()) {
      if (name && !columns[kind].includes(name)) {
        problems.push(`${heading.line}: unknown column '${name}'${window.bandSetUp.nearest(name, columns[kind])}`);
      } else if (name && names.indexOf(name) < at) {
        problems.push(`${heading.line}: the column '${name}' stands twice; keep one`);
      }
    }
    const rows = [];
    for (const { line, cells } of others) {
      if (cells.slice(names.length).some(Boolean)) {
        const sign = between === "," ? "comma" : "semicolon";
        problems.push(
          `${line}: ${cells.length} cells, but the heading has ${names.length}; put a text with a ${sign} in it between double quotes`,
        );
        continue;
      }
      const filled = names.flatMap((name, at) => (name && cells[at] ? [[name, cells[at]]] : []));
      rows.push({ line, bag: Object.fromEntries(filled) });
    }
    if (problems.length) throw new Error(problems.join("\n"));
    return { kind, rows };
  }

  /** @param {string} text
   * @param {string} sign */
  function count(text, sign) {
    return text.split(sign).length - 1;
  }

  /** @param {string[]} names
   * @param {string[]} columns */
  function known(names, columns) {
    return names.filter((name) => columns.includes(name)).length;
  }

  /** How a message ends: "; did you mean 'cornet'?", or the choices where nothing is near and they are few.
   * @param {string} word
   * @param {string[]} choices */
  function nearest(word, choices) {
    const far = choices.map((choice) => ({ choice, steps: changes(word.toLowerCase(), choice.toLowerCase()) }));
    far.sort((one, other) => one.steps - other.steps);
    const [best] = far;
    if (best && best.steps <= 0.4 * Math.max(word.length, best.choice.length))
      return `; did you mean '${best.choice}'?`;
    return choices.length && choices.length <= 20 ? `; use one of ${[...choices].sort().join(", ")}` : "";
  }

  /** Letters to put in, take out or change (V. I. Levenshtein 1966).
   * @param {string} one
   * @param {string} other */
  function changes(one, other) {
    let row = [...Array(other.length + 1).keys()];
    for (const [down, letter] of [...one].entries()) {
      const next = [down + 1];
      for (let at = 0; at < other.length; at++) {
        next.push(Math.min(row[at + 1] + 1, next[at] + 1, row[at] + (letter === other[at] ? 0 : 1)));
      }
      row = next;
    }
    return row[other.length];
  }

  window.bandSetUp = Object.assign(window.bandSetUp || {}, { readTable, nearest });
})();
