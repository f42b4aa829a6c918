/** What content/search.yml says; data/search.py says what each member means. */
interface SearchWords {
  drop: string[];
  same: string[][];
  alike: string[][];
  kinds: Record<string, string[]>;
  whole: string[];
}

/** A page of the search index, a part of one, or an entry of a list on one; `worth` marks an entry. */
interface SearchDoc {
  location: string;
  title: string;
  text: string;
  tags?: string[];
  worth?: number;
  score?: number;
  terms?: Record<string, boolean>;
}

interface RankedPage {
  phrases: { said: string; words: Set<string>; worth: number }[];
  all: Set<string>;
  text: Set<string>;
  lines: Set<string>[];
  named: boolean;
  worth: number;
}

/** A word of a question: what it may stand for, each with how sure that is, and how much it counts. */
interface Asked {
  meant: Map<string, number>;
  counts: number;
}

/** Pages in the order they answer (search-rank.js). */
interface SearchRanks {
  add(docs: SearchDoc[]): void;
  rank(question: string): { place: string; score: number }[];
  spelled(question: string): string;
}

/** The direct answer (search-answer.js): a line with its address in the handbook. */
interface SearchAnswer {
  who: string;
  asked: string;
  ways: string;
  more: string;
  address: string;
}

/** What the search's scripts share; each adds its own part. */
interface BandSearch extends SearchWords {
  ranks(words: SearchWords): SearchRanks;
  stem(word: string): string;
  apart(one: string, other: string, most: number): number;
  tolerance(word: string): number;
  inTheIndexsWords(asked: string): string;
  answers(question: string, book: LookUpBook, words: SearchWords): SearchAnswer[];
  asksForNotes(question: string): boolean;
  showAnswers(site: string, fetched: (name: string) => Promise<unknown>): void;
}

interface Window {
  bandSearch?: BandSearch;
  Worker: typeof Worker;
}
