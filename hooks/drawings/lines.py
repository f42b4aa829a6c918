"""From solids to clean lines: what is seen from one side, hidden lines left out, as short paths.

A ray goes out from every point of a fine grid and meets a face (``trimesh`` with Embree). A line runs between two grid
points where they meet different parts, or where one lies well behind the other; such steps are joined to chains,
smoothed, and written as a few cubic curves each.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray
from skimage import measure
from trimesh.ray.ray_pyembree import RayMeshIntersector

from drawings.solids import Points, Solid, Surface, unit

FINE = 3
"""Rays to a unit of the drawing."""

WEAK = 0.3
"""Share of a part's jump that carries on a line that is sure elsewhere."""

FAR = 400.0
"""How far off the eye's plane is, centimetres."""

SHORT = 2.0
"""Chains shorter than this many units are grain, not lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where the drawing is seen from, and what it shows."""

    toward: tuple[float, float]
    """Degrees: from where round the player (0 the front, 90 the right, -90 the left, 180 the back), and how high."""
    centre: tuple[float, float, float]
    """The point in the middle of the field, centimetres."""
    width: float
    """Of the field, units."""
    height: float
    """Of the field, units."""
    scale: float
    """Units a centimetre."""

    def axes(self) -> tuple[Points, Points, Points]:
        """Right and up in the drawing, and the way the eye looks."""
        round_, high = (math.radians(value) for value in self.toward)
        eye = np.array([math.sin(round_) * math.cos(high), math.cos(round_) * math.cos(high), math.sin(high)])
        right = unit(np.cross(-eye, [0.0, 0.0, 1.0]))
        return right, np.cross(eye, right), -eye

    def on(self, point: Points) -> tuple[float, float]:
        """Where a point stands in the drawing, units from its top left."""
        right, up, _ = self.axes()
        gap = np.asarray(point, float) - np.array(self.centre)
        return self.width / 2 + self.scale * float(gap @ right), self.height / 2 - self.scale * float(gap @ up)

    def depth(self, point: Points) -> float:
        """How far from the eye's plane a point lies."""
        return float((np.asarray(point, float) - np.array(self.centre)) @ self.axes()[2])


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a view meets at each point of its grid."""

    part: NDArray[np.int64]
    """Index of the part; -1 where nothing is met."""
    depth: NDArray[np.float64]
    """Distance along the view."""
    slope: NDArray[np.float64]
    """Change of the distance to the next point: to the right, down."""
    normal: NDArray[np.float64]
    """Normal of the face."""
    parts: tuple[Surface, ...]


def look(solids: Sequence[Solid], view: View) -> Seen:
    """Send a ray through every point of the view's grid."""
    parts = tuple(dict.fromkeys(part for solid in solids for part in solid.parts))
    mesh = trimesh.util.concatenate([solid.mesh for solid in solids])
    of = np.concatenate([np.array([parts.index(part) for part in solid.parts])[solid.of] for solid in solids])
    right, up, way = view.axes()
    wide, high = int(view.width * FINE), int(view.height * FINE)
    x = (np.arange(wide) + 0.5) / FINE / view.scale - view.width / view.scale / 2
    y = view.height / view.scale / 2 - (np.arange(high) + 0.5) / FINE / view.scale
    origins = (np.array(view.centre) - way * FAR + x[None, :, None] * right + y[:, None, None] * up).reshape(-1, 3)
    face = RayMeshIntersector(mesh).intersects_first(origins, np.broadcast_to(way, origins.shape))
    hit = face >= 0
    normals = mesh.face_normals
    n = np.where(hit[:, None], normals[face], 0.0)
    facing = n @ way
    facing = np.where(np.abs(facing) < 0.02, np.where(facing > 0, 0.02, -0.02), facing)
    corner = mesh.triangles[face][:, 0]
    depth = np.where(hit, ((corner - origins) * n).sum(1) / facing, np.inf)
    pixel = 1 / FINE / view.scale
    slope = np.stack([-(n @ right) / facing * pixel, (n @ up) / facing * pixel], 1)
    shape = (high, wide)
    found, first = np.where(hit, of[face], -1), 0
    for solid in solids:
        if solid.which is not None:
            here = np.flatnonzero(hit & (face >= first) & (face < first + len(solid.of)))
            own = np.array([parts.index(part) for part in solid.parts])
            found[here] = own[solid.which(origins[here] + way * depth[here, None])]
        first += len(solid.of)
    return Seen(
        part=found.reshape(shape),
        depth=depth.reshape(shape),
        slope=slope.reshape(*shape, 2),
        normal=n.reshape(*shape, 3),
        parts=parts,
    )


def _steps(seen: Seen) -> list[tuple[NDArray[np.int64], ...]]:
    """Corners of the grid joined by a line: from, to, weight (2 the outline of a thing, 1 a line on it), and how
    sure the line is: 2 between two parts, 1 where one part hides itself, 0 only as part of a chain that is sure."""
    names = seen.parts
    things = {name: index for index, name in enumerate(dict.fromkeys(part.thing for part in names))}
    thing = np.array([things[part.thing] for part in names] + [-1])
    seams = {name: index for index, name in enumerate(dict.fromkeys(part.seamless for part in names))}
    seam = np.array([seams[part.seamless] if part.seamless else -1 - i for i, part in enumerate(names)] + [-999])
    jump = np.array([part.jump for part in names] + [0.0])
    hard = np.array([part.hard for part in names] + [False])
    high, wide = seen.part.shape
    node = np.arange((high + 1) * (wide + 1)).reshape(high + 1, wide + 1)
    found: list[tuple[NDArray[np.int64], ...]] = []
    for axis in (0, 1):  # 0: neighbours to the right; 1: neighbours below
        first = (slice(None), slice(None, -1)) if axis == 0 else (slice(None, -1), slice(None))
        second = (slice(None), slice(1, None)) if axis == 0 else (slice(1, None), slice(None))
        a, b = seen.part[first], seen.part[second]
        za, zb = seen.depth[first], seen.depth[second]
        with np.errstate(invalid="ignore"):
            gap = np.abs(zb - za)
            guess = np.minimum(
                np.abs(zb - za - seen.slope[first][..., axis]), np.abs(zb - za - seen.slope[second][..., axis])
            )
            need = np.minimum(jump[a], jump[b])
            behind = (gap > WEAK * need) & (guess > 0.7 * WEAK * need)
            sure = (gap > need) & (guess > 0.7 * need)
        sharp = hard[a] & (a == b) & ((seen.normal[first] * seen.normal[second]).sum(-1) < 0.8)
        soft = seam[a] == seam[b]
        drawn = np.where(a == b, behind | sharp, np.where(soft, behind, True)) & ((a >= 0) | (b >= 0))
        weight = np.where(thing[a] != thing[b], 2, 1)
        sure = np.where((a != b) & ~soft, 2, np.where(sure | sharp, 1, 0))
        if axis == 0:
            start, end = node[:-1, 1:-1], node[1:, 1:-1]
        else:
            start, end = node[1:-1, :-1], node[1:-1, 1:]
        found.append((start[drawn], end[drawn], weight[drawn], sure[drawn]))
    return found


def _chains(seen: Seen, short: float) -> list[tuple[int, NDArray[np.float64]]]:
    """Steps joined end to end: weight, and corners (x, y) in grid steps."""
    wide = seen.part.shape[1] + 1
    starts, ends, weights, sure = (np.concatenate(column) for column in zip(*_steps(seen), strict=True))
    for last in (False, False, True):  # grain would cut the lines it touches into pieces: leave it out, join anew
        grain = [
            edges
            for edges, loose, weight, _ in _joined(starts, ends, weights, wide)
            if _is_grain(sure[edges], loose, weight, last, short * FINE)
        ]
        keep = np.ones(len(starts), bool)
        keep[[edge for edges in grain for edge in edges]] = False
        starts, ends, weights, sure = starts[keep], ends[keep], weights[keep], sure[keep]
    return [(weight, line) for _, _, weight, line in _joined(starts, ends, weights, wide)]


def _is_grain(sure: NDArray[np.int64], loose: bool, weight: int, last: bool, short: float) -> bool:
    """Whether a chain comes from the roughness of a surface: unsure, or too short to be a line."""
    if sure.max() < 2 and (sure.mean() < 0.15 or len(sure) < short):
        return True
    if last and weight == 1 and len(sure) < 0.7 * short:
        return True
    return last and loose and len(sure) < short * (3 if weight == 1 else 1)


def _joined(
    starts: NDArray[np.int64], ends: NDArray[np.int64], weights: NDArray[np.int64], wide: int
) -> list[tuple[list[int], bool, int, NDArray[np.float64]]]:
    """Chains as their steps, whether an end hangs loose, weight and corners."""
    meets: dict[int, list[int]] = defaultdict(list)
    for index, (start, end) in enumerate(zip(starts.tolist(), ends.tolist(), strict=True)):
        meets[start].append(index)
        meets[end].append(index)
    through = {node: len(edges) == 2 and weights[edges[0]] == weights[edges[1]] for node, edges in meets.items()}
    used = np.zeros(len(starts), bool)
    chains = []

    def follow(node: int, edge: int, edges: list[int]) -> list[int]:
        chain = [node]
        while True:
            used[edge] = True
            edges.append(edge)
            node = int(ends[edge]) if int(starts[edge]) == node else int(starts[edge])
            chain.append(node)
            if not through[node]:
                return chain
            ahead = [each for each in meets[node] if not used[each]]
            if not ahead:
                return chain
            edge = ahead[0]

    order = [node for node in meets if not through[node]] + [node for node in meets if through[node]]
    for node in order:
        for edge in meets[node]:
            if not used[edge]:
                edges: list[int] = []
                nodes = np.array(follow(node, edge, edges))
                loose = len(meets[nodes[0]]) == 1 or len(meets[nodes[-1]]) == 1
                chains.append(
                    (edges, loose, int(weights[edge]), np.stack([nodes % wide, nodes // wide], 1).astype(float))
                )
    return chains


def smooth(points: NDArray[np.float64], spread: float) -> NDArray[np.float64]:
    """A staircase made smooth by a bell-shaped mean over ``spread`` steps; ends stay, sharp corners nearly."""
    closed = len(points) > 8 and np.allclose(points[0], points[-1])
    reach = int(3 * spread)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / spread) ** 2)
    kernel /= kernel.sum()
    if closed:
        ring = points[:-1]
        padded = np.take(ring, np.arange(-reach, len(ring) + reach), axis=0, mode="wrap")
    else:  # reflected through the ends, so that they stay where they are
        reach = min(reach, len(points) - 1)
        kernel = kernel[len(kernel) // 2 - reach : len(kernel) // 2 + reach + 1]
        kernel /= kernel.sum()
        padded = np.vstack(
            [2 * points[0] - points[1 : reach + 1][::-1], points, 2 * points[-1] - points[-reach - 1 : -1][::-1]]
        )
    found = np.stack([np.convolve(padded[:, axis], kernel, "valid") for axis in (0, 1)], 1)
    return np.vstack([found, found[:1]]) if closed else found


def fit(points: NDArray[np.float64], error: float) -> list[NDArray[np.float64]]:
    """Cubic curves (four points each) through ``points`` within ``error``.

    P. J. Schneider, "An Algorithm for Automatically Fitting Digitized Curves", *Graphics Gems* (1990).
    """
    keep = np.concatenate([[True], np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-9])
    points = points[keep]
    if len(points) < 2:
        return []
    if (
        np.linalg.norm(points[-1] - points[0]) < 0.2 and len(points) > 8
    ):  # closed: in two halves, smooth where they meet
        half = len(points) // 2
        along, there = points[1] - points[-2], points[half + 2] - points[half - 2]
        along, there = along / np.linalg.norm(along), there / np.linalg.norm(there)
        return _fit(points[: half + 1], along, -there, error) + _fit(points[half:], there, -along, error)
    return _fit(points, _tangent(points, 0), _tangent(points[::-1], 0), error)


def _tangent(points: NDArray[np.float64], at: int) -> NDArray[np.float64]:
    ahead = points[min(at + 3, len(points) - 1)] - points[at]
    return np.asarray(ahead / max(float(np.linalg.norm(ahead)), 1e-9))


def _fit(
    points: NDArray[np.float64], first: NDArray[np.float64], last: NDArray[np.float64], error: float
) -> list[NDArray[np.float64]]:
    span = float(np.linalg.norm(points[-1] - points[0]))
    if len(points) == 2 or span < 0.2:
        third = span / 3
        return [np.array([points[0], points[0] + first * third, points[-1] + last * third, points[-1]])]
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    u = along / along[-1]
    for _ in range(4):
        bezier = _least(points, u, first, last)
        at = _at(bezier, u)
        gaps = np.linalg.norm(at - points, axis=1)
        if gaps.max() < error:
            return [bezier]
        u = _closer(bezier, points, u)
    split = int(np.clip(gaps.argmax(), 1, len(points) - 2))
    a, b = max(split - 3, 0), min(split + 3, len(points) - 1)
    middle = points[a] - points[b]
    norm = float(np.linalg.norm(middle))
    middle = middle / norm if norm > 1e-9 else np.array([1.0, 0.0])
    return _fit(points[: split + 1], first, middle, error) + _fit(points[split:], -middle, last, error)


def _at(bezier: NDArray[np.float64], u: NDArray[np.float64]) -> NDArray[np.float64]:
    v = 1 - u
    weights = np.stack([v**3, 3 * u * v**2, 3 * u**2 * v, u**3], 1)
    return np.asarray(weights @ bezier)


def _least(
    points: NDArray[np.float64], u: NDArray[np.float64], first: NDArray[np.float64], last: NDArray[np.float64]
) -> NDArray[np.float64]:
    v = 1 - u
    b0, b1, b2, b3 = v**3, 3 * u * v**2, 3 * u**2 * v, u**3
    a1, a2 = b1[:, None] * first, b2[:, None] * last
    rest = points - (b0 + b1)[:, None] * points[0] - (b2 + b3)[:, None] * points[-1]
    c = np.array([[(a1 * a1).sum(), (a1 * a2).sum()], [(a1 * a2).sum(), (a2 * a2).sum()]])
    x = np.array([(a1 * rest).sum(), (a2 * rest).sum()])
    span = float(np.linalg.norm(points[-1] - points[0]))
    det = float(np.linalg.det(c))
    left, right = np.linalg.solve(c, x) if abs(det) > 1e-9 else (span / 3, span / 3)
    if left < 0.01 * span or right < 0.01 * span or left > 3 * span or right > 3 * span:
        left = right = span / 3
    return np.array([points[0], points[0] + first * left, points[-1] + last * right, points[-1]])


def _closer(bezier: NDArray[np.float64], points: NDArray[np.float64], u: NDArray[np.float64]) -> NDArray[np.float64]:
    d1 = 3 * np.diff(bezier, axis=0)
    d2 = 2 * np.diff(d1, axis=0)
    v = (1 - u)[:, None]
    w = u[:, None]
    gap = _at(bezier, u) - points
    slope = v**2 * d1[0] + 2 * v * w * d1[1] + w**2 * d1[2]
    bend = v * d2[0] + w * d2[1]
    below = (slope * slope).sum(1) + (gap * bend).sum(1)
    step = np.where(np.abs(below) > 1e-9, (gap * slope).sum(1) / np.where(below == 0, 1, below), 0)
    return np.asarray(np.maximum.accumulate(np.clip(u - step, 0, 1)))


def number(value: float) -> str:
    """A coordinate, as short as can be."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text.replace("-0.", "-.") if text.startswith("-") else text.removeprefix("0") or "0"


def _pair(point: NDArray[np.float64]) -> str:
    x, y = number(float(point[0])), number(float(point[1]))
    return x + y if y.startswith("-") else f"{x} {y}"


def written(curves: Iterable[NDArray[np.float64]]) -> str:
    """Curves of one chain as a path, each step from where the last one ended, rounded."""
    steps, here = "", np.zeros(2)
    for bezier in curves:
        if not steps:
            here = np.round(bezier[0], 1)
            steps = "M" + _pair(here)
        end = np.round(bezier[3] - here, 1)
        if not end.any():
            continue
        straight = max(_off(bezier[1], bezier), _off(bezier[2], bezier)) < 0.12
        if straight:
            steps += "l" + _pair(end)
        else:
            inner = [np.round(bezier[1] - here, 1), np.round(bezier[2] - here, 1), end]
            joined = ""
            for point in inner:
                pair = _pair(point)
                joined += pair if not joined or pair.startswith("-") else " " + pair
            steps += "c" + joined
        here = here + end
    return steps


def _off(point: NDArray[np.float64], bezier: NDArray[np.float64]) -> float:
    chord = bezier[3] - bezier[0]
    span = float(np.linalg.norm(chord))
    gap = point - bezier[0]
    return abs(float(chord[0] * gap[1] - chord[1] * gap[0])) / span if span > 1e-6 else float(np.linalg.norm(gap))


CORNER = math.radians(50)


def _pieces(points: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """A chain cut at its sharp corners (points are grid corners)."""
    w = 10
    if len(points) < 3 * w:
        return [points]
    rough = smooth(points, 2.0)
    back, ahead = rough[w:-w] - rough[: -2 * w], rough[2 * w :] - rough[w:-w]
    bend = np.abs(np.arctan2(back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0], (back * ahead).sum(1)))
    cuts, at = [0], 0
    while at < len(bend):
        if bend[at] > CORNER:
            stop = at
            while stop < len(bend) and bend[stop] > CORNER:
                stop += 1
            # a corner turns all at once; a curve turns slowly
            if stop - at < 1.6 * w:
                cuts.append(w + at + int(bend[at:stop].argmax()))
            at = stop
        at += 1
    cuts.append(len(points) - 1)
    return [points[a : b + 1] for a, b in itertools.pairwise(cuts) if b - a > 1]


def paths(seen: Seen, error: float = 0.4, short: float = SHORT) -> dict[int, str]:
    """The lines of a view as path data by weight: 2 outlines, 1 lines on things."""
    found: dict[int, list[str]] = {2: [], 1: []}
    for weight, chain in _chains(seen, short):
        curves: list[NDArray[np.float64]] = []
        for piece in _pieces(chain):
            curves += fit(smooth(piece, 1.1 * FINE) / FINE if len(piece) > 3 else piece / FINE, error)
        found[weight].append(written(curves))
    return {weight: "".join(steps) for weight, steps in found.items() if steps}


def areas(seen: Seen, fill: str, error: float = 0.7) -> str:
    """Outlines of what is filled with ``fill``, as path data."""
    is_it = np.array([part.fill == fill for part in seen.parts] + [False])
    mask = np.pad(is_it[seen.part], 1).astype(float)
    steps = ""
    for contour in measure.find_contours(mask, 0.5):
        line = (contour[:, ::-1] - 0.5) / FINE
        if len(line) < 4 * FINE:
            continue
        steps += written(fit(smooth(line, 1.1 * FINE), error)) + "z"
    return steps


def shows(seen: Seen, view: View, point: Points, slack: float = 1.6) -> bool:
    """Whether a point on a surface is in sight."""
    high, wide = seen.part.shape
    x, y = view.on(point)
    i, j = int(y * FINE), int(x * FINE)
    if not (0 <= i < high and 0 <= j < wide and seen.part[i, j] >= 0):
        return False
    return bool(abs(view.depth(point) + FAR - seen.depth[i, j]) < slack)


def mark(seen: Seen, view: View, line: Points) -> str:
    """A line on a surface (points in space), left out where something hides it; one point is a dot."""
    steps, shown = "", False
    for point in line:
        clear = shows(seen, view, point)
        if clear:
            x, y = view.on(point)
            steps += ("L" if shown else "M") + f"{number(x)} {number(y)}" + ("h0" if len(line) == 1 else "")
        shown = clear
    return steps
