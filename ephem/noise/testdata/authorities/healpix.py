#!/usr/bin/env python3
"""The sky at 408 MHz through Gaussian beams, by spherical harmonics: writes healpix.csv.

Needs python3-healpy (made with 1.16.1, Debian 12). Run it in this folder.
Method: K. M. Gorski and others 2005, ApJ 622, 759.
"""
import gzip
import numpy as np
import healpy

steps = np.frombuffer(gzip.open("../../../../assets/sky408/sky.bin.gz").read(), np.uint8).reshape(361, 720)
table = 11 * np.exp(steps / 50.0)

NSIDE = 512
ra, dec = healpy.pix2ang(NSIDE, np.arange(healpy.nside2npix(NSIDE)), lonlat=True)
along, up = (ra % 360) / 0.5, (dec + 90) / 0.5
row = np.minimum(up.astype(int), 359)
column = along.astype(int) % 720
following = (column + 1) % 720
c, r = along - along.astype(int), up - row
sky = (table[row, column] * (1 - c) + table[row, following] * c) * (1 - r) \
    + (table[row + 1, column] * (1 - c) + table[row + 1, following] * c) * r

n = 60
k = np.arange(n)
at_dec = np.degrees(np.arcsin(1 - (2 * k + 1) / n))
at_ra = (k * 137.50776405) % 360
at = [(r, d) for r, d in zip(at_ra, at_dec)] + [(266.4168, -29.0078), (83.6, 22.0)]

with open("healpix.csv", "w") as out:
    out.write("# The table of the sky at 408 MHz through Gaussian beams, by healpix.py beside this file.\n")
    out.write("ra,dec,beam,kelvin\n")
    for beam in (2.72, 5.0, 10.0, 20.0):
        kernel = np.sqrt(beam ** 2 - 0.97 ** 2)
        smooth = healpy.smoothing(sky, fwhm=np.radians(kernel), lmax=1200)
        for ra0, dec0 in at:
            value = healpy.get_interp_val(smooth, ra0, dec0, lonlat=True)
            out.write(f"{ra0:.4f},{dec0:.4f},{beam},{value:.4f}\n")
