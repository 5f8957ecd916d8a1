"""An enclosure written from the handbook's register page alone: enclosure.py PORT.

It shares no code with the simulated enclosure. Two axes with continuous speed,
a noise detector and a transmit gate are fitted; nothing else is. It ends on a signal.
"""
import os
import select
import struct
import sys
import termios
import time
import tty

UNIT = 1
HIGHEST = 0x5F
RAMP_MS = (1000, 1500)
COUNTS_PER_SECOND = 800  # at full drive
SUPPLY_S = 0.3
FITTED = 1 << 0 | 1 << 1 | 1 << 4 | 1 << 5
WATCHDOG = 0  # bit of the trips
BAD_FUNCTION, BAD_ADDRESS, BAD_VALUE = 1, 2, 3


class Refused(Exception):
    """A request that is answered by an exception; its argument is the code."""


def crc(frame):
    value = 0xFFFF
    for byte in frame:
        value ^= byte
        for _ in range(8):
            value = value >> 1 ^ (0xA001 if value & 1 else 0)
    return struct.pack("<H", value)


def signed(word):
    return word - 0x10000 if word & 0x8000 else word


class Enclosure:
    def __init__(self):
        self.began = self.now = time.monotonic()
        self.orders = [0] * 16  # 0010 to 001F
        self.orders[4] = 1000
        self.trips = 1 << 3
        self.power = "off"  # or "coming on", "on"
        self.coming = self.fed = self.changed_sequence = self.switched = self.now
        self.permit = self.noise_source = False
        self.applied = [0.0, 0.0]
        self.place = [0.0, 0.0]
        self.counts = [0, 0]
        self.upward = [False, False]
        self.counted = [None, None]
        self.driven_without_count = [0.0, 0.0]
        self.lost = [False, False]
        self.peaks = [[], []]
        self.bad_frames = 0

    # Section 7: what it does by itself.
    def live(self):
        now = time.monotonic()
        while self.now < now:
            step = min(0.002, now - self.now)
            self.now += step
            self.step(step)

    def step(self, step):
        if self.power == "coming on":
            if self.now - self.coming >= SUPPLY_S:
                self.power = "on"
            elif self.now - self.coming >= 2:
                self.trip(6)
        for axis in range(2):
            self.turn(axis, step)
        guarded = self.power != "off" or self.permit
        if guarded and self.now - self.fed >= self.orders[4] / 1000:
            self.trip(WATCHDOG)
            self.switch_noise_source(False)
        if self.now - self.changed_sequence >= 5:
            self.switch_noise_source(False)

    def turn(self, axis, step):
        demand = signed(self.orders[2 + axis])
        if self.power != "on" or self.orders[1] & 8 << axis:
            demand = 0
        if self.power != "on":
            self.applied[axis] = 0.0
        most = 10000 * step * 1000 / RAMP_MS[axis]
        self.applied[axis] += max(-most, min(most, demand - self.applied[axis]))
        self.place[axis] += COUNTS_PER_SECOND * self.applied[axis] / 10000 * step
        counts = int(self.place[axis] // 1)
        if counts != self.counts[axis]:
            self.upward[axis] = counts > self.counts[axis]
            self.counts[axis], self.counted[axis] = counts, self.now
            self.driven_without_count[axis] = 0.0
        elif abs(self.applied[axis]) >= 2000:
            self.driven_without_count[axis] += step
            if self.driven_without_count[axis] >= 1.5:
                self.lost[axis] = True
                self.trip(7 + axis)
        else:
            self.driven_without_count[axis] = 0.0
        current = abs(self.current(axis))
        peaks = self.peaks[axis]
        if not peaks or current >= peaks[-1][1]:
            peaks[:] = [p for p in peaks if p[1] > current]
            peaks.append((self.now, current))
        self.peaks[axis] = [p for p in peaks if self.now - p[0] < 10] or [(self.now, current)]

    def current(self, axis):
        return round(self.applied[axis] / 40)

    def trip(self, bit):
        self.trips |= 1 << bit
        self.power = "off"
        self.applied = [0.0, 0.0]
        self.give_permit(False)

    def give_permit(self, on):
        if on != self.permit:
            self.permit, self.switched = on, self.now

    def switch_noise_source(self, on):
        if on != self.noise_source:
            self.noise_source, self.switched = on, self.now

    # Section 3: what is written.
    def check(self, first, values):
        for place, value in enumerate(values, first):
            good = value == 0
            if place in (0, 5, 10):
                good = True
            elif place == 1:
                good = value & ~0b111101 == 0
            elif place in (2, 3):
                good = -10000 <= signed(value) <= 10000
            elif place == 4:
                good = 200 <= value <= 2000
            elif place == 8:
                good = value < 256
            elif place == 9:
                good = value <= 15
            if not good:
                raise Refused(BAD_VALUE)

    def write(self, first, values):
        self.check(first, values)
        before = list(self.orders)
        self.orders[first:first + len(values)] = values
        clears, self.orders[5] = self.orders[5], 0
        if self.orders[0] != before[0]:
            self.fed = self.changed_sequence = self.now
        for axis in range(2):
            if clears & 1 << 7 + axis:
                self.lost[axis] = False
        self.trips &= ~(clears & 0x1FF)
        if first <= 1 < first + len(values):
            self.obey(self.orders[1] & ~before[1], clears == 0)
        if self.orders[8] & ~1 != before[8] & ~1 or self.orders[9] != before[9]:
            self.switched = self.now
        if first <= 8 < first + len(values):
            self.switch_noise_source(bool(self.orders[8] & 1))

    def obey(self, rising, clears_nothing):
        guarded = self.power != "off" or self.permit
        may = clears_nothing and self.trips == 0
        if not self.orders[1] & 1:
            self.power, self.applied = "off", [0.0, 0.0]
        elif rising & 1 and may and self.orders[2] == 0 and self.orders[3] == 0:
            self.power, self.coming = "coming on", self.now
        if not self.orders[1] & 4:
            self.give_permit(False)
        elif rising & 4 and may:
            self.give_permit(True)
        if not guarded:
            self.fed = self.now

    # Sections 2, 4 and 5: what is read.
    def registers(self):
        r = [0] * (HIGHEST + 1)
        millis = int((self.now - self.began) * 1000)

        def long(address, value):
            r[address], r[address + 1] = value >> 16 & 0xFFFF, value & 0xFFFF

        r[0x00], r[0x01], r[0x04], r[0x05] = 1, FITTED, 12, 0x0203
        long(0x02, millis // 1000)
        r[0x07], r[0x08], r[0x0F] = *RAMP_MS, HIGHEST
        r[0x10:0x20] = self.orders
        r[0x20] = int(self.power == "on")
        for axis in range(2):
            long(0x22 + 2 * axis, self.counts[axis])
            r[0x26 + axis] = self.current(axis) & 0xFFFF
            r[0x28 + axis] = round(self.applied[axis]) & 0xFFFF
            counted = self.counted[axis]
            r[0x2C + axis] = 0xFFFF if counted is None else min(0xFFFF, int((self.now - counted) * 1000))
            r[0x2F] |= int(self.upward[axis]) << axis | int(self.lost[axis]) << 2 + axis
        long(0x2A, millis)
        r[0x2E] = self.trips
        r[0x2F] |= int(self.permit) << 6 | int(self.now - self.switched >= 0.3) << 7 | int(self.power == "coming on") << 8
        long(0x30, 1200)
        r[0x32], r[0x35], r[0x3C] = r[0x04], 0xFFFF, self.bad_frames & 0xFFFF
        r[0x3D] = r[0x3E] = 0x8000
        r[0x40:0x60] = [0x8000] * 32
        for axis in range(2):
            r[0x5B + axis] = max(p[1] for p in self.peaks[axis]) if self.peaks[axis] else 0
        for address in (0x21, 0x3F, 0x58):
            r[address] = self.orders[0]
        return r

    # Section 1: requests.
    def answer(self, body):
        function = body[0]
        words = struct.unpack(">%dH" % ((len(body) - 1) // 2), body[1:1 + (len(body) - 1) // 2 * 2])
        read = write = None
        values = b""
        if function in (3, 4):
            read = words[:2]
        elif function == 6:
            write, values = (words[0], 1), body[3:5]
        elif function == 16:
            write, values = words[:2], body[6:]
        elif function == 23:
            read, write, values = words[:2], words[2:4], body[10:]
        else:
            raise Refused(BAD_FUNCTION)
        most = {16: 123, 23: 121}.get(function, 1)
        if read and not 1 <= read[1] <= 125 or write and (not 1 <= write[1] <= most or len(values) != 2 * write[1]):
            raise Refused(BAD_VALUE)
        if read and read[0] + read[1] > HIGHEST + 1 or write and not 0x10 <= write[0] <= write[0] + write[1] <= 0x20:
            raise Refused(BAD_ADDRESS)
        if write:
            self.write(write[0] - 0x10, list(struct.unpack(">%dH" % write[1], values)))
        if not read:
            return body[:5]
        block = self.registers()[read[0]:read[0] + read[1]]
        return bytes([function, 2 * read[1]]) + struct.pack(">%dH" % read[1], *block)


def length(held):
    """How long the request that held begins with is; 0: more is needed; -1: its function is not known."""
    if len(held) < 2:
        return 0
    at = {16: 6, 23: 10}.get(held[1])
    if held[1] in (3, 4, 6):
        return 8
    if at is None:
        return -1
    return at + 1 + held[at] + 2 if len(held) > at else 0


class Line:
    """Frames told apart by length and CRC, not by silence."""

    def __init__(self, enclosure):
        self.enclosure, self.held, self.rubbish = enclosure, b"", False

    def give_up(self):
        if not self.rubbish:
            self.enclosure.bad_frames += 1
        self.rubbish = True
        self.held = self.held[1:]

    def whole(self, at):
        n = length(self.held[at:])
        if n == -1:
            for n in range(4, len(self.held) - at + 1):
                if crc(self.held[at:at + n - 2]) == self.held[at + n - 2:at + n]:
                    return n
            return 0
        good = 0 < n <= len(self.held) - at and crc(self.held[at:at + n - 2]) == self.held[at + n - 2:at + n]
        return n if good else 0

    def next(self, silent):
        while self.held:
            n = self.whole(0)
            if n:
                frame, self.held, self.rubbish = self.held[:n], self.held[n:], False
                if frame[0] == UNIT:
                    return frame
                continue
            wanted = length(self.held)
            waits = wanted == 0 or wanted > len(self.held) or wanted == -1 and len(self.held) < 256
            if waits and not silent and not any(self.held[i] == UNIT and self.whole(i) for i in range(1, len(self.held))):
                return None
            self.give_up()
        return None


def main():
    port = os.open(sys.argv[1], os.O_RDWR | os.O_NOCTTY)
    tty.setraw(port)
    enclosure = Enclosure()
    line = Line(enclosure)
    print("ready", flush=True)
    last = time.monotonic()
    while True:
        ready, _, _ = select.select([port], [], [], 0.005)
        enclosure.live()
        if ready:
            line.held += os.read(port, 512)
            last = time.monotonic()
        frame = line.next(time.monotonic() - last >= 0.02)
        if frame is None:
            continue
        try:
            reply = bytes([UNIT]) + enclosure.answer(frame[1:-2])
        except Refused as refused:
            reply = bytes([UNIT, frame[1] | 0x80, refused.args[0]])
        time.sleep(0.0021)  # 3.5 characters at 19200 baud
        line.held = b""
        termios.tcflush(port, termios.TCIFLUSH)
        os.write(port, reply + crc(reply))


main()
