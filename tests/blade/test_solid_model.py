"""The ground surface against a solid model: a block cut by planes and a cylinder in the manifold3d library."""

from __future__ import annotations

import numpy as np
import pytest
from manifold3d import Manifold

from preview.blade.blade import Blade
from preview.blade.grind import Grind, Side
from preview.blade.grinds import Compound, Flat, Hollow, Unground
from preview.blade.ground import Ground
from preview.blade.outlines import NamedOutline
from preview.forging.bar import Bar

BAR = Bar(220.0, 50.0, 6.0)


def block(outline: NamedOutline, thickness: float) -> Manifold:
    size = (outline.length, outline.height, thickness)
    return Manifold.cube(size).translate((0, 0, -thickness / 2))


def height_of_skin(solid: Manifold, points: np.ndarray) -> np.ndarray:
    """Return the highest z of the solid's triangles over ``points`` (n, 2)."""
    mesh = solid.to_mesh()
    corners = mesh.vert_properties[:, :3].astype(float)[mesh.tri_verts]
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    heights = np.full(len(points), -np.inf)
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    keep = np.abs(area) > 1e-9
    a, b, c, area = a[keep], b[keep], c[keep], area[keep]
    for index, (x, y) in enumerate(points):
        u = ((b[:, 0] - x) * (c[:, 1] - y) - (c[:, 0] - x) * (b[:, 1] - y)) / area
        v = ((c[:, 0] - x) * (a[:, 1] - y) - (a[:, 0] - x) * (c[:, 1] - y)) / area
        over = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9)
        if over.any():
            heights[index] = (u * a[:, 2] + v * b[:, 2] + (1 - u - v) * c[:, 2])[over].max()
    return heights


def places(outline: NamedOutline, count: int = 250) -> np.ndarray:
    rng = np.random.default_rng(3)
    points = rng.random((4 * count, 2)) * (outline.length, outline.height)
    inside = outline.contains(points[:, 0], points[:, 1])
    return points[inside][:count]


def compare(blade: Blade, grind: Grind, solid: Manifold, sides: tuple[Side, ...] = ("right", "left")) -> None:
    points = places(blade.outline)
    ground = Ground(blade, grind, BAR)
    for side in sides:
        ours = ground.stand(side, points[:, 0], points[:, 1])
        skin = height_of_skin(solid if side == "right" else solid.mirror((0, 0, 1)), points)
        assert np.isfinite(skin).all()
        np.testing.assert_allclose(ours, skin, atol=0.01)


def tangent_planes(outline: NamedOutline, edge: float, angle: float, sign: float) -> list[tuple[np.ndarray, float]]:
    """Half-spaces z <= edge/2 + tan(angle) * distance to each tangent of a convex edge: their meet is the bevel."""
    # one tangent for the straight part, then one a millimetre or so
    u = np.concatenate([[0.0], np.linspace(outline.length - outline.belly_length, outline.length, 121)[1:]])
    feet = np.stack([u, outline.edge(u)], axis=1)
    reach = 1e-4
    run = np.stack([np.full_like(u, 2 * reach), outline.edge(u + reach) - outline.edge(u - reach)], axis=1)
    run[-1] = (reach, outline.edge(u[-1]) - outline.edge(u[-1] - reach))
    run /= np.linalg.norm(run, axis=1, keepdims=True)
    inward = np.stack([-run[:, 1], run[:, 0]], axis=1)
    slope = np.tan(np.radians(angle))
    planes = []
    for foot, normal in zip(feet, inward, strict=True):
        # keep slope * normal . (p - foot) + edge / 2 - sign * z >= 0
        outward = np.array([slope * normal[0], slope * normal[1], -sign])
        length = np.linalg.norm(outward)
        planes.append((outward / length, (slope * normal @ foot - edge / 2) / length))
    return planes


def cut(solid: Manifold, planes: list[tuple[np.ndarray, float]]) -> Manifold:
    for normal, offset in planes:
        solid = solid.trim_by_plane(tuple(normal), float(offset))
    return solid


@pytest.mark.parametrize("shape", ["drop point", "straight back", "sheepsfoot"])
def test_flat_bevel_round_the_belly(shape):
    outline = NamedOutline(shape=shape, length=160, height=34)
    blade, grind = Blade(outline=outline, thickness=4.0), Grind(edge=0.5, right=Flat(hold="angle", angle=6.0))
    right = cut(block(outline, 4.0), tangent_planes(outline, 0.5, 6.0, 1.0))
    compare(blade, grind, right, sides=("right",))
    left = cut(block(outline, 4.0), tangent_planes(outline, 0.5, 6.0, -1.0))
    compare(blade, grind, left, sides=("left",))


def test_distal_taper_and_two_different_bevels():
    outline = NamedOutline(shape="sheepsfoot", length=160, height=34)
    blade = Blade(outline=outline, thickness=5.0, tip_thickness=2.0)
    grind = Grind(
        edge=0.5,
        right=Flat(hold="angle", angle=7.0),
        left=Flat(hold="angle", angle=4.0),
    )
    solid = block(outline, 5.0)
    for sign, angle in ((1.0, 7.0), (-1.0, 4.0)):
        solid = cut(solid, tangent_planes(outline, 0.5, angle, sign)[:1])
        normal = np.array([-1.5 / 160, 0.0, -sign])
        size = np.linalg.norm(normal)
        solid = solid.trim_by_plane(tuple(normal / size), -2.5 / size)
    compare(blade, grind, solid)


def test_hollow_by_a_wheel():
    outline = NamedOutline(shape="sheepsfoot", length=120, height=34)
    blade = Blade(outline=outline, thickness=4.0)
    grind = Grind(edge=0.4, right=Hollow(height=18.0, wheel_radius=125))
    # the wheel's centre from the two points it passes through, (0, 0.2) and (18, 2.0), by their bisector
    chord = np.array([18.0, 1.8])
    length = np.linalg.norm(chord)
    centre = np.array([9.0, 1.1]) + np.array([-chord[1], chord[0]]) / length * np.sqrt(125**2 - length**2 / 4)
    wheel = (
        Manifold.cylinder(200, 125, circular_segments=4000).rotate((0, 90, 0)).translate((-20, centre[0], centre[1]))
    )
    solid = block(outline, 4.0) - wheel - wheel.mirror((0, 0, 1))
    compare(blade, grind, solid)


def test_a_ricasso_is_as_thick_as_the_bar_was():
    """The bevel's planes cut what lies past the ricasso; a plunge of no length is a wall across the blade."""
    outline = NamedOutline(shape="sheepsfoot", length=120, height=34, ricasso=30)
    blade = Blade(outline=outline, thickness=4.0)
    grind = Grind(edge=0.4, right=Flat(hold="angle", angle=5.0), plunge=0.0)
    whole = block(outline, 4.0)
    ground = whole
    for sign in (1.0, -1.0):
        ground = cut(ground, tangent_planes(outline, 0.4, 5.0, sign)[:1])
    solid = whole.trim_by_plane((-1, 0, 0), -30) + ground.trim_by_plane((1, 0, 0), 30)
    compare(blade, grind, solid)


def test_single_bevel():
    outline = NamedOutline(shape="sheepsfoot", length=120, height=34)
    blade = Blade(outline=outline, thickness=4.0)
    grind = Grind(edge=0.4, right=Flat(height=18), left=Unground())
    normal = np.array([0.0, 0.2, -1.0])  # z <= -2 + 0.4 + 0.2 y
    size = np.linalg.norm(normal)
    solid = block(outline, 4.0).trim_by_plane(tuple(normal / size), 1.6 / size)
    compare(blade, grind, solid)


def test_compound_by_planes_through_three_lines():
    """Each bevel as the plane through two lines along the blade: edge, where the bevels meet, and grind line."""
    outline = NamedOutline(shape="sheepsfoot", length=120, height=34)
    blade = Blade(outline=outline, thickness=4.0)
    grind = Grind(edge=0.4, right=Compound(height=18.0, edge_height=5.0, edge_angle=9.0))
    meet = 0.2 + 5.0 * np.tan(np.radians(9.0))
    solid = block(outline, 4.0)
    for low, high in (((0.0, 0.2), (5.0, meet)), ((5.0, meet), (18.0, 2.0))):
        run, rise = high[0] - low[0], high[1] - low[1]
        for sign in (1.0, -1.0):
            normal = np.array([0.0, rise, -sign * run])
            size = np.linalg.norm(normal)
            solid = solid.trim_by_plane(tuple(normal / size), (rise * low[0] - run * low[1]) / size)
    compare(blade, grind, solid)


def test_compound_round_the_belly():
    """The main bevel's planes start as far over the edge's as the line where both meet lies over their extension."""
    outline = NamedOutline(shape="drop point", length=160, height=34)
    blade = Blade(outline=outline, thickness=4.0)
    grind = Grind(edge=0.5, right=Compound(hold="angle", angle=5.0, edge_height=4.0, edge_angle=11.0))
    raised = 0.5 + 2 * 4.0 * (np.tan(np.radians(11.0)) - np.tan(np.radians(5.0)))
    solid = cut(block(outline, 4.0), tangent_planes(outline, 0.5, 11.0, 1.0))
    compare(blade, grind, cut(solid, tangent_planes(outline, raised, 5.0, 1.0)), sides=("right",))
