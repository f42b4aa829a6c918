/* What a page has to hear, each with a button that plays it in the bar at the page's foot (bar.js), and its notes marked in
   the picture as they sound:
     <div class="bb-player" hidden data-name="A tune" data-music="{...}" data-score="id of what holds the picture"></div>
   A note of the picture sounds alone when it is pressed. With data-slowly it plays at half its speed, and the bar comes
   when it is pressed. The last of the player's scripts. */
(() => {
  "use strict";

  const band = window.bandSound;
  const make = band.make;
  const THUMB = 22; // CSS pixels: half of a 44-pixel target

  /** @param {HTMLElement} root */
  function mount(root) {
    const music = /** @type {Music} */ (JSON.parse(root.dataset.music || ""));
    const score = document.getElementById(root.dataset.score || "");
    const name = root.dataset.name || "";
    const button = make("button", { type: "button", class: "bb-play" });
    const slowly = root.dataset.slowly !== undefined; // in a list, where many ask how it goes
    const does = band.offers(button, name);
    const idle = slowly ? "Slowly" : "Play";
    const player = new band.Player(music);
    const notes = new Notes(score, music);
    const mark = (/** @type {Loop | null} */ loop) => notes.mark(loop);
    const track = { music, name, player, mark, shown: Boolean(score) };
    does(idle);
    root.append(button);
    button.addEventListener("click", () => {
      const bar = band.bar();
      const playing = Boolean(player.run);
      bar.choose(track);
      if (playing) player.stop();
      else if (slowly) bar.pressed(50);
      else bar.play();
    });
    const only = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-bb-only]"));
    for (const one of only) alonePart(one, track, notes);
    button.addEventListener("bb-choose", () => band.bar().choose(track)); // the page says whose part it is
    player.onstart = () => {
      does("Stop");
      window.bandAwake.keep(player);
      notes.begin();
    };
    player.onstop = () => {
      does(idle);
      window.bandAwake.letGo(player);
      band.bar().show();
    };
    player.onnotes = (/** @type {Planned[]} */ events) => notes.follow(events);
    score?.addEventListener("click", (event) => {
      const number = nearest(/** @type {MouseEvent} */ (event), score);
      if (number === null) return;
      band.bar().choose(track);
      const found = music.parts.flatMap((part) => part.notes.filter((note) => note[3]?.includes(number)));
      if (found.length && band.bar().took(track, found[0][0])) return;
      if (!player.run) alone(music, number);
    });
    if (!slowly && !document.querySelector(".bb-bar") && visible(root)) band.bar().choose(track);
  }

  /** A button elsewhere on the page for some parts of the music alone; who presses it reads them there.
   * @param {HTMLElement} button @param {Track} track @param {Notes} notes */
  function alonePart(button, track, notes) {
    const parts = (button.dataset.bbOnly || "").split(" ").map(Number);
    button.hidden = false;
    button.addEventListener("click", () => {
      band.bar().only(track, parts);
      notes.inSight = false;
    });
  }

  /** @param {HTMLElement} root */
  function visible(root) {
    root.hidden = false;
    return root.getClientRects().length > 0;
  }

  /** The notes of a picture. */
  class Notes {
    /** @param {HTMLElement | null} score @param {Music} music */
    constructor(score, music) {
      this.score = score;
      this.music = music;
      /** @type {Map<number, Element[]>} filled when first wanted */
      this.places = new Map();
      /** @type {Element[]} */
      this.lit = [];
      this.inSight = true;
    }

    /** @param {number} number */
    of(number) {
      if (!this.places.size)
        this.score?.querySelectorAll("[data-note]").forEach((note) => {
          const own = Number(/** @type {SVGElement} */ (note).dataset.note);
          this.places.set(own, [...(this.places.get(own) || []), note]);
        });
      return this.places.get(number) || [];
    }

    /** Marks what sounds now, and keeps it in sight.
     * @param {Planned[]} events */
    follow(events) {
      const now = events.flatMap((one) => one.notes.flatMap((number) => this.of(number)));
      for (const note of this.lit) if (!now.includes(note)) note.classList.remove("bb-now");
      const fresh = now.filter((note) => !this.lit.includes(note));
      for (const note of now) note.classList.add("bb-now");
      this.lit = now;
      const shown = fresh.find((note) => note.getClientRects().length);
      if (shown && this.inSight) keepInSight(shown);
    }

    /** From a beginning on the notes are kept in sight, until the reader moves about the page. */
    begin() {
      this.inSight = true;
      const moved = new AbortController();
      for (const kind of ["wheel", "touchmove", "keydown"])
        document.addEventListener(
          kind,
          () => {
            this.inSight = false;
            moved.abort();
          },
          { signal: moved.signal, passive: true },
        );
    }

    /** Marks the notes between two times, or none.
     * @param {Loop | null} loop */
    mark(loop) {
      for (const note of this.score?.querySelectorAll(".bb-again") || []) note.classList.remove("bb-again");
      if (!loop) return;
      const inside = this.music.parts.flatMap((part) => part.notes).filter(([at]) => at >= loop.from && at < loop.to);
      for (const [, , , numbers] of inside)
        for (const number of numbers || []) for (const note of this.of(number)) note.classList.add("bb-again");
    }
  }

  /** @param {Element} note */
  function keepInSight(note) {
    const box = note.getBoundingClientRect();
    const foot = document.querySelector(".bb-bar")?.getBoundingClientRect().top ?? window.innerHeight;
    const head = document.querySelector(".md-header")?.getBoundingClientRect().bottom ?? 0;
    if (box.top >= head + 8 && box.bottom <= foot - 8) return;
    const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
    const middle = (head + foot) / 2;
    window.scrollBy({ top: (box.top + box.bottom) / 2 - middle, behavior: still ? "auto" : "smooth" });
  }

  /** Number of the note a thumb means: the nearest whose box is within half a thumb of the place.
   * @param {MouseEvent} event @param {HTMLElement} score */
  function nearest(event, score) {
    let best = null;
    let least = THUMB;
    for (const note of /** @type {NodeListOf<SVGElement>} */ (score.querySelectorAll("[data-note]"))) {
      const box = note.getBoundingClientRect();
      const across = Math.max(box.left - event.clientX, event.clientX - box.right, 0);
      const along = Math.max(box.top - event.clientY, event.clientY - box.bottom, 0);
      const far = Math.hypot(across, along);
      if (far < least) {
        best = Number(note.dataset.note);
        least = far;
      }
    }
    return best;
  }

  /** @param {Music} music @param {number} number */
  function alone(music, number) {
    for (const part of music.parts) {
      const found = part.notes.find((note) => note[3]?.includes(number));
      const ctx = found && band.context();
      if (!ctx) continue;
      const event = { sound: found[2], seconds: 1, tone: part.tone };
      band.sounded(ctx, ctx.destination, event, ctx.currentTime + 0.02, music.a4);
      return;
    }
  }

  band.everywhere(".bb-player[data-music]", mount);
})();
