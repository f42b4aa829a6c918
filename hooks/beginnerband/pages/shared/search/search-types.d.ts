/** What content/search.yml says; data/search.py says what each member means. */
interface SearchWords {
  drop: string[];
  same: string[][];
  alike: string[][];
  akin: string[][];
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

/** A page as the ranking knows it: words are stems, `lines` are those of its text, `times` how often each word stands on it. */
interface RankedPage {
  place: string;
  phrases: { said: string; words: Set<string>; worth: number }[];
  names: Set<string>;
  title: Set<string>;
  lines: { words: Set<string>; part: string }[];
  times: Map<string, number>;
  length: number;
  named: boolean;
  worth: number;
}

/** A question: for each word what it may stand for with what each is worth, how much it counts, and the most it can be
 * worth; and what all of them together are worth. */
interface Asked {
  words: { meant: { short: string; worth: number }[]; counts: number; most: number }[];
  whole: number;
}

/** What words may stand for (search-words.js). */
interface SearchMeanings {
  meant(word: string, last: boolean): Map<string, number>;
}

/** A page found, and the anchor of the part of it that says most of what is asked. */
interface Ranked {
  place: string;
  part: string;
  score: number;
}

/** Pages in the order they answer (search-rank.js). */
interface SearchRanks {
  add(docs: SearchDoc[]): void;
  rank(question: string): Ranked[];
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
  words(text: string): string[];
  stem(word: string): string;
  numbered(question: string): string;
  meanings(said: SearchWords, on: Map<string, Set<string>>, written: Map<string, string>): SearchMeanings;
  WORD: RegExp;
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
