/** A value as the band's files hold it. */
type Plain = string | number | boolean | null | undefined | Plain[] | { [key: string]: Plain };

/** Keys and values, as a band, a learner or an instrument has them; every one may be missing. */
// biome-ignore lint/suspicious/noExplicitAny: what people wrote, checked by set-up-check.js and by the build
type Bag = { [key: string]: any };

interface SetUpState {
  band: Bag;
  learners: Bag[];
  cupboard: Bag[];
}

/** A field of a row as the loader's model has it (JSON Schema, with `of` for what its names are names of). */
interface RowField {
  type: "string" | "integer" | "number" | "boolean" | "array" | "object";
  of?: "instruments" | "mouthpieces" | "mouth" | "days";
  enum?: string[];
  maxLength?: number;
  minimum?: number;
  maximum?: number;
  exclusiveMinimum?: number;
}

interface RowModel {
  fields: { [name: string]: RowField };
  required: string[];
}

/** What set_up.py sends: see `rules` there. */
interface SetUpRules {
  band: Bag;
  lines: string[];
  instruments: { [id: string]: { name: string; covers: string[]; brass: boolean; readings: string[] } };
  basses: string[];
  groups: [name: string, ids: string[]][];
  usual: number[][];
  rows: { learners: RowModel; instruments: RowModel };
  known: { [name: string]: string };
  names: { mouthpieces: string[]; mouth: string[]; days: string[] };
  outcomes: string[];
  plain_words: string[];
  unseen: [pattern: string, said: string][];
}

/** A row with the line it begins on. */
interface Row {
  line: number;
  bag: Bag;
}

/** Rows as they may be taken over; empty where something is wrong. */
interface Checked {
  bags: Bag[];
  problems: string[];
  warnings: string[];
}

interface SetUp {
  readTable(text: string, columns: { [kind: string]: string[] }): { kind: string; rows: Row[] };
  nearest(word: string, choices: string[]): string;
  check(kind: "learners" | "instruments", rows: Row[], rules: SetUpRules): Checked;
  fullName(name: string, rules: SetUpRules): boolean;
  linesLost(players: Bag[], rules: SetUpRules): string[];
  unbalanced(players: Bag[], rules: SetUpRules): { count: number; odd: string[] } | null;
  files: { [id: string]: { name: string; text(state: SetUpState): string } };
  complaint(id: string, state: SetUpState, rules: SetUpRules): string;
  remark(id: string, state: SetUpState): string;
  take(name: string, bytes: ArrayBuffer, state: SetUpState, rules: SetUpRules): { state: SetUpState; said: string[] };
}

/** Whom the handbook was built for: see `contribute` in set_up.py. */
interface BuiltBand {
  name: string;
  players: { [key: string]: number };
  first: { [id: string]: string };
  names: { [key: string]: string };
  course: { here: Bag; usual: Bag };
  said: Bag;
  usual: Bag;
}

interface PlainYaml {
  read(text: string): { [key: string]: Plain };
  write(map: { [key: string]: Plain }): string;
  lineOf(map: object): number;
}

interface Window {
  bbPlainYaml: PlainYaml;
  bandSetUp: SetUp;
}
