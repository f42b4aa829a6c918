/* The one bar at the foot of a page that plays what the page has: how fast, counted in or not, round and round between
   two bars, and who is heard. Which music it plays is chosen by the button beside it (player.js). */
(() => {
  "use strict";

  const band = window.bandSound;
  const make = band.make;
  const SPEEDS = [50, 75, 100];

  /** @type {Bar | null} */
  let only = null;

  class Bar {
    constructor() {
      /** @type {Track | null} */
      this.track = null;
      this.speed = 100;
      this.countIn = true;
      /** @type {number[] | null} first and last bar to repeat, as they are tapped */
      this.tapped = null;
      this.root = make("section", { class: "bb-bar", "aria-label": "Player" });
      this.name = make("span", { class: "bb-bar-name" });
      this.says = make("span", { class: "bb-bar-says", role: "status" });
      this.speeds = SPEEDS.map((speed) => {
        const button = make("button", { type: "button", class: "bb-play-at" });
        button.addEventListener("click", () => this.pressed(speed));
        return button;
      });
      this.counts = band.toggle(
        "Count in",
        "",
        /** @param {boolean} on */ (on) => {
          this.countIn = on;
        },
      );
      this.counts.setAttribute("aria-pressed", "true");
      this.repeats = band.toggle("Repeat", "some bars", /** @param {boolean} on */ (on) => this.repeat(on));
      this.lines = make("button", { type: "button", class: "bb-bar-lines", "aria-expanded": "false" }, "Who");
      this.panel = make("div", { class: "bb-bar-panel", hidden: "" });
      this.band = band.toggle("With the band", "", /** @param {boolean} on */ (on) => this.withBand(on));
      this.band.setAttribute("aria-pressed", "true");
      this.band.setAttribute("aria-label", "With the band");
      this.lines.addEventListener("click", () => {
        this.panel.hidden = !this.panel.hidden;
        this.lines.setAttribute("aria-expanded", String(!this.panel.hidden));
      });
      const words = make("p", { class: "bb-bar-words" });
      words.append(this.name, this.says);
      const buttons = make("div", { class: "bb-bar-buttons" });
      buttons.append(...this.speeds, this.counts, this.repeats, this.lines, this.band);
      this.root.append(this.panel, words, buttons);
      document.body.append(this.root);
      document.documentElement.toggleAttribute("data-bb-bar", true); // for a class all of the page is styled again
      this.hint = "";
      this.dark = "";
      window.bandAwake.said((said) => {
        this.dark = said;
        this.tell(this.hint);
      });
    }

    /** Takes up `track`; it plays when it is told to.
     * @param {Track} track */
    choose(track) {
      if (this.track === track) return;
      if (this.track?.player.run) this.track.player.stop();
      this.track?.mark(null);
      this.track = track;
      if (this.tapped?.length) {
        this.tapped = null; // they were another piece's bars
        this.repeats.setAttribute("aria-pressed", "false");
        this.tell("");
      }
      this.name.textContent = track.name;
      this.repeats.hidden = !track.shown;
      const own = track.music.parts.some((part) => part.own);
      const many = track.music.parts.length > 1;
      this.panel.replaceChildren(...(many && !own ? [lines(track)] : []));
      this.lines.hidden = own || !many;
      this.band.hidden = !own || !many;
      if (own) this.withBand(this.band.getAttribute("aria-pressed") === "true");
      if (this.lines.hidden) this.panel.hidden = true;
      this.show();
    }

    /** @param {number} speed */
    pressed(speed) {
      const playing = Boolean(this.track?.player.run);
      if (!this.track || (playing && speed === this.speed)) {
        this.track?.player.stop();
        return;
      }
      this.speed = speed;
      this.play();
    }

    /** Plays what is chosen, from its beginning or that of the bars to repeat; on, when only the speed changed. */
    play() {
      const track = this.track;
      if (!track) return;
      const player = track.player;
      player.countIn = this.countIn;
      player.loop = this.tapped?.length === 2 ? this.between() : null;
      if (player.run) player.setSpeed(this.speed / 100);
      else {
        player.speed = this.speed / 100;
        player.play(player.loop ? player.loop.from : 0);
      }
      this.show();
    }

    /** The quarter notes at which the bars to repeat begin and end. */
    between() {
      const { music } = /** @type {Track} */ (this.track);
      const [first, last] = [...(this.tapped || [])].sort((a, b) => a - b);
      const long = music.beat * music.beats;
      const start = (/** @type {number} */ bar) => Math.max(0, music.pickup + (bar - (music.pickup ? 1 : 0)) * long);
      return { from: start(first), to: start(last + 1) };
    }

    /** The reader's own part alone, or with what the others play.
     * @param {boolean} on */
    withBand(on) {
      const { player, music } = /** @type {Track} */ (this.track);
      player.alone = music.parts.map((part) => !on && Boolean(part.own));
      player.refresh();
    }

    /** Some of the parts alone, from the beginning.
     * @param {Track} track @param {number[]} parts */
    only(track, parts) {
      this.choose(track);
      track.player.stop();
      track.player.alone = track.music.parts.map((_part, index) => parts.includes(index));
      this.panel.replaceChildren(lines(track));
      this.play();
    }

    /** @param {boolean} on */
    repeat(on) {
      this.tapped = on ? [] : null;
      this.tell(on ? "Tap a note in the first bar, then one in the last." : "");
      if (!on && this.track) {
        this.track.player.loop = null;
        this.track.mark(null);
      }
    }

    /** A note of the music was tapped: true when it was meant as a bar to repeat.
     * @param {Track} track
     * @param {number} onset quarter notes */
    took(track, onset) {
      if (this.track !== track || !this.tapped || this.tapped.length === 2) return false;
      const { beat, beats, pickup } = track.music;
      const bar = onset < pickup ? 0 : Math.floor((onset - pickup) / (beat * beats) + 1e-6) + (pickup ? 1 : 0);
      this.tapped.push(bar);
      if (this.tapped.length === 2) {
        const loop = this.between();
        track.mark(loop);
        this.tell("Plays these bars again and again; press Repeat to end it.");
        this.play();
      }
      return true;
    }

    /** What to do next, and what becomes of the screen.
     * @param {string} hint */
    tell(hint) {
      this.hint = hint;
      this.says.textContent = [hint, this.dark].filter(Boolean).join(" ");
    }

    show() {
      const playing = Boolean(this.track?.player.run);
      this.speeds.forEach((button, k) => {
        const on = playing && SPEEDS[k] === this.speed;
        button.textContent = on ? "Stop" : `${SPEEDS[k]} %`;
        button.classList.toggle("bb-playing", on);
        button.setAttribute("aria-label", `${on ? "Stop" : "Play"} ${this.track?.name} at ${SPEEDS[k]} %`);
      });
    }
  }

  /** Who is heard, a row a line of the music: its desks together.
   * @param {Track} track */
  function lines(track) {
    const list = make("ul", { class: "bb-mixer" });
    const { player, music } = track;
    /** @type {Map<string, number[]>} */
    const rows = new Map();
    music.parts.forEach((part, index) => {
      const line = part.line || part.name;
      rows.set(line, [...(rows.get(line) || []), index]);
    });
    for (const [line, parts] of rows) {
      const set = (/** @type {boolean[]} */ which) => (/** @type {boolean} */ on) => {
        for (const index of parts) which[index] = on;
        player.refresh();
      };
      const row = make("li");
      const names = [...new Set(parts.map((index) => music.parts[index].name))].filter((name) => name !== line);
      const says = make("span", {}, line);
      if (names.length) says.append(make("small", {}, names.join(", ")));
      const mute = band.toggle("Mute", line, set(player.muted));
      const alone = band.toggle("Alone", line, set(player.alone));
      mute.setAttribute("aria-pressed", String(parts.every((index) => player.muted[index])));
      alone.setAttribute("aria-pressed", String(parts.every((index) => player.alone[index])));
      row.append(says, mute, alone);
      list.append(row);
    }
    return list;
  }

  /** The page's bar, made when it is first wanted. */
  band.bar = () => {
    only ||= new Bar();
    return only;
  };
})();
