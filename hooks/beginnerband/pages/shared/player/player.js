/* The controls of a player, and the notes that sound marked in its picture:
     <div class="bb-player" hidden data-name="A tune" data-music="{...}" data-score="id of what holds the picture"></div>
   A note of the picture sounds alone when it is pressed. The last of the player's scripts. */
(() => {
  "use strict";

  const band = window.bandSound,
    make = band.make;

  function mountPlayer(root) {
    const music = JSON.parse(root.dataset.music);
    const score = root.dataset.score ? document.getElementById(root.dataset.score) : null;
    const player = new band.Player(music);
    const name = root.dataset.name || "";
    const start = make("button", { type: "button", class: "bb-play" });
    const does = band.offers(start, name);
    does("Play");
    const speed = make("input", { type: "range", min: "40", max: "120", step: "5", value: "100" });
    const shown = make("output", {}, "100 %");
    const label = make("label", { class: "bb-speed" }, "Speed ");
    label.append(speed, shown);
    const count = make("input", { type: "checkbox" });
    count.checked = true;
    const counted = make("label", { class: "bb-count-in" });
    counted.append(count, " Count in");
    root.append(start, label, counted);
    if (music.parts.length > 1) root.append(mixer(player));
    start.addEventListener("click", () => {
      if (player.run) {
        player.stop();
        return;
      }
      player.countIn = count.checked;
      if (player.play(0)) does("Stop");
    });
    player.onstop = () => {
      does("Play");
    };
    speed.addEventListener("input", () => {
      shown.textContent = `${speed.value} %`;
    });
    speed.addEventListener("change", () => {
      const again = Boolean(player.run);
      player.setSpeed(Number(speed.value) / 100);
      if (again && player.run) does("Stop");
    });
    if (score) {
      player.onnotes = follow(score);
      score.addEventListener("click", (event) => {
        pressed(event, player);
      });
    }
  }

  /* Marks the notes that sound now. */
  function follow(score) {
    const places = new Map(); // filled when first wanted
    let marked = [];
    return (events) => {
      if (!places.size)
        score.querySelectorAll("[data-note]").forEach((note) => {
          const number = Number(note.dataset.note);
          places.set(number, (places.get(number) || []).concat(note));
        });
      const now = events.flatMap((one) => one.notes.flatMap((number) => places.get(number) || []));
      marked.forEach((note) => {
        if (!now.includes(note)) note.classList.remove("bb-now");
      });
      now.forEach((note) => {
        note.classList.add("bb-now");
      });
      marked = now;
    };
  }

  /* The note a thumb means: the nearest whose box is within half a thumb of the place. */
  function meant(event) {
    let best = null,
      least = 22; // CSS pixels: half of a 44-pixel target
    event.currentTarget.querySelectorAll("[data-note]").forEach((note) => {
      const box = note.getBoundingClientRect();
      const across = Math.max(box.left - event.clientX, event.clientX - box.right, 0);
      const along = Math.max(box.top - event.clientY, event.clientY - box.bottom, 0);
      const far = Math.hypot(across, along);
      if (far < least) {
        best = note;
        least = far;
      }
    });
    return best;
  }

  /* A note pressed in the picture sounds alone. */
  function pressed(event, player) {
    const note = player.run ? null : meant(event);
    if (!note) return;
    const number = Number(note.dataset.note);
    for (const part of player.music.parts) {
      const found = part.notes.find((one) => one[3].indexOf(number) >= 0);
      const ctx = found && band.context();
      if (!ctx) continue;
      const event = { sound: found[2], seconds: 1, tone: part.tone };
      band.sounded(ctx, ctx.destination, event, ctx.currentTime + 0.02, player.music.a4);
      return;
    }
  }

  function mixer(player) {
    const list = make("ul", { class: "bb-mixer" });
    player.music.parts.forEach((part, index) => {
      const row = make("li");
      const mute = band.toggle("Mute", part.name, (on) => {
        player.muted[index] = on;
        player.refresh();
      });
      const alone = band.toggle("Alone", part.name, (on) => {
        player.alone[index] = on;
        player.refresh();
      });
      row.append(make("span", {}, part.name), mute, alone);
      list.append(row);
    });
    return list;
  }

  band.everywhere(".bb-player[data-music]", mountPlayer);
})();
