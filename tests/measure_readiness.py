"""What folk tunes ask beyond the shipped course, over a few hundred of music21's corpus. A script: it prints.

    .venv/bin/python tests/measure_readiness.py [--songs 300] [--worst 10]

For each song: the key in which least is missing for the band, and what is never taught in it; then how often each kind
is missing, and the songs that lack most, to be checked by eye against their music.
"""

from __future__ import annotations

import argparse
from collections import Counter

from measure_breaths import ROOT, songs

from beginnerband.data.book import load_book
from beginnerband.music.breathing import as_marked, proposed
from beginnerband.music.shift import key_interval, most_written, to_written
from beginnerband.pages.shared.needs import learners
from beginnerband.teaching.facts import facts_of
from beginnerband.teaching.readiness import needs, soonest
from beginnerband.teaching.wording import need_words


def main() -> None:
    """Print how many songs are ready when, what is missing how often, and the worst songs."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--songs", type=int, default=300)
    options.add_argument("--worst", type=int, default=10)
    asked = options.parse_args()
    book = load_book(ROOT)
    known = learners(book)
    players = [known[player.id] for player in book.band.pitched if player.count]
    when_ready, kinds, lists = Counter[str](), Counter[str](), []
    for title, line in songs(asked.songs):
        tune = proposed(as_marked(line), book.breaths)
        facts = facts_of(tune)
        when = soonest(facts, tune.key, players)
        assert when
        when_ready[f"lesson {when.ear + 1}" if when.ear is not None else "never"] += 1
        first = players[0]
        concert = facts.moved(key_interval(tune.key, when.key.fifths))
        own = first.player.reading.interval
        written = concert.moved(to_written(own, when.octaves.get(first.player.id, 0)), most_written(own))
        never = [need for need in needs(written, first) if need.place is None]
        kinds.update({need.kind for need in never})
        words = ", ".join(f"{need_words(need, 'british')} (bar {need.bar})" for need in never)
        lists.append((len(never), title, f"{tune.time.name}, concert {when.key.name}", words))
    print("everyone can play it by ear:", dict(when_ready.most_common()))
    print(f"missing for the {players[0].player.id}:", dict(kinds.most_common()))
    for count, title, key, words in sorted(lists, reverse=True)[: asked.worst]:
        print(f"{count} {title}: {key}\n   {words}")


if __name__ == "__main__":
    main()
