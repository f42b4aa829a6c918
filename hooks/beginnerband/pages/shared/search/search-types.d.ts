interface Window {
  /** Words left out of a question (content/search.yml). */
  bandSearchDrop?: string[];
  Worker: typeof Worker;
}
