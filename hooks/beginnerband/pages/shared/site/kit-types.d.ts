interface BandKit {
  make<Tag extends keyof HTMLElementTagNameMap>(
    tag: Tag,
    attributes?: Record<string, string>,
    text?: string,
  ): HTMLElementTagNameMap[Tag];
  /** Fetches a script from an address: settled once it has run, refused where it cannot be had. */
  fetched(address: string): Promise<void>;
  /** The text kept under a key; null where there is none, or the browser lets nothing be kept. */
  kept(key: string): string | null;
  /** Keeps a text as long as the browser lets it: else it lasts as long as the page. */
  keep(key: string, text: string): void;
  forget(key: string): void;
}

interface Window {
  bandKit: BandKit;
}
