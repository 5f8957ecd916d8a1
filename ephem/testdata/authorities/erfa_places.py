#!/usr/bin/python3
"""Writes the two tables of outside values beside this file.

frames.csv: ERFA (Debian python3-erfa) precession-nutation matrix pnm06a and Greenwich
apparent sidereal time gst06a, at random instants.

places.csv: apparent topocentric places of Moon, Sun and stars at random sites (poles, antimeridian, high
and low ground among them) and instants, by another way than the program's: JPL DE405 read
directly, barycentric light time by iteration, ERFA pvtob, ab, ld, pnm06a, gst06a, hd2ae, dtdb.
UT1 = UTC, no polar motion, TAI-UTC = 37 s, WGS 84, airless. Distance and range rate: geometric.

    /usr/bin/python3 ephem/testdata/authorities/erfa_places.py
"""

import datetime
import math
import os
import random
import sys

import erfa
import numpy as np

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "..", "pack", "generate"))
import generate  # reads DE405

EMRAT = 81.30056
LIGHT = 299792.458  # km/s
DAY = 86400.0
J2000 = 2451545.0


def barycentric(planets, body, mjd):
    """km, from the barycentre of the solar system."""
    earth = np.array(planets.at(generate.BARYCENTRE, mjd)) - np.array(planets.at(generate.MOON, mjd)) / (1 + EMRAT)
    if body == "earth":
        return earth
    if body == "sun":
        return np.array(planets.at(generate.SUN, mjd))
    return earth + np.array(planets.at(generate.MOON, mjd))


def velocity(planets, body, mjd, step=60 / DAY):
    return (barycentric(planets, body, mjd + step) - barycentric(planets, body, mjd - step)) / (2 * step * DAY)


def frames(mjd_tt, mjd_ut1):
    return erfa.pnm06a(2400000.5, mjd_tt), erfa.gst06a(2400000.5, mjd_ut1, 2400000.5, mjd_tt)


def place(planets, lat, lon, height, body, mjd_utc):
    """body: 'moon', 'sun' or (ra, dec) in radians."""
    mjd_tt = mjd_utc + 69.184 / DAY
    mjd = mjd_tt + float(erfa.dtdb(2400000.5, mjd_tt, 0, 0, 0, 0)) / DAY
    bpn, gst = frames(mjd_tt, mjd_utc)
    pv = erfa.pvtob(lon, lat, height, 0, 0, 0, gst)
    here = bpn.T @ np.array(pv["p"]) / 1000
    moving = bpn.T @ np.array(pv["v"]) / 1000
    observer = barycentric(planets, "earth", mjd) + here
    speed = velocity(planets, "earth", mjd) + moving
    sun = barycentric(planets, "sun", mjd) - observer
    distance = rate = 0.0
    if isinstance(body, tuple):
        away = np.array(erfa.s2c(*body))
        from_sun = -sun / np.linalg.norm(sun)
        au = np.linalg.norm(sun) / 149597870.7
        natural = np.array(erfa.ldsun(away, from_sun, au))
    else:
        geometric = barycentric(planets, body, mjd) - observer
        distance = np.linalg.norm(geometric)
        rate = 1000 * geometric @ (velocity(planets, body, mjd) - speed) / distance
        late = distance
        for _ in range(4):
            seen = barycentric(planets, body, mjd - late / LIGHT / DAY) - observer
            late = np.linalg.norm(seen)
        natural = seen / late
    v = speed / LIGHT
    proper = np.array(erfa.ab(natural, v, np.linalg.norm(sun) / 149597870.7, math.sqrt(1 - v @ v)))
    ra, dec = erfa.c2s(bpn @ proper)
    az, el = erfa.hd2ae(gst + lon - ra, dec, lat)
    degrees = lambda x: math.degrees(x)
    return degrees(erfa.anp(az)), degrees(el), distance, rate, degrees(erfa.anp(ra)), degrees(dec)


SITES = [(90, 0), (-90, 0), (89.99, 45), (-78.5, 106.8), (71.2, 180), (-16.8, -180), (52.0, 179.95), (0, 0), (55.02, -2.96)]
STARS = [("Cas A", 350.85, 58.815), ("Sgr A*", 266.41683708, -29.00781056), ("ecliptic", 83.633, 22.0145), ("pole", 12, 89.9), ("south", 200, -75)]


def main():
    chance = random.Random(20270414)
    planets = generate.Planets()
    with open(os.path.join(HERE, "frames.csv"), "w") as file:
        file.write("mjd_tt,mjd_ut1,xx,xy,xz,yx,yy,yz,zx,zy,zz,gst_rad\n")
        for _ in range(60):
            mjd = round(chance.uniform(58849, 73480), 5)
            matrix, gst = frames(mjd, mjd - 69.184 / DAY)
            file.write(",".join([f"{mjd:.5f}", repr(mjd - 69.184 / DAY)] + [f"{x:.15f}" for row in matrix for x in row] + [f"{gst:.12f}"]) + "\n")
    begin = datetime.datetime(2020, 1, 2)
    with open(os.path.join(HERE, "places.csv"), "w") as file:
        file.write("lat_deg,lon_deg,height_m,body,ra_icrs_deg,dec_icrs_deg,utc,az_deg,el_deg,distance_km,range_rate_mps,ra_deg,dec_deg\n")
        for i in range(600):
            at = begin + datetime.timedelta(milliseconds=chance.randrange(int(40.05 * 365.25 * DAY * 1000)))
            mjd = 58849 + ((at - datetime.datetime(2020, 1, 1)) / datetime.timedelta(days=1))
            if chance.random() < 0.3:
                lat, lon = chance.choice(SITES)
            else:
                lat, lon = round(math.degrees(math.asin(chance.uniform(-1, 1))), 4), round(chance.uniform(-180, 180), 4)
            height = chance.choice([0, -400, 150, 2500, 8800, 40000])
            body = ("moon", "moon", "sun", "star")[i % 4]
            ra = dec = 0.0
            target = body
            if body == "star":
                body, ra, dec = chance.choice(STARS)
                target = (math.radians(ra), math.radians(dec))
            found = place(planets, math.radians(lat), math.radians(lon), height, target, mjd)
            stamp = at.isoformat(timespec="milliseconds") + "Z"
            file.write(f"{lat},{lon},{height},{body},{ra},{dec},{stamp}," + ",".join(f"{x:.7f}" for x in found) + "\n")


if __name__ == "__main__":
    main()
