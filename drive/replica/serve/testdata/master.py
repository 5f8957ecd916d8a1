"""Exchanges with an enclosure as a master on pymodbus: master.py PORT."""
import sys

from pymodbus.client import ModbusSerialClient


def good(reply, what):
    if reply.isError():
        sys.exit(f"{what}: {reply}")
    return reply.registers


client = ModbusSerialClient(port=sys.argv[1], baudrate=19200, parity="N", stopbits=2, timeout=1)
if not client.connect():
    sys.exit("no connection")
if good(client.read_holding_registers(0, 16, unit=1), "identity")[0] != 1:
    sys.exit("the map's version is not 1")
if len(good(client.read_input_registers(0x40, 32, unit=1), "readings")) != 32:
    sys.exit("readings are missing")
for sequence in range(1, 21):
    motion = good(
        client.readwrite_registers(
            read_address=0x20, read_count=22, write_address=0x10,
            write_registers=[sequence, 0, 0, 0, 1000, 0], unit=1,
        ),
        "function 23",
    )
    if motion[1] != sequence:
        sys.exit(f"sequence {motion[1]}, want {sequence}")
for what, reply, code in (
    ("outside the map", client.read_holding_registers(0x5F, 2, unit=1), 2),
    ("a write to the motion block", client.write_register(0x20, 0, unit=1), 2),
    ("a demand out of range", client.write_register(0x12, 10001, unit=1), 3),
    ("a quantity out of range", client.write_registers(0x10, [0] * 17, unit=1), 2),
):
    if not reply.isError() or getattr(reply, "exception_code", None) != code:
        sys.exit(f"{what}: {reply}, want exception {code}")
client.close()
print("20 exchanges, 0 errors")
