"""Programmed figures that are mirrored, scaled or rotated (G51.1, G51, G68): from programmed to program coordinates and back.

The control mirrors first, then scales, then rotates (common word-address practice, from memory).
"""

import math
from dataclasses import dataclass

Point = tuple[float, float, float]
IN_PLANE = {17: (0, 1), 18: (2, 0), 19: (1, 2)}  # first and second axis, so that counterclockwise is positive
NORMAL = {17: 2, 18: 1, 19: 0}


@dataclass(frozen=True, slots=True)
class Frame:
    """What is done to programmed points. A mirror of None leaves its axis alone; lengths in mm, the angle in rad."""

    mirror: tuple[float | None, float | None, float | None] = (None, None, None)
    scale: Point = (1.0, 1.0, 1.0)
    scale_centre: Point = (0.0, 0.0, 0.0)
    angle: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)
    plane: int = 17

    @property
    def changes_nothing(self) -> bool:
        """Is every point where it is programmed?"""
        return self.mirror == (None, None, None) and self.scale == (1.0, 1.0, 1.0) and self.angle == 0.0

    def forward(self, point: Point) -> Point:
        """Where a programmed point lies."""
        moved = [p if m is None else 2 * m - p for p, m in zip(point, self.mirror, strict=True)]
        moved = [c + f * (p - c) if f != 1.0 else p for p, f, c in zip(moved, self.scale, self.scale_centre, strict=True)]
        return self._turned(moved, self.angle)

    def back(self, point: Point) -> Point:
        """What would be programmed for a point."""
        moved = list(self._turned(list(point), -self.angle))
        moved = [c + (p - c) / f if f != 1.0 else p for p, f, c in zip(moved, self.scale, self.scale_centre, strict=True)]
        moved = [p if m is None else 2 * m - p for p, m in zip(moved, self.mirror, strict=True)]
        return (moved[0], moved[1], moved[2])

    def _turned(self, point: list[float], angle: float) -> Point:
        if angle != 0.0:
            first, second = IN_PLANE[self.plane]
            u, v = point[first] - self.centre[0], point[second] - self.centre[1]
            cos, sin = math.cos(angle), math.sin(angle)
            point[first] = self.centre[0] + u * cos - v * sin
            point[second] = self.centre[1] + u * sin + v * cos
        return (point[0], point[1], point[2])

    def turns_over(self, plane: int) -> bool:
        """Does a clockwise arc in that plane become counterclockwise?"""
        first, second = IN_PLANE[plane]
        flips = [(self.mirror[axis] is not None) != (self.scale[axis] < 0) for axis in (first, second)]
        return flips[0] != flips[1]

    def keeps_circles(self, plane: int) -> bool:
        """Does an arc in that plane stay an arc?"""
        first, second = IN_PLANE[plane]
        same = abs(abs(self.scale[first]) - abs(self.scale[second])) < 1e-9
        return same and (self.angle == 0.0 or self.plane == plane)

    def factor(self, plane: int) -> float:
        """How much an arc in that plane grows."""
        return abs(self.scale[IN_PLANE[plane][0]])
