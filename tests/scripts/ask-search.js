// Asks the search of a built site without a browser: reads {site, questions} from standard input and writes, for each
// question, the addresses found, best first, and the direct answers.
const fs = require("node:fs");
const path = require("node:path");
const vm = require("node:vm");

const PAGES = path.join(__dirname, "../../hooks/beginnerband/pages");
const PARTS = ["search-words", "search-rank", "search-answer"];

const { site, questions } = JSON.parse(fs.readFileSync(0, "utf-8"));
const page = vm.createContext({});
/** @param {...string} names */
const read = (...names) => fs.readFileSync(path.join(...names), "utf-8");

vm.runInContext("var window = globalThis;", page);
const scripts = [
  read(site, "assets/search.js").split(";\n")[0], // what content/search.yml says
  ...PARTS.map((part) => read(PAGES, "shared/search", `${part}.js`)),
  read(site, "assets/look-up-data.js"),
  read(PAGES, "look_up/look-up-book.js"),
];
for (const script of scripts) vm.runInContext(script, page);

const search = page.bandSearch;
const book = page.bandLookUp.openBook(page.bandLookUp.tables);
const ranks = search.ranks(search);
ranks.add(JSON.parse(read(site, "search/search_index.json")).docs);

/** @param {any} answer as the page shows it, without its marks */
const said = ({ who, asked, ways, more }) =>
  `${who}${asked && `, ${asked}`}: ${ways}${more}`.replace(/<[^>]*>/g, "").replace(/&nbsp;/g, "\u00a0");

const found = questions.map((/** @type {string} */ question) => {
  const answers = search.asksForNotes(question) ? search.answers(question, book, search) : [];
  return {
    places: ranks.rank(question).map((/** @type {any} */ one) => one.place),
    answers: answers.map((/** @type {any} */ one) => one.address),
    said: answers.map(said),
  };
});
process.stdout.write(JSON.stringify(found));
