#!/usr/bin/python3
"""Writes the ephemeris pack (its format: package pack) to the file named by the argument.

Source of Moon and Sun: JPL DE405, in the public domain, as in the Debian package
casacore-data-jpl-de405, read with python3-casacore. Source of the nutation: IAU
2006/2000A by ERFA, Debian package python3-erfa. With the same packages it writes the
same bytes on any machine: every coefficient is rounded to a step far coarser than
the rounding of the arithmetic.

    /usr/bin/python3 ephem/pack/generate/generate.py assets/ephemeris/de405.pack
"""

import math
import sys

import casacore.tables
import erfa

TABLE = "/usr/share/casacore/data/ephemerides/DE405"
FIRST, LAST = 58832, 73488  # modified Julian dates: 2019-12-15 to 2060-01-30, where DE405 ends

# In a row of 32 days: first number, terms of a polynomial, polynomials in the row.
BARYCENTRE, MOON, SUN = (228, 13, 2), (438, 13, 8), (750, 11, 2)


class Planets:
    """JPL DE405: Chebyshev polynomials by rows of 32 days."""

    def __init__(self):
        self.table = casacore.tables.table(TABLE, ack=False)
        self.begin, self.days = self.table.getcell("MJD", 0), self.table.getkeyword("dMJD")
        self.row = (None, None)

    def at(self, body, day):
        """Returns x, y, z in km from the barycentre of the solar system (Moon: from the Earth)."""
        first, terms, pieces = body
        # The end of the last row belongs to it.
        row = min(int((day - self.begin) // self.days), self.table.nrows() - 1)
        if row != self.row[0]:
            assert self.table.getcell("MJD", row) == self.begin + row * self.days, "rows are out of order"
            self.row = row, self.table.getcell("x", row)
        length = self.days / pieces
        into = day - self.begin - row * self.days
        piece = min(int(into // length), pieces - 1)
        x = 2 * (into - piece * length) / length - 1
        begin = first + piece * 3 * terms
        return [chebyshev(self.row[1][begin + i * terms : begin + (i + 1) * terms], x) for i in range(3)]


def chebyshev(coefficients, x):
    """The sum of coefficients times Chebyshev polynomials, after Clenshaw."""
    b0 = b1 = 0.0
    for c in reversed(coefficients[1:]):
        b0, b1 = float(c) + 2 * x * b0 - b1, b0
    return float(coefficients[0]) + x * b0 - b1


def moon(planets, day):
    return planets.at(MOON, day)


def sun(planets, day):
    """The Sun from the barycentre of Earth and Moon."""
    return [s - b for s, b in zip(planets.at(SUN, day), planets.at(BARYCENTRE, day))]


def nutation(_, day):
    return [float(x) for x in erfa.nut06a(2400000.5, day)]


def records(planets, place, days, terms, step):
    """Returns, by record and by term, the rounded coefficients of each component."""
    # The first terms of a longer series differ little from the best polynomial.
    nodes = 2 * terms + 6
    angles = [math.pi * (k + 0.5) / nodes for k in range(nodes)]
    cosines = [[math.cos(term * a) for a in angles] for term in range(terms)]
    found = []
    for begin in range(FIRST, LAST, days):
        values = [place(planets, begin + days * (1 + math.cos(a)) / 2) for a in angles]
        record = []
        for term in range(terms):
            share = (1 if term == 0 else 2) / nodes / step
            record.append([round(share * math.fsum(v[i] * c for v, c in zip(values, cosines[term])))
                           for i in range(len(values[0]))])
        found.append(record)
    return found


def width(numbers):
    """The least number of bytes that holds each of the numbers, signed."""
    most = max(max(numbers), -1 - min(numbers))
    return most.bit_length() // 8 + 1


def main(path):
    planets = Planets()
    lines = [
        "Beamhelm ephemeris pack, format 1",
        "Moon and Sun fitted to the planetary ephemeris JPL DE405 (E. M. Standish 1998, JPL IOM 312.F-98-048),",
        "a work of the United States government in the public domain; ICRF, km, time TDB.",
        "Nutation IAU 2006/2000A, radians. Made by ephem/pack/generate/generate.py.",
    ]
    body = bytearray()
    for name, place, days, terms, step in (
        ("moon", moon, 8, 13, 1e-3),
        ("sun", sun, 32, 9, 5e-2),
        ("nutation", nutation, 16, 14, 1e-10),
    ):
        table = records(planets, place, days, terms, step)
        widths = [width([n for record in table for n in record[term]]) for term in range(terms)]
        for record in table:
            for numbers, size in zip(record, widths):
                for n in numbers:
                    body += n.to_bytes(size, "little", signed=True)
        lines.append(f"table {name} from {FIRST} days {days} records {len(table)} components {len(table[0][0])} "
                     f"terms {terms} step {step!r} widths {' '.join(map(str, widths))}")
    with open(path, "wb") as file:
        file.write("\n".join(lines + ["end", ""]).encode("ascii") + body)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: generate.py FILE")
    main(sys.argv[1])
