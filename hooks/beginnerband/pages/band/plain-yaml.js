/* Writes and reads the part of YAML that the band's files use. What it does not understand it refuses, with the line. */
(() => {
  "use strict";

  /** @typedef {Plain[]} PlainList */
  /** @typedef {{ [key: string]: Plain }} PlainMap */

  /** @type {WeakMap<object, number>} */
  const begins = new WeakMap();

  class PlainError extends Error {
    /**
     * @param {number} line
     * @param {string} text
     */
    constructor(line, text) {
      super(`line ${line}: ${text}`);
      this.name = "PlainError";
    }
  }

  /* Reading */

  /**
   * The lines that hold something, with their indent and number.
   * @param {string} text
   */
  function linesOf(text) {
    const found = [];
    const raw = text.replace(/^\ufeff/, "").split(/\r\n|\n|\r/);
    for (let at = 0; at < raw.length; at++) {
      const line = at + 1;
      let content = withoutComment(raw[at]);
      while (open(content) > 0 && at + 1 < raw.length) {
        at += 1;
        content += ` ${withoutComment(raw[at]).trim()}`;
      }
      if (/^\s*\t/.test(content)) throw new PlainError(line, "a tab at the beginning; use spaces");
      if (content.trim() && content.trim() !== "---") {
        found.push({ line, indent: content.search(/\S/), text: content.trim() });
      }
    }
    return found;
  }

  /** @param {string} text */
  function withoutComment(text) {
    let quote = "";
    for (let at = 0; at < text.length; at++) {
      const sign = text[at];
      if (quote) {
        if (sign === "\\" && quote === '"') at += 1;
        else if (sign === quote) quote = "";
      } else if ((sign === '"' || sign === "'") && /^$|[\s:[{,-]/.test(at ? text[at - 1] : "")) quote = sign;
      else if (sign === "#" && (at === 0 || /\s/.test(text[at - 1]))) return text.slice(0, at).trimEnd();
    }
    return text.trimEnd();
  }

  /**
   * How many brackets are left open outside quotes.
   * @param {string} text
   */
  function open(text) {
    let quote = "";
    let depth = 0;
    for (let at = 0; at < text.length; at++) {
      const sign = text[at];
      if (quote) {
        if (sign === "\\" && quote === '"') at += 1;
        else if (sign === quote) quote = "";
      } else if ((sign === '"' || sign === "'") && /^$|[\s:[{,-]/.test(at ? text[at - 1] : "")) quote = sign;
      else if (sign === "{" || sign === "[") depth += 1;
      else if (sign === "}" || sign === "]") depth -= 1;
    }
    return depth;
  }

  /**
   * @param {string} text
   * @returns {PlainMap}
   */
  function read(text) {
    const lines = linesOf(text);
    let at = 0;

    /**
     * @param {number} indent
     * @returns {Plain}
     */
    function block(indent) {
      return /^-( |$)/.test(lines[at].text) ? list(indent) : map(indent);
    }

    /** @param {number} indent */
    function list(indent) {
      const found = /** @type {PlainList} */ ([]);
      while (at < lines.length && lines[at].indent === indent && /^-( |$)/.test(lines[at].text)) {
        const here = lines[at];
        const rest = here.text.slice(1).trimStart();
        if (!rest) {
          at += 1;
          found.push(at < lines.length && lines[at].indent > indent ? block(lines[at].indent) : null);
        } else if (keyOf(rest) && !/^[{["']/.test(rest)) {
          here.indent += here.text.length - rest.length;
          here.text = rest;
          found.push(map(here.indent));
        } else {
          at += 1;
          found.push(value(rest, here.line));
        }
      }
      return found;
    }

    /** @param {number} indent */
    function map(indent) {
      const found = /** @type {PlainMap} */ ({});
      begins.set(found, lines[at].line);
      while (at < lines.length && lines[at].indent === indent && !/^-( |$)/.test(lines[at].text)) {
        const { line, text: content } = lines[at];
        const parts = keyOf(content);
        if (!parts) throw new PlainError(line, `"${content.slice(0, 40)}" is no "key: value"`);
        const [key, rest] = parts;
        if (Object.hasOwn(found, key)) throw new PlainError(line, `"${key}" stands twice`);
        at += 1;
        const next = lines[at];
        const deeper = next && (next.indent > indent || (next.indent === indent && /^-( |$)/.test(next.text)));
        if (!rest && deeper) found[key] = block(next.indent);
        else found[key] = value(rest, line);
      }
      if (at < lines.length && lines[at].indent > indent) {
        throw new PlainError(lines[at].line, "this line stands further in than the one above it");
      }
      return found;
    }

    if (!lines.length) throw new PlainError(1, "the file is empty");
    const found = block(lines[0].indent);
    if (at < lines.length) throw new PlainError(lines[at].line, "this line does not fit the ones above it");
    if (found === null || typeof found !== "object" || Array.isArray(found)) {
      throw new PlainError(1, "this is no list of keys and values");
    }
    return found;
  }

  /**
   * Key and the rest of "key: rest".
   * @param {string} text
   * @returns {[string, string] | null}
   */
  function keyOf(text) {
    const quoted = text.match(/^("(?:[^"\\]|\\.)*"|'(?:[^']|'')*')\s*:(?:\s+(.*))?$/);
    if (quoted) return [String(scalar(quoted[1], 0)), quoted[2] || ""];
    const plain = text.match(/^([^\s{}[\],"'#&*!|>%@`-][^:#]*?|[^:#\s][^:#]*?)\s*:(?:\s+(.*))?$/);
    return plain ? [plain[1], plain[2] || ""] : null;
  }

  /**
   * @param {string} text
   * @param {number} line
   * @returns {Plain}
   */
  function value(text, line) {
    if (/^[|>]/.test(text))
      throw new PlainError(line, "texts over several lines are not read here; write it on one line");
    if (/^[&*!]/.test(text)) throw new PlainError(line, `"${text.slice(0, 20)}" is not read here`);
    if (!/^[[{]/.test(text)) return scalar(text, line);
    let at = 0;

    /** @returns {Plain} */
    function flow() {
      space();
      if (text[at] === "[") return series();
      if (text[at] === "{") return pairs();
      return scalar(word(/[,\]}]/), line);
    }

    function space() {
      while (text[at] === " ") at += 1;
    }

    /** @param {RegExp} ends */
    function word(ends) {
      const start = at;
      const quote = text[at];
      if (quote === '"' || quote === "'") {
        at += 1;
        while (at < text.length && text[at] !== quote) at += text[at] === "\\" && quote === '"' ? 2 : 1;
        while (quote === "'" && text[at + 1] === "'") {
          at += 2;
          while (at < text.length && text[at] !== quote) at += 1;
        }
        at += 1;
      } else {
        while (at < text.length && !ends.test(text[at])) at += 1;
      }
      return text.slice(start, at).trim();
    }

    function series() {
      const found = /** @type {PlainList} */ ([]);
      at += 1;
      space();
      while (text[at] !== "]") {
        found.push(flow());
        comma("]");
      }
      at += 1;
      return found;
    }

    function pairs() {
      const found = /** @type {PlainMap} */ ({});
      begins.set(found, line);
      at += 1;
      space();
      while (text[at] !== "}") {
        const key = String(scalar(word(/[:,}]/), line));
        space();
        if (text[at] !== ":") throw new PlainError(line, `":" is missing after "${key}"`);
        at += 1;
        space();
        found[key] = text[at] === "," || text[at] === "}" ? null : flow();
        comma("}");
      }
      at += 1;
      return found;
    }

    /** @param {string} end */
    function comma(end) {
      space();
      if (text[at] === ",") {
        at += 1;
        space();
      } else if (text[at] !== end) throw new PlainError(line, `"${end}" is missing`);
    }

    const found = flow();
    if (text.slice(at).trim())
      throw new PlainError(line, `"${text.slice(at).trim().slice(0, 20)}" does not belong here`);
    return found;
  }

  /**
   * @param {string} text
   * @param {number} line
   */
  function scalar(text, line) {
    if (/^"/.test(text)) {
      try {
        return /** @type {string} */ (JSON.parse(text));
      } catch {
        throw new PlainError(line, `${text.slice(0, 30)} is no text between quotes`);
      }
    }
    if (/^'/.test(text)) {
      if (!/^'(?:[^']|'')*'$/.test(text)) throw new PlainError(line, `${text.slice(0, 30)} is no text between quotes`);
      return text.slice(1, -1).replace(/''/g, "'");
    }
    if (text === "" || text === "~" || /^null$/i.test(text)) return null;
    if (/^(true|yes|on)$/i.test(text)) return true;
    if (/^(false|no|off)$/i.test(text)) return false;
    if (/^[-+]?(\d+(\.\d*)?|\.\d+)$/.test(text) && !/^0\d/.test(text)) return Number(text);
    return text;
  }

  /* Writing */

  /**
   * A scalar that YAML 1.1 reads back as what it was: a text that could be taken for something else gets quotes.
   * @param {Plain} one
   */
  function written(one) {
    if (typeof one !== "string") return String(one);
    const date = /^\d{4}-\d{2}-\d{2}$/.test(one);
    const safe = /^[\p{L}][\p{L}\p{N} _.()-]*$/u.test(one) && !/^(true|false|yes|no|on|off|null|y|n)$/i.test(one);
    return date || (safe && one === one.trim()) ? one : JSON.stringify(one);
  }

  /**
   * @param {Plain} one
   * @returns {string}
   */
  function flowed(one) {
    if (Array.isArray(one)) return `[${one.map(flowed).join(", ")}]`;
    if (one && typeof one === "object") {
      return `{${Object.entries(one)
        .map(([key, inner]) => `${written(key)}: ${flowed(inner)}`)
        .join(", ")}}`;
    }
    return written(one);
  }

  /**
   * Keys below each other; below a key, lists of maps a line each, and maps further in.
   * @param {PlainMap} map
   * @param {string} [indent]
   * @returns {string}
   */
  function write(map, indent = "") {
    let text = "";
    for (const [key, one] of Object.entries(map)) {
      if (Array.isArray(one) && one.some((inner) => inner && typeof inner === "object")) {
        text += `${indent}${written(key)}:\n`;
        for (const inner of one) text += `${indent}  - ${flowed(inner)}\n`;
      } else if (one && typeof one === "object" && !Array.isArray(one) && Object.keys(one).length) {
        text += `${indent}${written(key)}:\n${write(one, `${indent}  `)}`;
      } else {
        text += `${indent}${written(key)}: ${flowed(one)}\n`;
      }
    }
    return text;
  }

  /** The line on which a map that was read begins; 1 for any other.
   * @param {object} map */
  const lineOf = (map) => begins.get(map) ?? 1;

  window.bbPlainYaml = { read, write, lineOf };
})();
