"""Where an area is too narrow for powder and still links or parts something: the middle lines of its narrows."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiLineString, Polygon

SPACING = 0.06
"""Spacing (mm) of the points of an outline by which its middle is found."""

HAIR = 0.01
"""What is nowhere farther (mm) from what a disc passes over is passed over."""


def narrows(area: Any, within: Polygon, reach: float) -> Any:
    """Return the middle of an area where a disc of radius ``reach`` (mm) does not pass.

    Only what leads from one wide place to another, beyond ``within``, or round something: a tip that runs out is no
    narrow. The middle is the Voronoi diagram of points of the outline beside the narrows.
    """
    from scipy.spatial import Voronoi

    wide = area.buffer(-reach, quad_segs=8).buffer(reach + HAIR, quad_segs=8)
    narrow = area.difference(wide)
    if narrow.is_empty:
        return MultiLineString()
    # up to the discs at a narrow's ends, and all of the outline that is nearest to any place there
    near = narrow.buffer(2 * reach, quad_segs=4).intersection(area)
    beside = narrow.buffer(3 * reach + SPACING, quad_segs=4)
    points = np.unique(shapely.get_coordinates(area.boundary.intersection(beside).segmentize(SPACING)), axis=0)
    if len(points) < 4:
        return MultiLineString()
    found = Voronoi(points)
    ends, sides = np.array(found.ridge_vertices), found.ridge_points
    bounded = (ends >= 0).all(axis=1)
    ends, sides = ends[bounded], sides[bounded]
    inner, inside = _contains(near, found.vertices), _contains(within, found.vertices)
    # how far each corner of the diagram is from the outline
    room = np.full(len(inner), np.inf)
    np.minimum.at(room, ends.ravel(), np.hypot(*(found.vertices[ends] - points[sides[:, :1]]).T).T.ravel())
    ends = ends[inner[ends].all(axis=1) & (room[ends] < reach).any(axis=1)]
    open_ended = (room >= reach) | ~inside
    while len(ends):
        count = np.bincount(ends.ravel(), minlength=len(room))
        dead = ((count[ends] == 1) & ~open_ended[ends]).any(axis=1)
        if not dead.any():
            break
        ends = ends[~dead]
    return shapely.line_merge(shapely.multilinestrings(found.vertices[ends])).simplify(SPACING / 4)


def _contains(shape: Any, places: Any) -> Any:
    shapely.prepare(shape)
    return shapely.contains_xy(shape, *places.T)
