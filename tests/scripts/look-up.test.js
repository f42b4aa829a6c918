// The look-up's book and addresses over tables made by hand: a B flat reader of five notes, and a bar to strike.
const assert = require("node:assert/strict");
const test = require("node:test");
const path = require("node:path");

const FOLDER = path.join(__dirname, "../../hooks/beginnerband/pages/look_up");

/** @param {string} name
 * @param {number} midi */
const pitch = (name, midi) => {
  const [, letter, octave] = /^(\D+)(\d)$/.exec(name) || [];
  const alter = { b: -1, "#": 1 }[letter[1]] || 0;
  const shown = letter.replace("b", "♭").replace("#", "♯");
  return [name, shown, Number(octave), name, midi, alter, 0, alter < 0 ? 0 : 1, { treble: 0, bass: 0 }];
};

const TABLES = {
  pitches: [pitch("Bb3", 58), pitch("C4", 60), pitch("C#4", 61), pitch("Db4", 61), pitch("Bb4", 70), pitch("C5", 72)],
  fewest: -1,
  octaves: ["an octave lower", "in unison", "an octave higher"],
  levels: ["", "beyond the first", "beyond the second"],
  tuneFrom: 0,
  tune: [["In tune", "0 cents"]],
  hands: [
    {
      width: 96,
      valves: 3,
      ways: [
        ["0", "none"],
        ["1-2-3", "all"],
      ],
    },
    { width: 0, ways: [] },
  ],
  charts: [
    [
      [[0, 0, 0]],
      [
        [1, 0, 0],
        [0, 0, 3],
      ],
    ],
    [],
  ],
  players: [
    {
      id: "horn",
      reading: "one",
      hand: 0,
      inBand: 1,
      sounds: [0, 4],
      home: [1, 0],
      first: 1,
      notes: [
        [0, 0, 0],
        [1, 0, 1, 0],
        [1, 0, 1, 0],
        [3, 1, 0],
        [4, 2, 0],
      ],
      joins: [1, 2, -1, -1, 5, -1],
    },
    {
      id: "bars",
      reading: "two",
      hand: 1,
      inBand: 0,
      sounds: [1, 1],
      home: [1, 1],
      first: 1,
      notes: [[1, 0, -1]],
      joins: [-1, 1, -1, -1, -1, 1],
    },
  ],
  texts: ["pull the slide"],
};

global.window = /** @type {any} */ ({ bandLookUp: { tables: TABLES } });
require(path.join(FOLDER, "look-up-book.js"));
require(path.join(FOLDER, "look-up-choice.js"));
const lookUp = /** @type {any} */ (global.window).bandLookUp;
const book = lookUp.openBook(TABLES);
const [horn, bars] = book.players;

test("an answer has the concert note, the way to teach and what to do; a bar has no way", () => {
  const found = book.answer(horn, book.pitch("C♯4"));
  assert.deepEqual([found.concert.name, found.way.code, found.advice], ["C4", "1-2-3", ["pull the slide"]]);
  assert.deepEqual(found.alternates, []);
  assert.equal(book.answer(bars, book.pitch("C4")).way, undefined);
});

test("a fingering's notes are named once, as every day, with those out of tune", () => {
  const notes = book.byHand(horn, "0").map((/** @type {any} */ one) => [one.answer.written.name, one.way.use]);
  assert.deepEqual(notes, [
    ["C4", 0],
    ["C#4", 3],
    ["C5", 0],
  ]);
});

test("whoever has no such sound joins in the octave they have, and that is said", () => {
  assert.equal(book.joins(bars, book.pitch("C5")).where, "an octave lower");
  assert.equal(book.joins(horn, book.pitch("C#4")), undefined);
});

test("for another player a note stays, or goes to the octave that is taught first", () => {
  assert.equal(book.nearby(horn, "written", book.pitch("C5")).name, "C4"); // C5 is beyond the second level
  assert.equal(book.nearby(bars, "written", book.pitch("Bb3")).name, "C4"); // no B flat at all: the note to begin with
});

test("an address is the choice, and the choice its address", () => {
  for (const address of ["horn/one/C%234", "horn/one/concert/Bb3", "horn/one/hand/1-2-3"])
    assert.equal(lookUp.address(lookUp.read(book, address)), address);
});

test("what an address leaves out or gets wrong is completed; another place's address is none of ours", () => {
  assert.equal(lookUp.address(lookUp.read(book, "horn")), "horn/one/C4");
  assert.equal(lookUp.address(lookUp.read(book, "horn/one/H9")), "horn/one/C4");
  assert.equal(lookUp.read(book, "horn/one/hand/9-9").code, "0");
  assert.equal(lookUp.read(book, "bars/two/hand/0").from, "written"); // there is nothing to press
  assert.equal(lookUp.read(book, "search"), undefined);
  assert.equal(lookUp.read(book, "%"), undefined);
});
