"""What the files of the course say of each other: order, needs, music, pages. What is not there gets one line."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from beginnerband.data.course_files import CourseFiles
from beginnerband.data.ladder import limit_names
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.textfile import near_file
from beginnerband.data.yamlfile import Located
from beginnerband.teaching.ladder import cycle_in


def check_files(files: CourseFiles, problems: Problems) -> None:
    """Units, steps, stages and pages that are named, and whether what a step needs comes before it."""
    _check_order(files, problems)
    _check_units(files, problems)


def _check_order(files: CourseFiles, problems: Problems) -> None:
    plan, at = files.plan, files.at
    for section in ("order", "spare"):
        for place, ident in enumerate(getattr(plan, section)):
            if ident not in files.units:
                hint = did_you_mean(ident, files.units)
                problems.add(at.path, at.line(section, place), f"no unit {ident!r} in content/course{hint}")
    listed = files.listed
    for ident, (_, located) in files.units.items():
        if ident not in listed:
            message = f"this unit is not in plan.yml; add its line to 'order': - {ident}"
            problems.add(located.path, 1, message, follows=at.path if _misspelt(ident, problems) else "")
        elif listed.count(ident) > 1:
            problems.add(at.path, at.line("order"), f"the unit {ident!r} is listed twice; see 'repeat' for a step")
    ids = [step.id for file, _ in files.units.values() for step in file.steps]
    for section in ("fix", "skip", "repeat"):
        for place, ident in enumerate(getattr(plan, section)):
            if ident not in ids:
                line = at.line(section, ident if section == "fix" else place)
                problems.add(at.path, line, f"{section}: no step {ident!r}{_step_hint(ident, ids, files)}")
    for place, row in enumerate(plan.done):
        line = at.line("done", place)
        if row.to is not None and row.to not in ids:
            problems.add(at.path, line, f"done: no step {row.to!r}{_step_hint(row.to, ids, files)}")
        if row.lesson in [earlier.lesson for earlier in plan.done[:place]]:
            problems.add(at.path, line, f"done: lesson {row.lesson} stands twice; keep what really happened")
    frames = [(name, place, frame) for name in ("openings", "closes")
              for place, frame in enumerate(getattr(plan, name))]  # fmt: skip
    for name, place, frame in frames:
        _check_after(frame.after, ids, problems, at, name, place, "after")
        _check_guide(files.root, frame.guide, problems, at, name, place)
    for place, task in enumerate(files.drums[0].tasks):
        _check_after(task.after, ids, problems, files.drums[1], "tasks", place, "after")


def remark_on_wishes(files: CourseFiles, lessons: Sequence[Collection[str]], over: int, problems: Problems) -> None:
    """Say which wishes of plan.yml come too late: ``lessons`` are the steps of each, ``over`` of which were held.

    That stops nothing: what really happened goes before what was wished, and such a line may be an old one.
    """
    plan, at = files.plan, files.at
    places = {ident: [place for place, steps in enumerate(lessons, 1) if ident in steps]
              for ident in (*plan.fix, *plan.repeat)}  # fmt: skip
    for ident, lesson in plan.fix.items():
        found = places[ident]
        if found and lesson not in found:
            was = f"lesson {lesson} is over, and {ident!r} was not done in it; it comes in lesson {found[0]}"
            if found[0] <= over:
                was = f"{ident!r} was done in lesson {found[0]}, not in lesson {lesson}"
            todo = f"take it out here, or name a lesson from {over + 1} on" if found[-1] > over else "take it out here"
            problems.remark(at.path, at.line("fix", ident), f"fix: {was}; {todo}")
    for place, ident in enumerate(plan.repeat):
        if len(found := places[ident]) > 1 and found[-1] <= over:
            said = f"{ident!r} came again in lesson {found[-1]}, which is over; nothing still to come was moved for it"
            problems.remark(at.path, at.line("repeat", place), f"repeat: {said}")


def _misspelt(ident: str, problems: Problems) -> bool:
    """Whether a unit that the plan does not list is probably one that it names wrongly."""
    return any(f"did you mean {ident!r}" in each.message for each in problems)


def _left_out(ident: str, files: CourseFiles, problems: Problems) -> Path | str:
    """The file whose mistake it is that a unit is not in the plan; empty where the plan lists it."""
    if ident in files.listed:
        return ""
    return files.at.path if _misspelt(ident, problems) else files.units[ident][1].path


def _step_hint(ident: str, ids: Sequence[str], files: CourseFiles) -> str:
    """What was meant; units have names much like those of their steps."""
    if ident in files.units and (steps := files.units[ident][0].steps):
        return f"; that is a unit: name one of its steps, as {steps[-1].id!r}"
    return did_you_mean(ident, ids)


def _check_after(after: str, ids: Sequence[str], problems: Problems, located: Located, *keys: str | int) -> None:
    if after and after not in ids:
        problems.add(located.path, located.line(*keys), f"{keys[-1]}: no step {after!r}{did_you_mean(after, ids)}")


def _check_guide(root: Path, page: str, problems: Problems, located: Located, *keys: str | int) -> None:
    pages = [path.stem for path in (root / "handbook" / "guide").glob("*.md")]
    if page and page not in pages:
        guide, line = root / "handbook" / "guide", located.line(*keys, "guide")
        near, hint = near_file(guide / f"{page}.md"), did_you_mean(page, pages)
        message = f"no page {page!r} in handbook/guide{hint}"
        problems.add(located.path, line, message, follows=guide / near if near else "")


def _check_units(files: CourseFiles, problems: Problems) -> None:
    plan = files.plan
    stages = [stage.id for stage in plan.stages]
    pieces = [path.stem for path in (files.root / "content" / "pieces").glob("*.*")]
    seen: dict[str, str] = {}
    needs = {step.id: step.needs for file, _ in files.units.values() for step in file.steps}
    home = {step.id: ident for ident, (file, _) in files.units.items() for step in file.steps}
    cycle = cycle_in(needs)
    order = [ident for ident in dict.fromkeys(files.listed) if ident in files.units]
    for ident in order:
        file, located = files.units[ident]
        if file.stage not in stages:
            hint = did_you_mean(file.stage, stages)
            problems.add(located.path, located.line("stage"), f"no stage {file.stage!r} in plan.yml{hint}")
        _check_after(file.after, list(needs), problems, located, "after")
        _check_after(file.reached, [step.id for step in file.steps], problems, located, "reached")
        for place, step in enumerate(file.steps):
            if step.id in seen:
                line = located.line("steps", place, "id")
                problems.add(located.path, line, f"the step {step.id!r} is also in {seen[step.id]}; name one anew")
            _check_guide(files.root, step.guide, problems, located, "steps", place)
            if step.minutes.most * step.lips > plan.packing.rest_by:
                said = f"lips play {step.minutes.most * step.lips:.1f} of {step.minutes.most} minutes without a rest"
                line = located.line("steps", place, "minutes")
                problems.add(located.path, line, f"{said}, more than {plan.packing.rest_by:g}; part the step in two")
            for at, need in enumerate(step.needs):
                line = located.line("steps", place, "needs", at)
                if need not in needs:
                    hint = did_you_mean(need, needs)
                    problems.add(located.path, line, f"needs {need!r}, which is no step{hint}")
                elif (need not in seen or need in plan.skip) and step.id not in plan.skip and not cycle:
                    said = f"{step.id} needs {need}, which is not taught before it; move or add its line"
                    problems.add(located.path, line, said, follows=_left_out(home[need], files, problems))
            for at, piece in enumerate(step.pieces):
                if piece not in pieces:
                    line, hint = located.line("steps", place, "pieces", at), did_you_mean(piece, pieces)
                    problems.add(located.path, line, f"no piece {piece!r} in content/pieces{hint}")
            seen[step.id] = f"{ident}.yml"
    if cycle:
        located = next(at for file, at in files.units.values() if cycle[0] in [step.id for step in file.steps])
        words = " needs ".join(cycle)
        problems.add(located.path, located.line("steps"), f"steps need each other in a circle: {words}")


def check_music(files: CourseFiles, where: Mapping[str, tuple[Located, int]], problems: Problems) -> None:
    """Music that is named and not there, or there and not used; ``where`` says where each stands."""
    plan = files.plan
    names, used = limit_names(files.root), set[str]()
    known = list(where)
    for file, located in files.units.values():
        for place, entry in enumerate(file.music):
            for at, name in enumerate(entry.for_):
                if name not in names:
                    line = located.line("music", place, "for", at)
                    hint = did_you_mean(name, names)
                    problems.add(located.path, line, f"nobody is called {name!r}{hint}")
        for place, step in enumerate(file.steps):
            used |= set(step.music)
            _check_used(step.music, known, problems, located, "steps", place)
    for name in ("openings", "closes"):
        for place, frame in enumerate(getattr(plan, name)):
            used |= set(frame.music)
            _check_used(frame.music, known, problems, files.at, name, place)
    froms = {entry.from_ for file, _ in files.units.values() for entry in file.music}
    for ident, (located, line) in where.items():
        if ident not in used and ident not in froms:
            problems.add(located.path, line, f"no step uses the music {ident!r}")


def _check_used(
    music: Sequence[str], known: Sequence[str], problems: Problems, located: Located, *keys: str | int
) -> None:
    for at, ident in enumerate(music):
        if ident not in known:
            hint = did_you_mean(ident, known)
            problems.add(located.path, located.line(*keys, "music", at), f"no music {ident!r}{hint}")
