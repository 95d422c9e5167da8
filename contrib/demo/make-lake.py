#!/usr/bin/env python3
"""Writes the map of Tarn Pool, an invented lake, as GeoJSON contour lines (depth_ft).

    python3 make-lake.py > tarn-pool.geojson

There is no such water: name, shape, depths and place are made up for the demo.

The depth in feet, with r and a the radius and polar angle about the middle (metres, x east, y north):

    shore     r of the shore: an ellipse of 450 x 290 m with a few waves
    flat      its width: 50 m in the south to 115 m in the north; an inside turn 45 m narrower at 92 deg
    bar       a tongue of the flat, 36 m to each side of the segment (170, 230)..(95, 65)
    v         metres past the lip: shore - flat - r, or the distance past the bar's rim, whichever is
              less, rounded over 14 m where they meet (the inside corners beside the bar)
    u         metres from the shore: shore - r
    on the flat   9 (u / (u - v)) ^ .85, so 0 at the shore and 9 ft at the lip, slope about .025
    off the lip   9 + 15 (1 - exp(-v / 17)) + 4 tanh(v / 90): slope .28 at the lip, then slack; the
                  corner at the lip is rounded over 2 m
    hump      takes away up to 20 ft about (-150, -45), some 60 m across

Contours are traced on a 4 m grid, linear along cell sides, and joined into lines.
"""
import json
import math
import sys

NAME = "Tarn Pool (invented)"
MIDDLE_LAT, MIDDLE_LON = 46.5, -94.3
CELL_M = 4.0
HALF_X, HALF_Y = 480.0, 336.0
INTERVAL_FT = 5


def bell(a_deg, centre_deg, width_deg):
    turn = (a_deg - centre_deg + 180.0) % 360.0 - 180.0
    return math.exp(-0.5 * (turn / width_deg) ** 2)


def shore_m(a):
    ellipse = 450.0 * 290.0 / math.hypot(290.0 * math.cos(a), 450.0 * math.sin(a))
    return ellipse * (1 + 0.035 * math.sin(3 * a + 0.7) + 0.02 * math.sin(5 * a + 2.1)
                      + 0.008 * math.sin(11 * a))


def flat_m(a):
    return 82.0 + 33.0 * math.sin(a) - 45.0 * bell(math.degrees(a), 92.0, 9.0)


def past_bar_m(x, y):
    (x0, y0), (x1, y1) = (170.0, 230.0), (95.0, 65.0)
    share = ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / ((x1 - x0) ** 2 + (y1 - y0) ** 2)
    share = min(1.0, max(0.0, share))
    return math.hypot(x - x0 - share * (x1 - x0), y - y0 - share * (y1 - y0)) - 36.0


def less_of(p, q, round_m):
    h = max(round_m - abs(p - q), 0.0) / round_m
    return min(p, q) - h * h * round_m / 4


def depth_ft(x, y):
    a, r = math.atan2(y, x), math.hypot(x, y)
    u = shore_m(a) - r
    if u <= 0:
        return 0.04 * u  # land: above the water, so that the shore line can be traced
    v = less_of(u - flat_m(a), past_bar_m(x, y), 14.0)
    flat = 9.0 * (u / (u - min(v, 0.0))) ** 0.85
    past = 2.0 * math.log1p(math.exp(v / 2.0)) if v < 60 else v
    hump = 20.0 * math.exp(-((x + 150.0) ** 2 + (y + 45.0) ** 2) / (2 * 30.0 ** 2))
    return flat + 15.0 * (1 - math.exp(-past / 17.0)) + 4.0 * math.tanh(past / 90.0) - hump


def crossing(p, q, zp, zq, level):
    share = (level - zp) / (zq - zp)
    return (p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1]))


def trace(z, nx, ny, level):
    """Marching squares: {side: point} and, for each cell, pairs of sides that a line joins."""
    def at(i, j):
        return (-HALF_X + i * CELL_M, -HALF_Y + j * CELL_M)

    point, joined = {}, {}
    for j in range(ny - 1):
        for i in range(nx - 1):
            corner = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
            cut = []
            for k in range(4):
                p, q = corner[k], corner[(k + 1) % 4]
                zp, zq = z[p[1]][p[0]], z[q[1]][q[0]]
                if (zp < level) != (zq < level):
                    side = (min(p, q), max(p, q))
                    point[side] = crossing(at(*p), at(*q), zp, zq, level)
                    cut.append(side)
            for k in range(0, len(cut), 2):
                joined.setdefault(cut[k], []).append(cut[k + 1])
                joined.setdefault(cut[k + 1], []).append(cut[k])
    return point, joined


def lines(point, joined):
    left = dict((side, list(to)) for side, to in joined.items())
    for start in sorted(left):
        while left[start]:
            line, here = [point[start]], start
            while left[here]:
                to = left[here].pop()
                left[to].remove(here)
                line.append(point[to])
                here = to
            if len(line) > 4:
                yield line


def to_lon_lat(x, y):
    lat = math.radians(MIDDLE_LAT)
    # metres in a degree on WGS 84 (the usual cosine series, from memory; good to centimetres here)
    per_lat = 111132.92 - 559.82 * math.cos(2 * lat) + 1.175 * math.cos(4 * lat)
    per_lon = 111412.84 * math.cos(lat) - 93.5 * math.cos(3 * lat) + 0.118 * math.cos(5 * lat)
    return [round(MIDDLE_LON + x / per_lon, 7), round(MIDDLE_LAT + y / per_lat, 7)]


def main():
    nx, ny = int(2 * HALF_X / CELL_M) + 1, int(2 * HALF_Y / CELL_M) + 1
    # 1e-9: a corner exactly on a level would make a contour of no width
    z = [[depth_ft(-HALF_X + i * CELL_M, -HALF_Y + j * CELL_M) + 1e-9 for i in range(nx)]
         for j in range(ny)]
    deepest = max(map(max, z))
    features = []
    for level in range(0, int(deepest) + 1, INTERVAL_FT):
        for line in lines(*trace(z, nx, ny, level)):
            features.append({
                "type": "Feature",
                "properties": {"name": NAME, "depth_ft": level},
                "geometry": {"type": "LineString", "coordinates": [to_lon_lat(*p) for p in line]},
            })
    print('{"type": "FeatureCollection", "name": "tarn-pool",')
    print('"comment": "An invented lake: not a real water, not for navigation.",')
    print('"features": [')
    print(",\n".join(json.dumps(f) for f in features))
    print("]}")
    print("deepest %.1f ft, %d lines" % (deepest, len(features)), file=sys.stderr)


main()
