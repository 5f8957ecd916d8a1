#!/usr/bin/python3
"""Checks what the program prints against ERFA and JPL DE405, at random sites and instants.

    /usr/bin/python3 ephem/testdata/authorities/acceptance.py PROGRAM SEED ROWS

Places come by erfa_places.py beside this file. Passes come by a scan of those places every ten
minutes, whose turning points and crossings are searched by halving. Echoes come by going the way
back from the reception in a frame that doesn't turn: Doppler is the rate at which that way grows;
the spread is how fast a Moon that turns by the IAU's rotation elements (2009) turns under both
stations. It prints the worst differences and ends with 1 where one is beyond what is allowed.
"""

import csv
import datetime
import io
import math
import os
import random
import subprocess
import sys

import erfa
import numpy as np

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import erfa_places

DAY = 86400.0
BEGIN = datetime.datetime(2020, 1, 2)
FIRST, DAYS = 58850, 14600
SITES = [(90, 0), (-90, 10), (89.7, 45), (71.2, 180), (-16.8, -180), (52.0, 179.99), (0, 0), (67.5, 20), (62.2, -8)]
STARS = {"Cas A": (350.85, 58.815), "Sgr A*": (266.41683708, -29.00781056)}
MOON_KM = 1737.4
ALLOWED = {
    "place, degrees": 0.0002, "distance of the Moon, km": 0.02, "range rate of the Moon, m/s": 0.005,
    "distance of the Sun, km": 1, "passes not the same": 0, "rise and set, s": 0.11, "azimuth at them, degrees": 0.002,
    "highest, degrees": 0.0002, "Doppler, Hz a GHz": 0.01, "delay, s": 1e-7, "loss, dB": 0.005, "spread, share": 0.02,
    "partner's elevation, degrees": 0.0002, "polarisation, degrees": 0.01,
}


class Worst(dict):
    def take(self, what, difference, row):
        if what not in self or not difference <= self[what][0]:
            self[what] = (difference, row)


def stamp(mjd):
    return (BEGIN + datetime.timedelta(days=mjd - FIRST)).isoformat(timespec="milliseconds") + "Z"


def mjd_of(text):
    return FIRST + (datetime.datetime.fromisoformat(text.rstrip("Z")) - BEGIN) / datetime.timedelta(days=1)


def instant(chance, days=DAYS):
    return mjd_of(stamp(FIRST + chance.random() * days))


def site(chance, edges=0.3):
    if chance.random() < edges:
        lat, lon = chance.choice(SITES)
    else:
        lat, lon = round(math.degrees(math.asin(chance.uniform(-1, 1))), 4), round(chance.uniform(-180, 180), 4)
    return lat, lon, chance.choice([0, 150, 2500])


def radians(where):
    return math.radians(where[0]), math.radians(where[1]), where[2]


def words(where):
    return "%r,%r,%r" % where


def ask(program, *arguments, given=None):
    done = subprocess.run([program, *map(str, arguments)], input=given, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{' '.join(map(str, arguments))}: {done.stderr.strip()}")
    return list(csv.DictReader(io.StringIO(done.stdout)))


def at_site(where):
    return ["-lat", repr(where[0]), "-lon", repr(where[1]), "-height", where[2], "-airless", "-csv"]


def apart(az1, el1, az2, el2):
    a, b = (np.array(erfa.s2c(math.radians(az), math.radians(el))) for az, el in ((az1, el1), (az2, el2)))
    return math.degrees(float(erfa.sepp(a, b)))


def places(program, planets, chance, rows, worst):
    asked, wanted = ["lat_deg,lon_deg,height_m,target,utc"], []
    for i in range(rows):
        where, at, body = site(chance), instant(chance), ("Moon", "Moon", "Sun", "star")[i % 4]
        target, name = body.lower(), body
        if body == "star":
            name = chance.choice(list(STARS) + [""])
            ra, dec = STARS[name] if name else (round(chance.uniform(0, 360), 5), round(chance.uniform(-89, 89), 5))
            target, name = (math.radians(ra), math.radians(dec)), name or f'"{ra},{dec}"'
        asked.append(f"{words(where)},{name},{stamp(at)}")
        wanted.append((body, erfa_places.place(planets, *radians(where), target, at)))
    got = ask(program, "place", "-batch", "-", given="\n".join(asked) + "\n")
    assert len(got) == rows, f"{len(got)} rows of {rows}"
    for row, (body, want), line in zip(got, wanted, asked[1:]):
        worst.take("place, degrees", apart(float(row["az_deg"]), float(row["el_deg"]), want[0], want[1]), line)
        if body != "star":
            worst.take(f"distance of the {body}, km", abs(float(row["distance_km"]) - want[2]), line)
        if body == "Moon":
            worst.take("range rate of the Moon, m/s", abs(float(row["range_rate_mps"]) - want[3]), line)


def turning_point(f, a, b):
    """Where f is greatest between a and b, which has one such place."""
    for _ in range(50):
        c, d = a + (b - a) * 0.382, a + (b - a) * 0.618
        a, b = (a, d) if f(c) > f(d) else (c, b)
    return (a + b) / 2


def crossing(f, a, b):
    up = f(a) >= 0
    for _ in range(45):
        c = (a + b) / 2
        a, b = (c, b) if (f(c) >= 0) == up else (a, c)
    return (a + b) / 2


def scan(f, begin, end):
    """The spans in which f is not below zero; None where begin or end cut one."""
    count = math.ceil((end - begin) * 144)
    points = [(t, f(t)) for t in (begin + (end - begin) * i / count for i in range(count + 1))]
    for (a, fa), (b, fb), (c, fc) in zip(points[:], points[1:], points[2:]):
        for side in (1, -1):
            if side * fb >= side * fa and side * fb >= side * fc and side * fb < 0 and abs(fb) < 1:
                t = turning_point(lambda x: side * f(x), a, c)
                points.append((t, f(t)))
    points.sort()
    spans, rise, up = [], None, points[0][1] >= 0
    for (a, fa), (b, fb) in zip(points, points[1:]):
        if (fa >= 0) != (fb >= 0):
            t = crossing(f, a, b)
            if fb < 0:
                spans.append((rise, t))
            rise, up = t, fb >= 0
    if up:
        spans.append((rise, None))
    return spans


def passes(program, planets, chance, worst):
    where, least = site(chance, 0.6), chance.choice([0, 0, 10, 25.5])
    partner = site(chance) if chance.random() < 0.4 else None
    name, body, days = chance.choice([("Moon", "moon", 15)] * 3 + [("Sun", "sun", 4), ("Cas A", tuple(map(math.radians, STARS["Cas A"])), 4)])
    begin = instant(chance)
    end = mjd_of(stamp(begin + days))
    own = lambda t: erfa_places.place(planets, *radians(where), body, t)
    above = lambda t: min(erfa_places.place(planets, *radians(w), body, t)[1] for w in (where, partner) if w) - least
    wanted = scan(above, begin, end)
    with_partner = ["-partner", words(partner)] if partner else []
    got = ask(program, "passes", "-target", name, "-from", stamp(begin), "-to", stamp(end), "-min", least, *at_site(where), *with_partner)
    line = f"{name} from {where} with {partner} above {least}, {stamp(begin)} to {stamp(end)}"
    worst.take("passes not the same", abs(len(got) - len(wanted)), line)
    for row, (rise, ends) in zip(got, wanted):
        for time, azimuth, want in ((row["rise_utc"], row["rise_az_deg"], rise), (row["set_utc"], row["set_az_deg"], ends)):
            if (time == "") != (want is None):
                worst.take("passes not the same", 1, line)
            elif want is not None:
                worst.take("rise and set, s", abs(mjd_of(time) - want) * DAY, line)
                if abs(where[0]) < 89.9:  # at the pole itself there is no north
                    worst.take("azimuth at them, degrees", abs((float(azimuth) - own(want)[0] + 180) % 360 - 180), line)
        a, b = rise or begin, ends or end
        times = np.linspace(a, b, max(100, int((b - a) * 72)))
        best = int(np.argmax([own(t)[1] for t in times]))
        top = turning_point(lambda t: own(t)[1], times[max(0, best - 1)], times[min(len(times) - 1, best + 1)])
        worst.take("highest, degrees", abs(own(top)[1] - float(row["highest_el_deg"])), line)


class Way:
    """Down from the Moon to the station that hears, and before that up from the one that sends."""

    def __init__(self, planets, hears, sends):
        self.planets, self.hears, self.sends = planets, radians(hears), radians(sends)

    def moon(self, t):
        return np.array(self.planets.at(erfa_places.generate.MOON, t + 69.184 / DAY))

    @staticmethod
    def station(where, t):
        bpn, gst = erfa_places.frames(t + 69.184 / DAY, t)
        lat, lon, height = where
        return bpn.T @ np.array(erfa.pvtob(lon, lat, height, 0, 0, 0, gst)["p"]) / 1000

    def legs(self, t):
        """km down, km up, and when the signal was at the Moon."""
        here, bounce = self.station(self.hears, t), t
        for _ in range(6):
            down = np.linalg.norm(self.moon(bounce) - here)
            bounce = t - down / erfa_places.LIGHT / DAY
        there, sent = self.moon(bounce), bounce
        for _ in range(6):
            up = np.linalg.norm(there - self.station(self.sends, sent))
            sent = bounce - up / erfa_places.LIGHT / DAY
        return down, up, bounce

    def delay(self, t):
        down, up, _ = self.legs(t)
        return (down + up) / erfa_places.LIGHT

    def doppler(self, t, hertz, step=20.0):
        near, far = (self.delay(t + k * step / DAY) - self.delay(t - k * step / DAY) for k in (1, 2))
        return -hertz * (8 * near - far) / (12 * step)

    def over(self, where, t):
        """The unit vector from the Moon's middle to a station, in axes fixed to the Moon."""
        away = self.station(where, t) - self.moon(t)
        return moon_axes(t) @ (away / np.linalg.norm(away))

    def spread(self, t, hertz, step=60.0):
        both = lambda at: self.over(self.hears, at) + self.over(self.sends, at)
        turning = (both(t + step / DAY) - both(t - step / DAY)) / (2 * step)
        middle = both(t) / np.linalg.norm(both(t))
        return 2 * hertz * MOON_KM / erfa_places.LIGHT * np.linalg.norm(turning - middle * (middle @ turning))


def moon_axes(mjd):
    """The Moon's axes by the greater terms of the report of the IAU working group of 2009 (from memory)."""
    d = mjd - 51544.5
    e1, e2, e3, e4 = (math.radians(a + b * d) for a, b in ((125.045, -0.0529921), (250.089, -0.1059842), (260.008, 13.0120009), (176.625, 13.3407154)))
    ra = 269.9949 + 0.0031 * d / 36525 - 3.8787 * math.sin(e1) - 0.1204 * math.sin(e2) + 0.07 * math.sin(e3) - 0.0172 * math.sin(e4)
    dec = 66.5392 + 0.013 * d / 36525 + 1.5419 * math.cos(e1) + 0.0239 * math.cos(e2) - 0.0278 * math.cos(e3) + 0.0068 * math.cos(e4)
    w = 38.3213 + 13.17635815 * d + 3.561 * math.sin(e1) + 0.1208 * math.sin(e2) - 0.0642 * math.sin(e3) + 0.0158 * math.sin(e4)
    ra, dec, w = math.radians(ra), math.radians(dec), math.radians(w % 360)
    turn = erfa.rz(math.pi / 2 + ra, np.eye(3))
    return erfa.rz(w, erfa.rx(math.pi / 2 - dec, turn))


def vertical(planets, where, t):
    """The angle of the station's vertical at the Moon against the sky's north."""
    az, el = map(math.radians, erfa_places.place(planets, *radians(where), "moon", t)[:2])
    lat = math.radians(where[0])
    return math.degrees(math.atan2(-math.sin(az) * math.cos(lat), math.sin(lat) * math.cos(el) - math.cos(lat) * math.sin(el) * math.cos(az)))


def echo(program, planets, chance, worst):
    here, there, at, mhz = site(chance), site(chance), instant(chance), chance.choice([144, 432, 1296, 10368, 24048])
    row = ask(program, "echo", "-mhz", mhz, "-at", stamp(at), "-partner", words(there), *at_site(here))[0]
    line = f"{here} and {there}, {mhz} MHz, {stamp(at)}"
    for whose, sends in (("own", here), ("mutual", there)):
        way = Way(planets, here, sends)
        down, up, bounce = way.legs(at)
        given = {name: float(row[f"{whose}_{name}"]) for name in ("doppler_hz", "delay_s", "loss_db", "spread_hz")}
        worst.take("Doppler, Hz a GHz", abs(way.doppler(at, mhz * 1e6) - given["doppler_hz"]) / (mhz / 1000), line)
        worst.take("delay, s", abs((down + up) / erfa_places.LIGHT - given["delay_s"]), line)
        # The radar equation of a point of 0.065 of the Moon's disc.
        disc = 0.065 * math.pi * (MOON_KM * 1e3) ** 2
        wave = 299792458 / (mhz * 1e6)
        loss = 10 * math.log10((4 * math.pi) ** 3 * (down * 1e3) ** 2 * (up * 1e3) ** 2 / (wave**2 * disc))
        worst.take("loss, dB", abs(loss - given["loss_db"]), line)
        spread = way.spread(bounce, mhz * 1e6)
        worst.take("spread, share", abs(spread - given["spread_hz"]) / max(spread, mhz / 1e3 * 0.2), line)
    worst.take("partner's elevation, degrees", abs(erfa_places.place(planets, *radians(there), "moon", at)[1] - float(row["partner_el_deg"])), line)
    if max(abs(here[0]), abs(there[0])) < 89.9:
        turned = vertical(planets, here, at) - vertical(planets, there, at) - float(row["polarisation_deg"])
        worst.take("polarisation, degrees", abs((turned + 90) % 180 - 90), line)


def main(program, seed, rows):
    chance, planets, worst = random.Random(seed), erfa_places.generate.Planets(), Worst()
    places(program, planets, chance, rows, worst)
    for _ in range(max(2, rows // 200)):
        passes(program, planets, chance, worst)
    for _ in range(max(4, rows // 50)):
        echo(program, planets, chance, worst)
    wrong = False
    for what, (difference, row) in worst.items():
        beyond = not difference <= ALLOWED[what]
        wrong = wrong or beyond
        print(f"{what}: {difference:.3g} of {ALLOWED[what]:g}" + (f"  WRONG: {row}" if beyond else ""))
    return int(wrong)


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit("usage: acceptance.py PROGRAM SEED ROWS")
    sys.exit(main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3])))
