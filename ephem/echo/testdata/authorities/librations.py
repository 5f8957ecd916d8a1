#!/usr/bin/python3
"""Writes librations.csv beside this file: how fast the Moon turns as sites see it.

The Moon's axes are the librations of JPL DE405 (Debian: casacore-data-jpl-de405, python3-casacore), Euler
angles ICRF to principal axes, the sites by ERFA (python3-erfa: pvtob, pnm06a, gst06a). Rates are
differences over 300 s. turn_own_rad_s is twice the change of the unit vector from the Moon to the first site,
turn_both_rad_s the sum of the changes for both sites; limb to limb that is 2 R f / c times as many Hz. along1_deg and
up1_deg are where the first site stands over the Moon, from its centre.

    /usr/bin/python3 ephem/echo/testdata/authorities/librations.py
"""

import math
import os
import random
import sys

import erfa
import numpy as np

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.join(HERE, "..", "..", "..")
sys.path.insert(0, os.path.join(ROOT, "pack", "generate"))
import generate  # reads DE405

LIBRATIONS = (896, 10, 4)
DAY = 86400.0


def axes(planets, mjd):
    phi, theta, psi = planets.at(LIBRATIONS, mjd)
    return np.array(erfa.rz(psi, erfa.rx(theta, erfa.rz(phi, np.identity(3)))))


def seen(planets, site, mjd_utc):
    mjd = mjd_utc + 69.184 / DAY
    bpn, gst = erfa.pnm06a(2400000.5, mjd), erfa.gst06a(2400000.5, mjd_utc, 2400000.5, mjd)
    lat, lon, height = site
    pv = erfa.pvtob(math.radians(lon), math.radians(lat), height, 0, 0, 0, gst)
    away = axes(planets, mjd) @ (bpn.T @ np.array(pv["p"]) / 1000 - np.array(planets.at(generate.MOON, mjd)))
    return away / np.linalg.norm(away)


def turning(planets, site, mjd):
    half = 150 / DAY
    return (seen(planets, site, mjd + half) - seen(planets, site, mjd - half)) / 300


def main():
    chance = random.Random(1946)
    planets = generate.Planets()
    site = lambda: (round(math.degrees(math.asin(chance.uniform(-1, 1))), 3), round(chance.uniform(-180, 180), 3), 100)
    with open(os.path.join(HERE, "librations.csv"), "w") as file:
        file.write("lat1,lon1,height1,lat2,lon2,height2,unix_s,turn_own_rad_s,turn_both_rad_s,along1_deg,up1_deg\n")
        for _ in range(120):
            here, there = site(), site()
            unix = chance.randrange(1577923200, 2840140800)
            mjd = 40587 + unix / DAY
            a, b = turning(planets, here, mjd), turning(planets, there, mjd)
            file.write(",".join(map(str, here + there + (unix,))) + f",{2 * np.linalg.norm(a):.6e},{np.linalg.norm(a + b):.6e}"
                       + ",{:.4f},{:.4f}\n".format(*map(math.degrees, erfa.c2s(seen(planets, here, mjd)))))


if __name__ == "__main__":
    main()
