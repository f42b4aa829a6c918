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
}

/** A page as the ranking knows it; words are stems, `lines` are those of its text, and `named` is whether somebody named
 * words that it is looked for by. */
interface RankedPage {
  place: string;
  names: Set<string>;
  lines: { words: Set<string>; part: string; line: string }[];
  postings: Map<string, SearchPosting>;
  length: number;
  named: boolean;
  worth: number;
}

/** A word on a page: how often, and whether (1) among its names and in its title. */
interface SearchPosting {
  page: RankedPage;
  short: string;
  times: number;
  named: 0 | 1;
  titled: 0 | 1;
}

/** What a page is called, or looked for by: as said, its words, and what they weigh (0 before it was asked). */
interface SearchName {
  page: RankedPage;
  said: string;
  words: Set<string>;
  worth: number;
  heavy: number;
}

/** A question: for each word what it may stand for with what each is worth, how much it counts, and the most it can be
 * worth; and what all of them together are worth. */
interface Asked {
  words: { meant: { short: string; worth: number }[]; counts: number; most: number }[];
  whole: number;
}

/** What words may stand for (search-words.js). */
interface SearchMeanings {
  (word: string, last: boolean): Map<string, number>;
  forget(): void;
}

/** A page found, the line of it that says most of what is asked, and the anchor of the part where that stands. */
interface Ranked {
  place: string;
  part: string;
  line: string;
  score: number;
}

/** Pages in the order they answer (search-rank.js). */
interface SearchRanks {
  add(docs: SearchDoc[]): void;
  rank(question: string): Ranked[];
  marked(line: string, question: string): string;
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
  meanings(said: SearchWords, on: Map<string, SearchPosting[]>, written: Map<string, string>): SearchMeanings;
  WORD: RegExp;
  apart(one: string, other: string, most: number): number;
  tolerance(word: string): number;
  answers(question: string, book: LookUpBook, words: SearchWords): SearchAnswer[];
  asksForNotes(question: string): boolean;
  showsAnswers(
    site: string,
    fetched: (name: string) => Promise<unknown>,
  ): (question: string, wanted: () => boolean) => Promise<void>;
  showsPages(
    site: string,
    docs: SearchDoc[],
    ranks: SearchRanks,
  ): (question: string, found: Ranked[], wanted: () => boolean) => Promise<void>;
}

interface Window {
  bandSearch?: BandSearch;
  Worker: typeof Worker;
}
