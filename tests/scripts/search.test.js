// Which pages answer a question, and the direct answer, over a small index and tables made by hand.
const assert = require("node:assert/strict");
const test = require("node:test");
const path = require("node:path");

const PAGES = path.join(__dirname, "../../hooks/beginnerband/pages");
const said = {
  drop: ["a", "is", "the", "my", "what", "how", "to"],
  same: [["alto horn", "tenor horn"]],
  alike: [["child", "kid"]],
  akin: [["lamp", "light"]],
  kinds: { instrument: ["cornet", "tuba"] },
  whole: ["tuning"],
};

global.window = /** @type {any} */ ({ bandSearch: { ...said } });
require(path.join(PAGES, "shared/search/search-words.js"));
require(path.join(PAGES, "shared/search/search-rank.js"));
require(path.join(PAGES, "shared/search/search-answer.js"));
const search = /** @type {any} */ (global.window).bandSearch;

const ranks = search.ranks(said);
ranks.add([
  { location: "stuck.html", title: "Stuck valve or mouthpiece", text: "<p>Patience.</p>" },
  { location: "tuning.html", title: "Tuning", text: "<p>With a tone.</p>" },
  { location: "tunes.html", title: "Tunes", text: "<p>Every tune of the band.</p>" },
  { location: "tenor.html", title: "E♭ tenor horn", text: "", tags: ["tenor horn"] },
  { location: "lift.html", title: "Lifting", text: "", tags: ["lifting instrument", "heavy child"] },
  { location: "words.html#slur", title: "slur", text: "<p>Without a tongue.</p>", worth: 0.75 },
  { location: "slurs.html", title: "Slurs", text: "" },
]);
/** @param {string} question */
const first = (question) => ranks.rank(question)[0]?.place;

test("plurals, slips of the pen and words not typed to the end find the page", () => {
  assert.equal(first("stuck mouthpieces"), "stuck.html");
  assert.equal(first("mouthpeice is stuk"), "stuck.html");
  assert.equal(first("mouthp"), "stuck.html");
});

test("a word kept whole is no form of a shorter one", () => {
  assert.equal(first("tuning"), "tuning.html");
  assert.equal(first("a tune"), "tunes.html");
});

test("a thing is found by its other name, an everyday word by its fellows, a kind by each of its things", () => {
  assert.equal(first("alto horn"), "tenor.html");
  assert.equal(first("heavy kid"), "lift.html");
  assert.equal(first("lifting a tuba"), "lift.html");
});

test("an entry comes behind the page that says what to do, before it where its meaning is asked", () => {
  assert.equal(first("slur"), "slurs.html");
  assert.equal(first("what is a slur"), "words.html#slur");
});

test("two words run together are two, and a number is one however it is written", () => {
  assert.equal(first("heavychild"), "lift.html");
  assert.equal(search.numbered("What do we do in week three?"), "What do we do in lesson 3?");
  assert.equal(search.numbered("what comes in the Third week"), "what comes in the lesson 3");
  assert.equal(search.numbered("the 10th lesson"), "the lesson 10");
  assert.deepEqual(search.words("my 3rd valve won't, four times"), ["my", "third", "valve", "wont", "4", "times"]);
});

test("a word of the same subject finds the page less surely than the word itself", () => {
  const lamps = search.ranks(said);
  lamps.add([
    { location: "room.html", title: "Light", text: "" },
    { location: "shop.html", title: "Lamp", text: "" },
  ]);
  assert.deepEqual(
    lamps.rank("lamp").map((/** @type {any} */ one) => one.place),
    ["shop.html", "room.html"],
  );
});

test("a page that has all the words in its text comes before one that has some, and the part is told", () => {
  const told = search.ranks(said);
  told.add([
    { location: "a.html", title: "A page", text: "<p>Pain and more.</p>" },
    { location: "b.html", title: "B page", text: "<p>Other.</p>" },
    { location: "b.html#stop", title: "Stop when", text: "<p>Stop at once for chest pain.</p>" },
  ]);
  assert.deepEqual(
    told.rank("chest pain").map((/** @type {any} */ one) => [one.place, one.part]),
    [
      ["b.html", "stop"],
      ["a.html", ""],
    ],
  );
});

test("a lesson asked for by its number is that one, and a longer word finds what it is made of", () => {
  const made = search.ranks(said);
  made.add([
    { location: "course/lesson-03.html", title: "Lesson 3: Walking", text: "" },
    { location: "cards.html", title: "Lesson cards", text: "", tags: ["print a card"] },
    { location: "wash.html", title: "Washing", text: "", tags: ["disinfect"] },
  ]);
  assert.equal(made.rank("lesson 3 card")[0].place, "course/lesson-03.html");
  assert.equal(made.rank("disinfectant")[0].place, "wash.html");
});

test("distance counts a swap of neighbours as one, and short words bear no slip", () => {
  assert.equal(search.apart("mouthpeice", "mouthpiece", 2), 1);
  assert.equal(search.apart("abc", "abcdef", 2), 3);
  assert.deepEqual(["low", "bells", "trombone"].map(search.tolerance), [0, 1, 2]);
});

/** @param {string} name
 * @param {number} index */
const pitch = (name, index) => ({
  index,
  name,
  letter: name.slice(0, -1).replace("b", "♭"),
  octave: Number(name.at(-1)),
});
const pitches = ["A3", "C4", "D4", "Bb4"].map(pitch);
const ways = { C4: "0", D4: "1-3", Bb4: "1" };
const cornet = {
  id: "cornet",
  key: "cornet/one",
  name: "B♭ cornet",
  fullName: "B♭ cornet",
  inBand: 1,
  clef: "treble",
  first: 1,
  notes: [
    [0, 0],
    [0, 0],
    [0, 1],
  ],
  tool: { valves: 3, ways: [["0"], ["1-3"], ["1"]] },
};
/** @param {any} _
 * @param {any} written */
const answer = (_, written) => ({
  written,
  concert: pitches[0],
  way: { code: /** @type {any} */ (ways)[written.name] },
});
const book = {
  players: [cornet],
  names: () => pitches.slice(1),
  answer,
  joins: () => ({ answer: answer(cornet, pitches[2]) }),
  /** @param {any} player
   * @param {string} code */
  byHand: (player, code) =>
    pitches
      .slice(1)
      .filter((one) => /** @type {any} */ (ways)[one.name] === code)
      .map((one) => ({ answer: answer(player, one), way: { use: 0 } })),
};
/** @param {string} question */
const told = (question) =>
  search.answers(question, book, said).map((/** @type {any} */ one) => `${one.asked} ${one.ways}`);

test("a note and an instrument are answered from the tables, however they are written", () => {
  for (const question of ["cornet B flat fingering", "what is Bb on the cornet?", "b♭ cornets B♭"]) {
    assert.deepEqual(told(question), ["B♭ 1"]);
  }
  assert.deepEqual(told("D cornet"), ["D 1-3"]);
  assert.deepEqual(told("D on a cornnet"), ["D 1-3"]);
});

test("a fingering is answered with its notes", () => {
  assert.deepEqual(told("which notes use 1-3"), ["1-3 D4"]);
  assert.deepEqual(told("first and third valve on the cornet"), ["1-3 D4"]);
  assert.deepEqual(told("cornet with no valves"), ["open C4"]);
  for (const question of ["what plays 1 3", "13 fingering", "1st and 3rd valve notes", "valves 1&3"]) {
    assert.deepEqual(told(question), ["1-3 D4"]);
  }
});

test("where neither is asked there is no answer", () => {
  for (const question of [
    "how to hold a cornet",
    "B flat cornet",
    "what key is the cornet in",
    "lesson 12",
    "cornet in D",
    "week 13 notes",
    "D scale cornet",
    "cornet and bass drum D",
    "why is D on the cornet out of tune",
    "only two of us turned up",
    "only three came tonight",
    "tune with only three notes",
  ]) {
    assert.deepEqual(told(question), []);
  }
});
