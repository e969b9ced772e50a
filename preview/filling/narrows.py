"""Where an area is too narrow for powder and still links or parts something: the middle lines of its narrows."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiLineString, Polygon

SPACING = 0.06
"""Spacing (mm) of the points of an outline by which its middle is found."""


def narrows(area: Any, within: Polygon, reach: float) -> Any:
    """Return the middle of an area where a disc of radius ``reach`` (mm) does not pass.

    Only what leads from one wide place to another, beyond ``within``, or round something: a tip that runs out is no
    narrow. The middle is the Voronoi diagram of points of the outline.
    """
    from scipy.spatial import Voronoi

    points = np.unique(shapely.get_coordinates(area.boundary.segmentize(SPACING)), axis=0)
    if len(points) < 4:
        return MultiLineString()
    found = Voronoi(points)
    ends, beside = np.array(found.ridge_vertices), found.ridge_points
    bounded = (ends >= 0).all(axis=1)
    ends, beside = ends[bounded], beside[bounded]
    shapely.prepare(area)
    inner = shapely.contains_xy(area, *found.vertices.T)
    # how far each corner of the diagram is from the outline
    room = np.full(len(found.vertices), np.inf)
    np.minimum.at(room, ends.ravel(), np.hypot(*(found.vertices[ends] - points[beside[:, :1]]).T).T.ravel())
    kept = inner[ends].all(axis=1) & (room[ends] < reach).any(axis=1)
    ends = ends[kept]
    open_ended = (room >= reach) | ~shapely.contains_xy(within, *found.vertices.T)
    while len(ends):
        count = np.bincount(ends.ravel(), minlength=len(room))
        dead = ((count[ends] == 1) & ~open_ended[ends]).any(axis=1)
        if not dead.any():
            break
        ends = ends[~dead]
    return shapely.line_merge(shapely.multilinestrings(found.vertices[ends])).simplify(SPACING / 4)
