"""Solids to draw: tubes, turned shapes, boxes, and bodies whose parts flow into one another.

Lengths are centimetres. Every face of a solid belongs to a :class:`Surface`; lines are drawn where surfaces meet, where
one thing hides another, and, on hard ones, along edges.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import KW_ONLY, dataclass, field

import numpy as np
import trimesh
from numpy.typing import NDArray
from skimage import measure

Points = NDArray[np.float64]
"""Points, one a row, or one point: x to the player's right, y forward, z up."""
Vector = Sequence[float] | Points


@dataclass(frozen=True, slots=True)
class Surface:
    """What a face belongs to."""

    name: str
    """Where two names meet a line is drawn."""
    _: KW_ONLY
    thing: str
    """The thing it is part of; the outline of a thing is drawn heavier than the lines on it."""
    fill: str = ""
    """Class of its area: ``brass`` or ``cloth``; empty for plain paper."""
    seamless: str = ""
    """Parts with the same word here flow into each other: no line, unless one hides the other."""
    hard: bool = False
    """Whether its edges are drawn."""
    jump: float = 0.8
    """How far behind another place of the same part a place must lie, centimetres, for a line between them."""


@dataclass(frozen=True, slots=True)
class Solid:
    """A surface of triangles."""

    mesh: trimesh.Trimesh
    parts: tuple[Surface, ...]
    """Parts it has."""
    of: NDArray[np.int64]
    """For every face the index of its part."""
    which: Callable[[Points], NDArray[np.int64]] | None = None
    """The index of the part at points of the surface, where it changes within faces."""

    def moved(self, place: Stand) -> Solid:
        """The same solid put elsewhere."""
        mesh = self.mesh.copy()
        mesh.apply_transform(place.matrix())
        which = self.which
        return Solid(mesh, self.parts, self.of, which and (lambda at: which((at - place.origin) @ place.axes)))


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a thing stands: its origin, and the turn of its axes."""

    origin: Points
    axes: NDArray[np.float64] = field(default_factory=lambda: np.eye(3))
    """Columns are the thing's own axes as seen from outside."""

    def matrix(self) -> NDArray[np.float64]:
        """The 4 by 4 matrix of the move."""
        found = np.eye(4)
        found[:3, :3], found[:3, 3] = self.axes, self.origin
        return found

    def at(self, *point: float) -> Points:
        """A point given in the thing's own axes."""
        return np.asarray(self.origin + self.axes @ np.array(point, float))

    def along(self, *direction: float) -> Points:
        """A direction given in the thing's own axes."""
        return np.asarray(self.axes @ np.array(direction, float))


def turn(yaw: float = 0, pitch: float = 0, roll: float = 0) -> NDArray[np.float64]:
    """Axes turned, in degrees: rolled about y (top to the right), pitched about x (nose up), yawed about z (left)."""
    a, b, c = (math.radians(value) for value in (yaw, pitch, roll))
    about_z = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
    about_x = np.array([[1, 0, 0], [0, math.cos(b), -math.sin(b)], [0, math.sin(b), math.cos(b)]])
    about_y = np.array([[math.cos(c), 0, math.sin(c)], [0, 1, 0], [-math.sin(c), 0, math.cos(c)]])
    return np.asarray(about_z @ about_x @ about_y)


def unit(vector: Vector) -> Points:
    """A vector of length 1 the same way."""
    v = np.asarray(vector, float)
    return np.asarray(v / np.linalg.norm(v))


def one(mesh: trimesh.Trimesh, part: Surface) -> Solid:
    """A solid of one part."""
    return Solid(mesh, (part,), np.zeros(len(mesh.faces), int))


def curve(points: Sequence[Vector], corner: float = 0, step: float = 0.4) -> Points:
    """A line through points with its corners rounded by ``corner``, in steps of about ``step``."""
    given = [np.asarray(point, float) for point in points]
    if corner <= 0:
        found = given
    else:
        found = [given[0]]
        for before, here, after in zip(given, given[1:], given[2:], strict=False):
            back, ahead = before - here, after - here
            near, far = float(np.linalg.norm(back)), float(np.linalg.norm(ahead))
            cut = min(corner, 0.499 * near, 0.499 * far)
            angle = math.acos(float(np.clip(np.dot(back, ahead) / (near * far), -1, 1)))
            if angle > 3.1:
                continue
            first, last = here + back / near * cut, here + ahead / far * cut
            radius = cut * math.tan(angle / 2)
            middle = here + unit(back / near + ahead / far) * (radius / math.sin(angle / 2))
            u, v = first - middle, last - middle
            sweep = math.pi - angle
            for t in np.linspace(0, 1, max(5, int(radius * sweep / step) + 2)):
                found.append(middle + (math.sin((1 - t) * sweep) * u + math.sin(t * sweep) * v) / math.sin(sweep))
        found.append(given[-1])
    dense = [found[0]]
    for start, end in itertools.pairwise(found):
        count = max(1, int(np.linalg.norm(end - start) / (4 * step)))
        dense += [start + (end - start) * k / count for k in range(1, count + 1)]
    return np.array(dense)


def length(points: Points) -> float:
    """Length of a line through points."""
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def tube(
    points: Points, radius: float | Sequence[float] | NDArray[np.float64], part: Surface, around: int = 28
) -> Solid:
    """A round tube along ``points``; ``radius`` is one for all, or one for each point."""
    steps = np.diff(points, axis=0)
    keep = np.concatenate([[True], np.linalg.norm(steps, axis=1) > 1e-6])
    radii = np.broadcast_to(np.asarray(radius, float), (len(points),))[keep]
    points = points[keep]
    tangents = np.gradient(points, axis=0)
    tangents /= np.linalg.norm(tangents, axis=1)[:, None]
    side = np.cross(tangents[0], [0.31, 0.17, 0.93])
    rings = []
    angles = np.linspace(0, 2 * math.pi, around, endpoint=False)
    for point, tangent, r in zip(points, tangents, radii, strict=True):
        side = unit(side - tangent * np.dot(side, tangent))
        up = np.cross(tangent, side)
        rings.append(point + r * (np.cos(angles)[:, None] * side + np.sin(angles)[:, None] * up))
    vertices = np.vstack([*rings, points[:1], points[-1:]])
    faces = []
    for ring in range(len(points) - 1):
        a = ring * around + np.arange(around)
        b = ring * around + (np.arange(around) + 1) % around
        faces += [np.stack([a, b, a + around], 1), np.stack([b, b + around, a + around], 1)]
    first, last, end = len(points) * around, len(points) * around + 1, (len(points) - 1) * around
    a, b = np.arange(around), (np.arange(around) + 1) % around
    faces += [np.stack([b, a, np.full(around, first)], 1), np.stack([a + end, b + end, np.full(around, last)], 1)]
    return one(trimesh.Trimesh(vertices, np.vstack(faces), process=False), part)


def rod(start: Vector, end: Vector, radius: float, part: Surface) -> Solid:
    """A straight round rod."""
    return tube(np.array([start, end], float), radius, part)


def bell(
    points: Points,
    throat: float,
    mouth: float,
    part: Surface,
    inside: Surface,
    flare: float = 0.75,
    cone: tuple[float, float] = (0, 0),
    deep: tuple[Surface, float] | None = None,
) -> Solid:
    """A bell that opens along ``points`` from radius ``throat`` to ``mouth``, hollow at its end.

    The radius grows as a power of the distance to the end, as a bell's does (a Bessel horn; ``flare`` is its exponent:
    A. H. Benade, *Fundamentals of Musical Acoustics*, 1976). ``cone`` is (share of the way, radius): up to there the
    tube is a plain cone. ``deep`` is what its inside is below a radius, so that one sees how far it goes in.
    """
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    total = along[-1]
    begin, wide = (cone[0] * total, cone[1]) if cone[0] else (0.0, throat)
    x0 = (total - begin) / ((mouth / wide) ** (1 / flare) - 1)  # radius = b / (x0 + what is left) ** flare
    index = np.arange(len(along))
    dense = np.interp(np.linspace(0, 1, 110) ** 0.6 * total, along, index)
    path = np.stack([np.interp(dense, index, points[:, axis]) for axis in range(3)], 1)
    s = np.interp(dense, index, along)
    r = np.where(
        s < begin,
        throat + (wide - throat) * s / max(begin, 1e-9),
        mouth * (x0 / (x0 + total - np.maximum(s, begin))) ** flare,
    )
    outer = tube(path, r, part, 64)
    lip = unit(path[-1] - path[-2])
    back, radii = path[::-1][:100] + 0.3 * lip, np.maximum(r[::-1][:100] - 0.35, 0.2)
    inner = tube(back, radii, inside, 64)
    open_outer = np.arange(len(outer.mesh.faces)) < len(outer.mesh.faces) - 64  # no lid over the mouth of the bell
    open_inner = np.ones(len(inner.mesh.faces), bool)
    open_inner[-128:-64] = False
    meshes = [
        trimesh.Trimesh(solid.mesh.vertices, solid.mesh.faces[keep], process=False)
        for solid, keep in ((outer, open_outer), (inner, open_inner))
    ]
    of = np.concatenate([np.full(len(mesh.faces), index) for index, mesh in enumerate(meshes)])
    if deep is None:
        return Solid(trimesh.util.concatenate(meshes), (part, inside), of)
    ring = np.minimum(np.flatnonzero(open_inner) // 128, len(radii) - 1)  # two faces for each of 64 sides
    of[-len(ring) :][radii[ring] < deep[1]] = 2
    return Solid(trimesh.util.concatenate(meshes), (part, inside, deep[0]), of)


def box(centre: Vector, size: Vector, part: Surface, axes: NDArray[np.float64] | None = None) -> Solid:
    """A box."""
    mesh = trimesh.creation.box(extents=size)
    mesh.apply_transform(Stand(np.asarray(centre, float), np.eye(3) if axes is None else axes).matrix())
    return one(mesh, part)


# Bodies that flow: distances to simple shapes, joined smoothly, and the surface where the distance is nought.


@dataclass(frozen=True, slots=True)
class Bone:
    """A round limb between two points, thicker at one end."""

    start: Points
    end: Points
    thick: float
    """Radius at the start."""
    thin: float
    """Radius at the end."""
    part: Surface

    def distance(self, at: Points) -> NDArray[np.float64]:
        """Distance of points from its surface, negative inside."""
        axis = self.end - self.start
        share = np.clip((at - self.start) @ axis / max(float(axis @ axis), 1e-9), 0, 1)
        gap = np.linalg.norm(at - self.start - share[..., None] * axis, axis=-1)
        return np.asarray(gap - (self.thick + share * (self.thin - self.thick)))

    def bounds(self) -> tuple[Points, Points]:
        """The corners of a box round it."""
        r = max(self.thick, self.thin)
        return np.minimum(self.start, self.end) - r, np.maximum(self.start, self.end) + r


@dataclass(frozen=True, slots=True)
class Egg:
    """An ellipsoid."""

    centre: Points
    radii: Points
    part: Surface
    axes: NDArray[np.float64] = field(default_factory=lambda: np.eye(3))
    cut: tuple[Points, Points] | None = None
    """A point and a direction: what lies further that way than the point is cut off."""

    def distance(self, at: Points) -> NDArray[np.float64]:
        """Distance of points from its surface, negative inside; near the surface, about."""
        own = (at - self.centre) @ self.axes
        inside = np.linalg.norm(own / self.radii, axis=-1)
        steep = np.linalg.norm(own / self.radii**2, axis=-1)
        found = inside * (inside - 1) / np.maximum(steep, 1e-6)
        if self.cut is not None:
            found = np.maximum(found, (at - self.cut[0]) @ self.cut[1])
        return np.asarray(found)

    def bounds(self) -> tuple[Points, Points]:
        """The corners of a box round it."""
        r = float(self.radii.max())
        return self.centre - r, self.centre + r


def flesh(shapes: Sequence[Bone | Egg], blend: float, grain: float) -> Solid:
    """One surface round ``shapes``, joined softly over about ``blend``; ``grain`` is the size of a grid cell."""
    lows, highs = zip(*(shape.bounds() for shape in shapes), strict=True)
    margin = blend + 2 * grain
    low, high = np.min(lows, axis=0) - margin, np.max(highs, axis=0) + margin
    size = np.ceil((high - low) / grain).astype(int) + 1
    field_ = np.full(size, 4 * blend, np.float32)
    for shape in shapes:
        a, b = shape.bounds()
        i = np.maximum(((a - margin - low) / grain).astype(int), 0)
        j = np.minimum(((b + margin - low) / grain).astype(int) + 1, size)
        grid = np.stack(np.meshgrid(*(low[k] + grain * np.arange(i[k], j[k]) for k in range(3)), indexing="ij"), -1)
        d = shape.distance(grid).astype(np.float32)
        here = field_[i[0] : j[0], i[1] : j[1], i[2] : j[2]]
        near = np.maximum(blend - np.abs(here - d), 0) / blend
        here[...] = np.minimum(here, d) - near * near * blend / 4
    vertices, faces, _, _ = measure.marching_cubes(field_, 0.0, spacing=(grain,) * 3)
    vertices = vertices + low
    parts = tuple(dict.fromkeys(shape.part for shape in shapes))
    index = np.array([parts.index(shape.part) for shape in shapes])

    def which(at: Points) -> NDArray[np.int64]:
        return np.asarray(index[np.argmin(np.stack([shape.distance(at) for shape in shapes]), axis=0)])

    mesh = trimesh.Trimesh(vertices, faces[:, ::-1], process=False)
    return Solid(mesh, parts, np.zeros(len(faces), int), which if len(parts) > 1 else None)
