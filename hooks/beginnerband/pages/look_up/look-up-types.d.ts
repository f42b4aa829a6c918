/** The tables as script_tables.py writes them; it says what each member means. */
interface LookUpTables {
  pitches: PitchRow[];
  lowest: number;
  places: [words: string, y: number, head: string][];
  staff: { clefs: Record<Clef, string>; marks: string[]; signs: Record<string, string>; lines: string };
  fewest: number;
  octaves: string[];
  levels: string[];
  tuneFrom: number;
  tune: [words: string, cents: string][];
  valve: string[];
  hands: LookUpHand[];
  charts: [way: number, cents: number, use: number][][][];
  players: PlayerTable[];
  texts: string[];
}

type Clef = "treble" | "bass";

type PitchRow = [
  name: string,
  letter: string,
  octave: number,
  said: string,
  midi: number,
  alter: number,
  hz: number,
  everyday: number,
  places: Record<Clef, number>,
];

interface LookUpHand {
  ways: [code: string, words: string][];
  width: number;
  valves?: number;
  slide?: string[];
  spots?: number[];
}

interface PlayerTable {
  id: string;
  reading: string;
  name: string;
  reads: string;
  fullName: string;
  clef: Clef;
  concertClef: Clef;
  marks: [written: number, concert: number];
  hand: number;
  tone: number | "bar";
  inBand: number;
  sounds: [first: number, last: number];
  home: [written: number, concert: number];
  first: number;
  notes: number[][];
  joins: number[];
}

/** One name of a note. */
interface LookUpPitch {
  index: number;
  name: string;
  letter: string;
  octave: number;
  said: string;
  midi: number;
  alter: number;
  hz: number;
  everyday: boolean;
  places: Record<Clef, number>;
}

/** One way to play a note. */
interface LookUpWay {
  code: string;
  words: string;
  cents: string;
  tune: string;
  use: number;
}

/** The answer for one written note of one player. */
interface LookUpAnswer {
  written: LookUpPitch;
  concert: LookUpPitch;
  beyond: string;
  way: LookUpWay | undefined;
  alternates: LookUpWay[];
  all: LookUpWay[];
  advice: string[];
}

interface LookUpPlayer extends PlayerTable {
  key: string;
  tool: LookUpHand;
}

/** What is asked: whose note, from where one starts, and the note or the fingering. */
interface LookUpChoice {
  player: LookUpPlayer;
  from: "written" | "concert" | "hand";
  pitch: LookUpPitch;
  code: string;
  /** The note that was asked for, where this instrument has none. */
  lacks?: string;
}

/** The tables with what can be looked up in them (look-up-book.js). */
interface LookUpBook {
  tables: LookUpTables;
  players: LookUpPlayer[];
  player(key: string | null): LookUpPlayer | undefined;
  pitch(name: string): LookUpPitch | undefined;
  answer(player: LookUpPlayer, written: LookUpPitch): LookUpAnswer;
  answers(player: LookUpPlayer): LookUpAnswer[];
  byHand(player: LookUpPlayer, code: string): { answer: LookUpAnswer; way: LookUpWay }[];
  joins(player: LookUpPlayer, concert: LookUpPitch): { answer: LookUpAnswer; octaves: number; where: string } | undefined;
  names(player: LookUpPlayer, from: string): LookUpPitch[];
  nearby(player: LookUpPlayer, from: string, pitch: LookUpPitch | undefined): LookUpPitch;
  written(choice: LookUpChoice): LookUpPitch;
}

/** What this phone keeps (look-up-memory.js). */
interface LookUpMemory {
  choice(): string | null;
  keepChoice(address: string): void;
  shown(): LookUpPlayer[];
  keepShown(keys: string[]): void;
  forgetShown(): void;
}

/** Drawings (look-up-pictures.js); every one is HTML. */
interface LookUpPictures {
  staff(player: LookUpPlayer, pitch: LookUpPitch): string;
  fingers(player: LookUpPlayer, way: { code: string; words: string }): string;
  valve(number: number, down: boolean): string;
  strip(player: LookUpPlayer, from: string, pitches: LookUpPitch[]): LookUpStrip;
}

/** Pictures of one height, side by side: a clef, and a column for each place on the staff. */
interface LookUpStrip {
  clef: string;
  empty: string;
  columns: { flat?: LookUpPitch; natural?: LookUpPitch; sharp?: LookUpPitch; picture: string }[];
}

/** What the look-up's scripts share; each adds its own part. */
interface BandLookUp {
  tables: LookUpTables;
  openBook(tables: LookUpTables): LookUpBook;
  address(choice: LookUpChoice): string;
  read(book: LookUpBook, address: string | null, before?: LookUpChoice): LookUpChoice | undefined;
  unknown(book: LookUpBook, address: string | null, isAnchor: (name: string) => boolean): boolean;
  memory(book: LookUpBook): LookUpMemory;
  pictures(tables: LookUpTables): LookUpPictures;
  words(
    book: LookUpBook,
    pictures: LookUpPictures,
    memory: LookUpMemory,
    canPlay: boolean,
  ): {
    first(choice: LookUpChoice): string;
    rest(choice: LookUpChoice): string;
    said(choice: LookUpChoice): string;
    listed(player: LookUpPlayer): string;
  };
  tray(book: LookUpBook, pictures: LookUpPictures): (choice: LookUpChoice) => string;
  name(pitch: LookUpPitch): string;
  parsed(html: string): DocumentFragment;
  patch(live: Node, wanted: Node): void;
  input(type: string, field: string, value: string | number, checked: boolean, label: string): string;
}

interface Window {
  bandLookUp?: BandLookUp;
}
