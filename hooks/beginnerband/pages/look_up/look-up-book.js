/* The look-up's tables as a book to look things up in (script_tables.py writes them, look-up-types.d.ts has their types).
   It computes no music: it goes from one table to the next. No page is needed here, so it is tested by itself. */
(() => {
  "use strict";

  const lookUp = window.bandLookUp;
  if (!lookUp) return;

  const TEACH = 0;
  const HELPS = 1;

  /** @param {LookUpTables} tables
   * @returns {LookUpBook} */
  function openBook(tables) {
    const pitches = tables.pitches.map(([name, letter, octave, said, midi, alter, hz, everyday, places], index) => ({
      ...{ index, name, letter, octave, said, midi, alter, hz, everyday: everyday === 1, places },
    }));
    const byName = new Map(pitches.map((pitch) => [pitch.name, pitch]));
    const players = tables.players.map((table) => ({
      ...table,
      key: `${table.id}/${table.reading}`,
      tool: tables.hands[table.hand],
    }));

    /** @param {LookUpPlayer} player
     * @param {LookUpPitch} written
     * @returns {LookUpAnswer} */
    function answer(player, written) {
      const [concert, level, chart, ...advice] = player.notes[written.index - player.first];
      const all = chart < 0 ? [] : tables.charts[player.hand][chart].map((row) => way(player, row));
      return {
        written,
        concert: pitches[concert],
        beyond: tables.levels[level],
        way: all.find((one) => one.use === TEACH),
        alternates: all.filter((one) => one.use === HELPS),
        all,
        advice: advice.map((text) => tables.texts[text]),
      };
    }

    /** @param {LookUpPlayer} player
     * @param {[number, number, number]} row
     * @returns {LookUpWay} */
    function way(player, [number, size, use]) {
      const [code, words] = player.tool.ways[number];
      const [tune, cents] = tables.tune[size - tables.tuneFrom];
      return { code, words, tune, cents, use };
    }

    /** Every answer of a player, lowest first.
     * @param {LookUpPlayer} player */
    const answers = (player) => player.notes.map((_, place) => answer(player, pitches[player.first + place]));

    /** Every note that one fingering or position can sound, under its everyday name.
     * @param {LookUpPlayer} player
     * @param {string} code */
    function byHand(player, code) {
      return answers(player).flatMap((one) => {
        const found = one.written.everyday && one.all.find((each) => each.code === code);
        return found ? [{ answer: one, way: found }] : [];
      });
    }

    /** What a player reads to sound a concert note, or its octave nearest to it.
     * @param {LookUpPlayer} player
     * @param {LookUpPitch} concert */
    function joins(player, concert) {
      const written = player.joins[concert.index];
      if (written < 0) return undefined;
      const found = answer(player, pitches[written]);
      const octaves = Math.round((found.concert.midi - concert.midi) / 12);
      return { answer: found, octaves, where: tables.octaves[octaves - tables.fewest] };
    }

    /** Every note that can be picked, lowest first: written ones, or concert ones.
     * @param {LookUpPlayer} player
     * @param {string} from */
    function names(player, from) {
      if (from === "concert") return pitches.slice(player.sounds[0], player.sounds[1] + 1);
      return pitches.slice(player.first, player.first + player.notes.length);
    }

    /** The note itself where the player has it, else the same letter in the nearest octave that is taught first, else
     * the note to begin with.
     * @param {LookUpPlayer} player
     * @param {string} from
     * @param {LookUpPitch | undefined} pitch */
    function nearby(player, from, pitch) {
      const concert = from === "concert";
      if (!pitch) return pitches[player.home[concert ? 1 : 0]];
      const alike = names(player, from).filter((one) => one.letter === pitch.letter);
      const known = alike.filter((one) => !lateFor(player, concert ? pitches[player.joins[one.index]] : one));
      const near = [...(known[0] ? known : alike)].sort((one, other) => apart(one, pitch) - apart(other, pitch))[0];
      return near || pitches[player.home[concert ? 1 : 0]];
    }

    /** @param {LookUpPlayer} player
     * @param {LookUpPitch} written */
    const lateFor = (player, written) => player.notes[written.index - player.first][1] > 1;

    /** @param {LookUpPitch} one
     * @param {LookUpPitch} other */
    const apart = (one, other) => Math.abs(one.octave - other.octave);

    /** @param {LookUpChoice} choice */
    const written = (choice) =>
      choice.from === "concert" ? pitches[choice.player.joins[choice.pitch.index]] : choice.pitch;

    return {
      tables,
      players,
      player: (key) => players.find((player) => player.key === key),
      pitch: (name) => byName.get(name.replace("♭", "b").replace("♯", "#")),
      answer,
      answers,
      byHand,
      joins,
      names,
      nearby,
      written,
    };
  }

  lookUp.openBook = openBook;
})();
